// Values edited on the drawing: typed, stepped through the series, dragged.

import { endMark, state } from "./store.js";
import { byId, look } from "./view.js";

const DRAG = 14; // height of one step of the series [px]
let open = null;
let steps = null;
let drag = null;

const given = (target) => target.closest?.(".can[data-given]") ?? null;
const find = (key) => document.querySelector(`.can[data-given="${CSS.escape(key)}"]`);

// Steps add up while an answer is on its way, so that a held key never queues.
export function step(key, by) {
  if (steps?.key === key) steps.by += by;
  else steps = { key, by };
  look(
    () => {
      const taken = steps;
      steps = null;
      return taken && { act: { kind: "step", key: taken.key, by: taken.by } };
    },
    { mark: `step ${key}`, refused: hint, done: refreshed },
  );
}

function refreshed() {
  if (!open) return;
  const now = find(open.key);
  if (now && document.activeElement !== byId("editvalue")) byId("editvalue").value = now.dataset.written;
}

export function openEdit(element, first = "") {
  const key = element.dataset.given;
  open = { key, sheet: state.sheet, before: state.before };
  const form = byId("edit");
  name(element.getAttribute("aria-label"));
  form.hidden = false;
  place(form, element);
  const input = byId("editvalue");
  input.value = first || element.dataset.written;
  hint("");
  input.focus();
  if (first) typed();
  else input.select();
}

function name(label) {
  const [base, ...rest] = label.split(" ");
  const sub = document.createElement("sub");
  sub.textContent = rest.join(" ");
  byId("editname").replaceChildren(base, sub);
}

function place(form, element) {
  const box = byId("stagebox").getBoundingClientRect();
  const at = element.getBoundingClientRect();
  const left = Math.max(0, Math.min(at.left - box.left - 12, box.width - form.offsetWidth));
  const top = Math.max(0, at.top - box.top - 12);
  form.style.left = `${left}px`;
  form.style.top = `${top}px`;
}

function close(focus = true) {
  if (!open) return;
  const key = open.key;
  open = null;
  byId("edit").hidden = true;
  endMark();
  if (focus) find(key)?.focus();
}

function typed() {
  const { key, sheet, before } = open;
  const text = byId("editvalue").value;
  look(
    { sheet, before, act: { kind: "set", key, text } },
    { mark: `edit ${key}`, refused: hint, done: () => hint("") },
  );
}

function hint(sentence) {
  const place = byId("edithint");
  place.textContent = sentence;
  place.classList.toggle("bad", sentence !== "");
  byId("editvalue").setAttribute("aria-invalid", String(sentence !== ""));
}

function cancel() {
  const { sheet, before, key } = open;
  look({ sheet, before }, { mark: `edit ${key}` });
  close();
}

const MOVES = { ArrowUp: 1, ArrowRight: 1, ArrowDown: -1, ArrowLeft: -1, PageUp: 6, PageDown: -6 };

function key(event) {
  const element = given(event.target);
  if (!element || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key in MOVES) step(element.dataset.given, MOVES[event.key]);
  else if (event.key === "Enter" || event.key === " ") openEdit(element);
  else if (/^[0-9.,−-]$/.test(event.key)) openEdit(element, event.key);
  else if (event.key === "Escape") byId("change").querySelector("[data-do=back]")?.click();
  else return;
  event.preventDefault();
}

function inField(event) {
  if (event.key === "Escape") cancel();
  else if (event.key === "ArrowUp" || event.key === "ArrowDown") stepOpen(MOVES[event.key]);
  else return;
  event.preventDefault();
}

function stepOpen(by) {
  byId("editvalue").blur();
  step(open.key, by);
  byId("editup").focus();
}

function down(event) {
  const element = given(event.target);
  if (!element || event.button !== 0) return;
  drag = { key: element.dataset.given, y: event.clientY, done: 0, moved: false };
}

function move(event) {
  if (!drag) return;
  const wanted = Math.trunc((drag.y - event.clientY) / DRAG);
  if (wanted === drag.done) return;
  drag.moved = true;
  step(drag.key, wanted - drag.done);
  drag.done = wanted;
}

function up(event) {
  if (!drag) return;
  const { key: name, moved } = drag;
  drag = null;
  const element = given(event.target);
  if (!moved && element?.dataset.given === name) openEdit(element);
  else endMark();
}

export function listen() {
  const stage = byId("stage");
  stage.addEventListener("keydown", key);
  stage.addEventListener("pointerdown", down);
  addEventListener("pointermove", move);
  addEventListener("pointerup", up);
  addEventListener("pointercancel", () => (drag = null));
  byId("editvalue").addEventListener("input", typed);
  byId("editvalue").addEventListener("keydown", inField);
  byId("editup").addEventListener("click", () => step(open.key, 1));
  byId("editdown").addEventListener("click", () => step(open.key, -1));
  byId("edit").addEventListener("submit", (event) => {
    event.preventDefault();
    if (byId("editvalue").getAttribute("aria-invalid") !== "true") close();
  });
  byId("edit").addEventListener("keydown", (event) => {
    if (event.key === "Escape" && open) cancel();
  });
  document.addEventListener("pointerdown", (event) => {
    if (open && !byId("edit").contains(event.target) && !given(event.target)) close(false);
  });
}
