const body = document.body;
const slides = [...document.querySelectorAll(".slide")];
const find = (selector) => document.querySelector(selector);
const ticks = [...document.querySelectorAll(".bar ol button")];
const themes = ["projector", "light", "dark"];
let at = 0;
let digits = "";

const hasMore = (slide) => slide.querySelector(".later") && !slide.classList.contains("all");

function fit(slide) {
  for (const box of slide.querySelectorAll(".fit")) {
    const base = parseFloat(box.dataset.size ||= getComputedStyle(box).fontSize) /
      parseFloat(box.dataset.root ||= getComputedStyle(document.documentElement).fontSize);
    for (let share = 1; share > 0.5; share -= 0.05) {
      box.style.fontSize = `${base * share}rem`;
      const wide = [...box.querySelectorAll(".eq")].some((e) => e.scrollWidth > e.clientWidth + 1);
      if (!wide && box.scrollHeight <= box.clientHeight + 1 && box.scrollWidth <= box.clientWidth + 1) break;
    }
  }
}

function show(next, all = false) {
  at = Math.max(0, Math.min(slides.length - 1, next));
  slides.forEach((slide, n) => {
    slide.classList.toggle("now", n === at);
    if (n === at) slide.classList.toggle("all", all);
  });
  ticks.forEach((tick, n) => {
    tick.classList.toggle("done", n < at);
    if (n === at) tick.setAttribute("aria-current", "step");
    else tick.removeAttribute("aria-current");
  });
  find("#where").textContent = `${at + 1} of ${slides.length}`;
  find("#back").disabled = at === 0;
  find("#next").disabled = at === slides.length - 1 && !hasMore(slides[at]);
  history.replaceState(null, "", `#${at + 1}`);
  if (body.classList.contains("present")) {
    fit(slides[at]);
    slides[at].querySelector("h1, h2")?.focus({ preventScroll: true });
  }
}

function forward() {
  const slide = slides[at];
  if (hasMore(slide)) {
    slide.classList.add("all");
    find("#next").disabled = at === slides.length - 1;
    find("#said").textContent = [...slide.querySelectorAll(".later")].map((e) => e.textContent).join(". ");
  } else if (at < slides.length - 1) show(at + 1);
}

function back() {
  const slide = slides[at];
  if (slide.querySelector(".later") && slide.classList.contains("all")) slide.classList.remove("all");
  else show(at - 1, true);
  find("#next").disabled = false;
}

function cover(on) {
  body.classList.toggle("covered", on);
  find("#cover").setAttribute("aria-pressed", on);
  if (on) find("#uncover").focus();
  else show(at, slides[at].classList.contains("all"));
}

function present(on) {
  body.classList.toggle("present", on);
  if (on) show(at);
  else {
    if (document.fullscreenElement) document.exitFullscreen();
    slides[at].scrollIntoView();
    find("#enter").focus();
  }
}

function notes() {
  const on = body.classList.toggle("with-notes");
  find("#notes").setAttribute("aria-pressed", on);
  fit(slides[at]);
}

function theme() {
  const root = document.documentElement;
  root.dataset.theme = themes[(themes.indexOf(root.dataset.theme) + 1) % themes.length];
  find("#theme").textContent = `Theme: ${root.dataset.theme}`;
}

const keys = {
  ArrowRight: forward, PageDown: forward, " ": forward, ArrowLeft: back, PageUp: back,
  Home: () => show(0), End: () => show(slides.length - 1, true),
  b: () => cover(true), B: () => cover(true), ".": () => cover(true), Escape: () => present(false),
};

addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || !body.classList.contains("present")) return;
  if (body.classList.contains("covered")) {
    event.preventDefault();
    cover(false);
  } else if (/^\d$/.test(event.key)) digits += event.key;
  else if (event.key === "Enter" && digits) {
    event.preventDefault();
    show(Number(digits) - 1);
    digits = "";
  } else if (keys[event.key] && !(event.key === " " && event.target.closest("button, a, summary"))) {
    event.preventDefault();
    digits = "";
    keys[event.key]();
  }
});
const actions = {
  back, next: forward, cover: () => cover(true), uncover: () => cover(false), notes, theme,
  leave: () => present(false), enter: () => present(true),
};
for (const [id, action] of Object.entries(actions)) find(`#${id}`).addEventListener("click", action);
ticks.forEach((tick, n) => tick.addEventListener("click", () => show(n)));
addEventListener("resize", () => {
  for (const box of document.querySelectorAll(".fit")) box.style.fontSize = "";
  fit(slides[at]);
});
addEventListener("hashchange", () => show(Number(location.hash.slice(1)) - 1 || 0));
body.classList.add("present");
document.fonts.ready.then(() => show(Number(location.hash.slice(1)) - 1 || 0));
