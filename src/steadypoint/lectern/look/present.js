// The audience's page: line by line by keyboard or presenter remote, pen marks, cover, freeze.

import { hear, Place, tell } from "./channel.js";

const byId = (id) => document.getElementById(id);
const lines = [...document.querySelectorAll("section.line")];
const place = new Place(lines);
let frozen = false;
let typed = "";

function draw(send = true) {
  const here = lines[place.line];
  for (const line of lines) line.hidden = line !== here;
  here.classList.toggle("letters", place.shown < place.reveals[place.line]);
  for (const sight of document.querySelectorAll(".sight")) {
    sight.hidden = sight.dataset.screen !== here.dataset.screen;
  }
  const parts = new Set(here.dataset.parts.split(" "));
  for (const part of document.querySelectorAll("#screen [data-part]")) {
    part.classList.toggle("lit", parts.has(part.dataset.part));
  }
  byId("gauge").classList.toggle("off", !here.dataset.gauge);
  kept();
  byId("where").textContent = `${place.line + 1} of ${lines.length}`;
  for (const [number, tick] of [...byId("ticks").children].entries()) {
    tick.classList.toggle("done", number < place.line);
    if (number === place.line) tick.setAttribute("aria-current", "step");
    else tick.removeAttribute("aria-current");
  }
  history.replaceState(null, "", `#${place.line + 1}`);
  if (send) tell({ line: place.line, shown: place.shown });
}

// Nothing is told before its line: what a line found moves here when the next one comes.
function kept() {
  const items = [];
  for (const line of lines.slice(0, place.line)) {
    const found = line.querySelector("template.found").innerHTML;
    if (!found) continue;
    const item = document.createElement("li");
    item.innerHTML = found;
    items.push(item);
  }
  byId("kept").replaceChildren(...items.slice(-7));
}

const act = {
  next: () => place.next(),
  back: () => place.back(),
  first: () => place.go(0),
  last: () => place.go(lines.length - 1),
};

function move(name) {
  act[name]();
  draw();
}

function cover() {
  const sheet = byId("cover");
  sheet.hidden = !sheet.hidden;
  byId("talk").inert = !sheet.hidden;
  if (!sheet.hidden) sheet.focus();
}

const KEYS = {
  ArrowRight: "next",
  ArrowDown: "next",
  PageDown: "next",
  " ": "next",
  ArrowLeft: "back",
  ArrowUp: "back",
  PageUp: "back",
  Home: "first",
  End: "last",
};

function key(event) {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  const onButton = /^(BUTTON|A)$/.test(event.target.nodeName);
  if (event.key === "Enter" && typed) {
    place.go(Number(typed) - 1);
    typed = "";
    draw();
  } else if (event.key in KEYS && !(event.key === " " && onButton)) {
    move(KEYS[event.key]);
  } else if (/^\d$/.test(event.key)) {
    typed = (typed + event.key).slice(-3);
    return;
  } else if (event.key === "b" || event.key === "B" || event.key === ".") cover();
  else if (event.key === "d" || event.key === "D") pen();
  else if (event.key === "w" || event.key === "W") wipe();
  else if (event.key === "f" || event.key === "F") freeze(!frozen);
  else if (event.key === "Escape" && !document.fullscreenElement) byId("leave").click();
  else return;
  event.preventDefault();
}

function freeze(on) {
  frozen = on;
  byId("talk").classList.toggle("frozen", on);
}

function pen() {
  const on = byId("talk").classList.toggle("pen");
  byId("pen").setAttribute("aria-pressed", String(on));
}

function wipe() {
  byId("ink").replaceChildren();
}

function inking() {
  const ink = byId("ink");
  let path = null;
  const at = (event) => {
    const box = ink.getBoundingClientRect();
    return `${(event.clientX - box.left).toFixed(1)} ${(event.clientY - box.top).toFixed(1)}`;
  };
  ink.addEventListener("pointerdown", (event) => {
    path = document.createElementNS("http://www.w3.org/2000/svg", "path");
    path.setAttribute("d", `M${at(event)}`);
    ink.append(path);
    ink.setPointerCapture(event.pointerId);
  });
  ink.addEventListener("pointermove", (event) => {
    path?.setAttribute("d", `${path.getAttribute("d")}L${at(event)}`);
  });
  for (const kind of ["pointerup", "pointercancel"]) ink.addEventListener(kind, () => (path = null));
}

function whole() {
  if (document.fullscreenElement) document.exitFullscreen();
  else document.documentElement.requestFullscreen?.();
}

document.addEventListener("keydown", key);
document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (!button) return;
  if (button.dataset.go) {
    place.go(Number(button.dataset.go));
    draw();
  }
  const acts = { next: () => move("next"), back: () => move("back"), hide: cover, cover, pen, wipe, whole };
  acts[button.id]?.();
});
hear((message) => {
  if (message.ask) tell({ line: place.line, shown: place.shown });
  else if (message.freeze !== undefined) freeze(message.freeze);
  else if (message.line !== undefined && !frozen) {
    place.go(message.line, message.shown);
    draw(false);
  }
});
inking();
place.go(Number(location.hash.slice(1)) - 1 || 0);
draw();
