const stages = JSON.parse(document.getElementById("stages").textContent);
const say = document.getElementById("say");
const bar = document.getElementById("bar");
const PREFIXES = { n: 1e-9, µ: 1e-6, m: 1e-3, "": 1, k: 1e3, M: 1e6, G: 1e9 };
const WORDS = {
  active: "Active",
  saturation: "Saturated",
  cutoff: "Cut off",
  reverse: "Reverse",
  triode: "Triode region",
};
const MINUS = "\u2212";

// Number and unit with the prefix that reads best, three digits.
const shown = (value, unit, digits = 3) => {
  if (!Number.isFinite(value)) return ["–", unit];
  const size = Math.abs(value);
  if (size === 0) return ["0", unit];
  let factor = 1;
  let prefix = "";
  if (unit && unit !== "°C") {
    const rounded = Number(size.toPrecision(digits));
    for (const [name, f] of Object.entries(PREFIXES)) {
      if (rounded >= f * (1 - 1e-12)) [prefix, factor] = [name, f];
    }
    if (rounded < 1e-9) [prefix, factor] = ["n", 1e-9];
    if (unit === "V" && prefix === "m" && rounded >= 0.1) [prefix, factor] = ["", 1];
  }
  const text = Number((size / factor).toPrecision(digits));
  const whole = String(Math.trunc(text)).length;
  const figures = text >= 1 ? text.toFixed(Math.max(0, digits - whole)) : String(text.toPrecision(digits));
  return [(value < 0 ? MINUS : "") + figures, prefix + unit];
};

const trimmed = (value, unit) => {
  const [figures, name] = shown(value, unit, 3);
  return [figures.includes(".") ? figures.replace(/\.?0+$/, "") : figures, name];
};
const words = ([figures, unit]) => (unit ? `${figures}\u202f${unit}` : figures);

const put = (root, selector, [figures, unit]) => {
  for (const number of root.querySelectorAll(`${selector} .num`)) {
    number.textContent = figures;
    const next = number.nextElementSibling;
    if (next && unit) next.textContent = `\u202f${unit}`;
  }
};

class Stage {
  constructor(root, data) {
    this.root = root;
    this.data = data;
    this.V = data.program.start;
    this.first = solve(data.program, {});
    this.sliders = [...root.querySelectorAll("input[type=range]")];
    for (const slider of this.sliders) {
      slider.addEventListener("input", () => this.update(true));
      slider.addEventListener("change", () => this.announce());
    }
    root.querySelector("button")?.addEventListener("click", () => this.reset());
    this.update(false);
  }

  value(slider) {
    return this.data.free[Number(slider.dataset.free)].steps[Number(slider.value)];
  }

  given() {
    const given = { values: {}, beta: {} };
    this.sliders.forEach((slider) => {
      const one = this.data.free[Number(slider.dataset.free)];
      const value = this.value(slider);
      if (one.kind === "temperature") given.temperature = Number(slider.value);
      else if (one.kind === "beta") given.beta[one.name] = value;
      else given.values[one.name] = value;
    });
    return given;
  }

  reset() {
    for (const slider of this.sliders) slider.value = slider.dataset.first;
    this.V = this.data.program.start;
    this.update(true);
    this.announce();
  }

  update(moved) {
    const began = performance.now();
    const given = this.given();
    const found = solve(this.data.program, given, this.V) ?? solve(this.data.program, given);
    this.found = found;
    this.writeGivens();
    this.root.classList.toggle("lost", !found);
    if (!found) {
      this.root.querySelector(".state .word").textContent = "No operating point was found";
      return;
    }
    this.V = found.V;
    this.writeDrawing(found);
    for (const [name, one] of Object.entries(found.transistors)) this.writePoint(name, one, given);
    this.writeChart(found, given);
    this.writeWorking(given);
    if (moved) this.writeBar(found);
    this.root.dataset.took = (performance.now() - began).toFixed(2);
  }

  writeGivens() {
    for (const slider of this.sliders) {
      const one = this.data.free[Number(slider.dataset.free)];
      const value = this.value(slider);
      const text = one.kind === "temperature" ? [String(Math.round(value)).replace("-", MINUS), "°C"] : trimmed(value, one.unit);
      slider.nextElementSibling.textContent = words(text);
      slider.setAttribute("aria-valuetext", words(text).replace("\u202f", " "));
      if (one.kind !== "temperature") put(this.root, `.drawing [data-given="${one.name}"]`, text);
    }
  }

