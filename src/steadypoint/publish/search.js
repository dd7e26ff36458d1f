const sections = JSON.parse(document.getElementById("sections").textContent);
const field = document.getElementById("words");
const count = document.getElementById("count");
const found = document.getElementById("found");
const fold = (text) => text.normalize("NFKD").replace(/[\u0300-\u036f]/g, "").toLowerCase();
for (const one of sections) {
  one.head = fold(one.heading);
  one.text = fold(one.words);
}

const score = (one, words) => {
  let sum = 0;
  for (const word of words) {
    const times = one.text.split(word).length - 1;
    const head = one.head.includes(word) ? 8 : 0;
    if (!times && !head) return 0;
    sum += head + Math.min(times, 6);
  }
  return sum;
};

const extract = (one, word) => {
  const at = one.text.indexOf(word);
  const start = Math.max(0, at - 60);
  const line = document.createElement("span");
  if (at < 0 || one.text.length !== one.words.length) {
    line.textContent = one.words.slice(0, 140) + (one.words.length > 140 ? " …" : "");
    return line;
  }
  const mark = document.createElement("mark");
  mark.textContent = one.words.slice(at, at + word.length);
  line.append(start ? "… " : "", one.words.slice(start, at), mark);
  line.append(one.words.slice(at + word.length, at + word.length + 80), " …");
  return line;
};

const show = () => {
  const words = fold(field.value).split(/\s+/).filter((word) => word.length > 1);
  const hits = words.length
    ? sections.map((one) => [score(one, words), one]).filter(([sum]) => sum)
    : [];
  hits.sort((a, b) => b[0] - a[0]);
  found.replaceChildren(
    ...hits.slice(0, 30).map(([, one]) => {
      const item = document.createElement("li");
      const link = document.createElement("a");
      link.href = one.page;
      link.textContent = one.heading;
      const where = document.createElement("span");
      where.textContent = one.lesson;
      item.append(link, where, extract(one, words[0]));
      return item;
    }),
  );
  const places = hits.length === 1 ? "1 place" : `${hits.length} places`;
  count.textContent = words.length ? (hits.length ? `Found in ${places}.` : "Found nowhere.") : "";
  const address = new URL(location.href);
  address.search = field.value ? `?words=${encodeURIComponent(field.value)}` : "";
  history.replaceState(null, "", address);
};

let waiting = 0;
field.addEventListener("input", () => {
  clearTimeout(waiting);
  waiting = setTimeout(show, 120);
});
field.form.addEventListener("submit", (event) => {
  event.preventDefault();
  show();
  found.querySelector("a")?.focus();
});
field.value = new URLSearchParams(location.search).get("words") ?? "";
show();
