// Showing answers: the pieces of the page, the fold, faults, and the spoken sentence.

import { morph } from "./morph.js";
import { advance, canGo, question, state } from "./store.js";
import { changed } from "./save.js";
import { Latest } from "./talk.js";

export const byId = (id) => document.getElementById(id);
const quick = new Latest();
const slow = new Latest();
const asides = new Latest();
const PLACES = { stage: "stage", point: "point", change: "change", leaf: "area" };
let idle = 0;
let speech = 0;

// Ask for the page as it would be after an act; `more` may be a function called when its turn comes.
export function look(more = {}, { mark = "", refused = null, done = null } = {}) {
  const build = () => {
    const said = typeof more === "function" ? more() : more;
    return said && question(said);
  };
  quick.ask("/api/view", build, (answer) => {
    if (answer.refused) {
      (refused ?? refusal)(answer.refused);
      return;
    }
    show(answer, mark);
    done?.(answer);
  });
}

export function show(answer, mark = "") {
  if (answer.sheet !== undefined) advance(answer.sheet, answer.before ?? "", mark);
  const bad = answer.fault !== undefined;
  fault(bad ? answer.fault : "");
  byId("stage").classList.toggle("stale", bad);
  byId("sheettext")?.setAttribute("aria-invalid", String(bad));
  changed(!bad);
  buttons();
  if (bad) return;
  pieces(answer.parts ?? {});
  answers(answer.answers ?? {});
  if (answer.slow) leafApart();
  later();
  if (answer.say) say(answer.say);
}

function pieces(parts) {
  for (const [key, id] of Object.entries(PLACES)) {
    if (parts[key] === undefined) continue;
    morph(byId(id), parts[key]);
  }
  if (parts.change !== undefined) byId("change").hidden = parts.change === "";
  if (parts.title !== undefined) byId("title").innerHTML = parts.title;
  document.dispatchEvent(new CustomEvent("steady-shown"));
}

export function leafApart() {
  byId("area").setAttribute("aria-busy", "true");
  const asked = state.area;
  slow.ask(
    "/api/leaf",
    () => question(),
    (answer) => {
      if (asked !== state.area) return;
      byId("area").removeAttribute("aria-busy");
      if (answer.refused) refusal(answer.refused);
      else pieces(answer.parts);
    },
  );
}

export function later() {
  clearTimeout(idle);
  idle = setTimeout(() => {
    asides.ask(
      "/api/answers",
      () => question(),
      (answer) => answers(answer.answers ?? {}),
    );
  }, 350);
}

function answers(found) {
  for (const [name, html] of Object.entries(found)) {
    const place = byId(`a-${name}`);
    if (place && place.innerHTML !== html) place.innerHTML = html;
  }
}

export function fault(html) {
  const place = byId("fault");
  if (place.innerHTML !== html) place.innerHTML = html;
}

export function refusal(sentence) {
  const line = document.createElement("p");
  line.textContent = sentence;
  byId("fault").replaceChildren(line);
}

// Spoken once the keys rest, never per keystroke.
export function say(sentence) {
  clearTimeout(speech);
  speech = setTimeout(() => {
    byId("say").textContent = sentence;
  }, 700);
}

export function buttons() {
  const [back, on] = canGo();
  byId("undo").disabled = !back;
  byId("redo").disabled = !on;
}