  writeDrawing(found) {
    for (const flag of this.root.querySelectorAll("[data-volt]")) {
      const V = found.nodes[flag.dataset.volt];
      if (V !== undefined) put(flag, "text", shown(Math.abs(V) < 1e-6 ? 0 : V, "V"));
    }
    for (const mark of this.root.querySelectorAll("[data-amp]")) {
      const [name, terminal] = mark.dataset.amp.split(" ");
      const now = this.current(found.transistors[name], terminal);
      const was = this.current(this.first?.transistors[name], terminal);
      if (now === undefined) continue;
      put(mark, "text", shown(Math.abs(now), "A"));
      mark.classList.toggle("turned", was !== undefined && now * was < 0);
    }
  }

  current(one, terminal) {
    if (!one) return undefined;
    if (terminal === "collector" || terminal === "drain" || terminal === "source") return one.I;
    return terminal === "base" ? one.I_B : one.I + (one.I_B ?? 0);
  }

  span(given) {
    let low = 0;
    let high = 0;
    for (const [name, , , value] of this.data.program.voltages) {
      const volts = given.values[name] ?? value;
      low = Math.min(low, volts);
      high = Math.max(high, volts);
    }
    return high - low || 1;
  }

  writePoint(name, one, given) {
    const card = this.root.querySelector(`[data-point="${name}"]`);
    if (!card) return;
    let word = WORDS[one.region];
    let glyph = one.region;
    if (one.fet && one.region === "saturation") [word, glyph] = ["In saturation", "active"];
    if (one.fet && one.region === "triode") glyph = "saturation";
    card.dataset.region = glyph;
    card.querySelector(".word").textContent = word;
    const V = one.sign * one.V;
    const values = { I: shown(one.sign * one.I, "A"), V: shown(V, "V"), P: shown(one.P, "W") };
    values.B = one.fet ? shown(one.V_GS, "V") : shown(one.sign * one.I_B, "A");
    for (const [key, value] of Object.entries(values)) {
      const place = card.querySelector(`[data-reading="${key}"]`);
      if (place) place.textContent = words(value);
    }
    const share = Math.min(Math.max(V / this.span(given), 0), 1);
    const level = card.querySelector(".level");
    level.style.setProperty("--at", String(share));
    level.setAttribute("aria-label", `${word}: ${words(values.V).replace("\u202f", " ")} of ${words(shown(this.span(given), "V")).replace("\u202f", " ")}`);
  }

  // The load line: what the rest of the circuit allows while the transistor's current is forced.
  ends(name, given, one) {
    const at = (amount) => {
      const forced = solve(this.data.program, { ...given, off: name, forced: amount }, this.V);
      return forced ? forced.transistors[name].V * one.sign : NaN;
    };
    const I = Math.max(Math.abs(one.I), 1e-6);
    const open = at(0);
    const there = at(I);
    return [open, (open * I) / (open - there)];
  }

  writeChart(found, given) {
    const chart = this.root.querySelector(".chart");
    const name = this.data.main;
    const one = found.transistors[name];
    if (!chart || !one) return;
    const [V_end, I_end] = this.ends(name, given, one);
    const lines = Number.isFinite(V_end) && Number.isFinite(I_end) && V_end > 0 && I_end > 0;
    this.root.querySelector(".no-line").hidden = lines;
    chart.toggleAttribute("hidden", !lines);
    if (!lines) return;
    const most = [V_end * 1.08, Math.max(I_end, one.sign * one.I) * 1.12];
    const x = (V) => 46 + (300 * Math.min(Math.max(V, 0), most[0])) / most[0];
    const y = (I) => 214 - (190 * Math.min(Math.max(I, 0), most[1])) / most[1];
    const pen = (values) => values.map(([V, I], k) => `${k ? "L" : "M"}${x(V).toFixed(1)} ${y(I).toFixed(1)}`).join("");
    chart.querySelector(".loadline").setAttribute("d", pen([[0, I_end], [V_end, 0]]));
    chart.querySelector(".curve").setAttribute("d", pen(this.curve(name, one, given, most[0])));
    const point = [x(one.sign * one.V), y(one.sign * one.I)];
    chart.querySelector(".guide").setAttribute("d", `M46 ${point[1]}L${point[0]} ${point[1]}L${point[0]} 214`);
    for (const disc of chart.querySelectorAll("circle")) {
      disc.setAttribute("cx", point[0]);
      disc.setAttribute("cy", point[1]);
    }
    const label = chart.querySelector(".at");
    label.textContent = `${words(shown(one.sign * one.V, "V"))}, ${words(shown(one.sign * one.I, "A"))}`;
    const right = point[0] < 210;
    label.setAttribute("x", point[0] + (right ? 12 : -12));
    label.setAttribute("y", Math.max(point[1] - 10, 20));
    label.setAttribute("text-anchor", right ? "start" : "end");
    chart.querySelector(".end-v").textContent = words(shown(V_end, "V"));
    chart.querySelector(".end-i").textContent = words(shown(I_end, "A"));
    chart.setAttribute("aria-label", `Load line from ${words(shown(V_end, "V"))} to ${words(shown(I_end, "A"))}, point at ${label.textContent}`);
  }

