// What can be done in the open area: choices, sliders, buttons, the sheet, lights in the drawing.

import { state } from "./store.js";
import { byId, leafApart, look, refusal } from "./view.js";

let picked = "";
let pulling = null;

export function choose(name, value) {
  state.options = { ...state.options, [name]: value };
  address();
}

export function address(push = false) {
  const query = new URLSearchParams(state.options);
  if (state.model !== "exact") query.set("model", state.model);
  const tail = query.size ? `?${query}` : "";
  const where = `/desk/${encodeURIComponent(state.file)}/${state.area}${tail}`;
  if (push) history.pushState({ area: state.area }, "", where);
  else history.replaceState({ area: state.area }, "", where);
}

function option(event) {
  const { target } = event;
  const name = target.dataset.option ?? (target.type === "radio" ? target.name : "");
  if (!name || (target.type === "range" && event.type === "change")) return;
  const value = target.type === "checkbox" ? (target.checked ? "yes" : "") : target.value;
  choose(name, value);
  look();
}

function click(event) {
  const button = event.target.closest("button");
  if (!button) return;
  const { set, text, remove, ask } = button.dataset;
  if (set) look({ act: { kind: "set", key: set, text } });
  else if (remove) look({ act: { kind: "remove", key: remove } });
  else if (button.dataset.sheet) look({ sheet: button.dataset.sheet, before: state.before || state.sheet });
  else if (ask) {
    gather(button.closest("form") ?? byId("area"));
    choose("asked", ask);
    leafApart();
  }
}

function gather(form) {
  for (const field of form.querySelectorAll("[data-field]")) {
    state.options = { ...state.options, [field.dataset.field]: field.value };
  }
}

function submit(event) {
  event.preventDefault();
  if (event.target.id !== "addpart") {
    event.target.querySelector("[data-ask]")?.click();
    return;
  }
  const { from, what, to } = event.target.elements;
  const place = (node) => node.value.replace(".", " ");
  const text = `from ${place(from)} through ${what.value} to ${place(to)}`;
  const hint = byId("addhint");
  look(
    { act: { kind: "line", text } },
    {
      refused: (sentence) => {
        hint.textContent = sentence.split("\n").at(-1);
        hint.classList.add("bad");
      },
      done: () => {
        hint.textContent = "";
        what.value = "";
      },
    },
  );
}

function light(event) {
  const row = event.target.closest?.("[data-lit]");
  const names = new Set(row ? row.dataset.lit.split(" ") : []);
  for (const part of document.querySelectorAll("#stage [data-part]")) {
    part.classList.toggle("lit", names.has(part.dataset.part));
  }
  for (const net of document.querySelectorAll("#stage .net[data-rail=rail]")) {
    net.classList.toggle("lit", names.has(net.dataset.node));
  }
}

// Pointing at a part marks the lines of the working that speak of it.
function uses(event) {
  const part = event.target.closest?.("[data-part]")?.dataset.part;
  for (const row of document.querySelectorAll("#steps .step")) {
    row.classList.toggle("uses", Boolean(part) && row.dataset.lit.split(" ").includes(part));
  }
}

// Two nodes pointed at, one after the other, are the ends of the part to add.
function pick(event) {
  const net = event.target.closest?.(".net[data-node]");
  if (state.area !== "drawing" || !net || event.target.closest(".can")) return;
  const end = picked === "addfrom" ? "addto" : "addfrom";
  const select = byId(end);
  if (![...(select?.options ?? [])].some((o) => o.value === net.dataset.node)) return;
  select.value = net.dataset.node;
  picked = end;
  if (end === "addto") byId("addwhat").focus();
}

function pull(event) {
  const range = byId("putat");
  if (!event.target.closest?.(".disc,.eye") || !range?.dataset.end) return;
  pulling = range;
  event.preventDefault();
}

function pulled(event) {
  const svg = pulling && document.querySelector("#chartbox svg");
  if (!svg) return;
  const at = new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const { end, full } = pulling.dataset;
  const zero = 56; // left edge of the chart's area [px]
  const value = (Number(full) * (at.x - zero)) / (Number(end) - zero);
  pulling.value = String(Math.max(0, Math.min(Number(full), value)));
  pulling.dispatchEvent(new Event("input", { bubbles: true }));
}

function sheet(event) {
  if (event.target.id !== "sheettext") return;
  const before = state.before || state.sheet;
  look({ sheet: event.target.value, before }, { mark: "sheet", refused: refusal });
}

export function marks() {
  document.body.classList.toggle("picking", state.area === "drawing");
}

export function listen() {
  const area = byId("area");
  area.addEventListener("change", option);
  area.addEventListener("input", (event) => {
    if (event.target.type === "range") option(event);
    sheet(event);
  });
  area.addEventListener("click", click);
  area.addEventListener("submit", submit);
  for (const kind of ["pointerover", "focusin"]) {
    area.addEventListener(kind, light);
    byId("stage").addEventListener(kind, uses);
  }
  area.addEventListener("pointerleave", light);
  byId("stage").addEventListener("pointerleave", uses);
  byId("stage").addEventListener("click", pick);
  area.addEventListener("pointerdown", pull);
  addEventListener("pointermove", pulled);
  addEventListener("pointerup", () => (pulling = null));
}
