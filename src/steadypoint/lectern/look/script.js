// The speaker's page: the words of the present line, and the same keys as the audience's page.

import { hear, Place, tell } from "./channel.js";

const byId = (id) => document.getElementById(id);
const rows = [...byId("script").children];
const place = new Place(rows);
const begun = Date.now();
let frozen = false;

function draw() {
  for (const row of rows) row.removeAttribute("aria-current");
  const here = rows[place.line];
  here.setAttribute("aria-current", "step");
  here.scrollIntoView({ block: "center" });
}

function move(name, line) {
  if (name === "go") place.go(line);
  else place[name]();
  draw();
  if (!frozen) tell({ line: place.line, shown: place.shown });
}

function freeze() {
  frozen = !frozen;
  byId("freeze").setAttribute("aria-pressed", String(frozen));
  byId("say").textContent = frozen ? "The audience stays where it is." : "The audience follows.";
  tell({ freeze: frozen });
  if (!frozen) tell({ line: place.line, shown: place.shown });
}

const KEYS = { ArrowRight: "next", PageDown: "next", ArrowLeft: "back", PageUp: "back" };

document.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key in KEYS) move(KEYS[event.key]);
  else if (event.key === "f" || event.key === "F") freeze();
  else return;
  event.preventDefault();
});
document.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (button?.dataset.go) move("go", Number(button.dataset.go));
  else if (button?.id === "freeze") freeze();
  else if (button) move(button.id);
});
hear((message) => {
  if (message.line === undefined || frozen) return;
  place.go(message.line, message.shown);
  draw();
});
setInterval(() => {
  const seconds = Math.floor((Date.now() - begun) / 1000);
  byId("clock").textContent = `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}, 1000);
draw();
tell({ ask: true });