  curve(name, one, given, most) {
    const program = this.data.program;
    const law = lawOf(program, given.temperature ?? program.nominal);
    const values = [];
    const count = 40;
    for (let n = 0; n <= count; n++) {
      const V = most * (n / count) ** 2;
      values.push([V, this.through(name, one, given, law, V)]);
    }
    return values;
  }

  through(name, one, given, law, V) {
    const program = this.data.program;
    if (one.fet) {
      const m = program.fets.findIndex(([n]) => n === name);
      const vGS = one.sign * one.V_GS;
      return channel(vGS, vGS - V, law.channels[m])[0];
    }
    const k = program.bipolars.findIndex(([n]) => n === name);
    const beta = given.beta[name] ?? program.betas[k] ?? 1;
    let low = 0;
    let high = 1.4;
    for (let n = 0; n < 44; n++) {
      const v = (low + high) / 2;
      if (bipolar(law, k, v, v - V, beta)[1] < one.sign * one.I_B) low = v;
      else high = v;
    }
    return bipolar(law, k, low, low - V, beta)[0];
  }

  writeWorking(given) {
    const list = this.root.querySelector(".lines");
    if (!list) return;
    const env = { ...this.data.known };
    for (const [name, value] of Object.entries(given.values)) env[name] = value;
    for (const [name, value] of Object.entries(given.beta)) {
      env[this.data.beta[name]] = value;
    }
    this.data.lines.forEach((line, k) => {
      const value = reckon(line.right, env);
      env[line.left] = value;
      list.children[k].querySelector("output").textContent = words(shown(value, line.unit));
    });
    const active = Object.values(this.found.transistors).every((t) => (t.fet ? t.region === "saturation" : t.region === "active"));
    this.root.querySelector(".broken").hidden = active;
  }

  writeBar(found) {
    const one = found.transistors[this.data.main];
    if (!one) return;
    const card = this.root.querySelector(`[data-point="${this.data.main}"]`);
    bar.hidden = false;
    bar.querySelector(".word").textContent = card.querySelector(".word").textContent;
    bar.querySelector("b").textContent = `${words(shown(one.sign * one.V, "V"))} · ${words(shown(one.sign * one.I, "A"))}`;
    bar.style.setProperty("--at", card.querySelector(".level").style.getPropertyValue("--at"));
  }

  announce() {
    const one = this.found?.transistors[this.data.main];
    if (!one) {
      say.textContent = "No operating point was found at these values.";
      return;
    }
    const card = this.root.querySelector(`[data-point="${this.data.main}"]`);
    const current = one.fet ? "Drain current" : "Collector current";
    say.textContent = `${current} ${words(shown(one.sign * one.I, "A")).replace("\u202f", " ")}, voltage ${words(shown(one.sign * one.V, "V")).replace("\u202f", " ")}. ${card.querySelector(".word").textContent}.`;
  }
}

const reckon = (tree, env) => {
  const [kind, ...rest] = tree;
  if (kind === "s") return env[rest[0]];
  if (kind === "n") return rest[0];
  const values = rest.map((each) => reckon(each, env));
  if (kind === "+") return values.reduce((a, b) => a + b, 0);
  if (kind === "neg") return -values[0];
  if (kind === "*") return values.reduce((a, b) => a * b, 1);
  if (kind === "/") return values[0] / values[1];
  if (kind === "p") return 1 / values.reduce((a, b) => a + 1 / b, 0);
  return values[0] ** values[1];
};

const all = [...document.querySelectorAll("[data-stage]")].map((root, k) => new Stage(root, stages[k]));
globalThis.steadypointStages = all;
