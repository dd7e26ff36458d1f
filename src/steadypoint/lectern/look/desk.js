// The desk: head, fold, plate and leaf brought together.

import * as area from "./area.js";
import * as edit from "./edit.js";
import * as theme from "./look.js";
import * as lesson from "./lesson.js";
import { offerDraft } from "./save.js";
import { advance, state, stepBack, stepOn } from "./store.js";
import { buttons, byId, later, leafApart, look } from "./view.js";

function go(name, push = true) {
  if (name === state.area) return;
  state.area = name;
  if (push) {
    state.options = {};
    area.address(true);
  }
  for (const link of document.querySelectorAll(".fold a")) {
    if (link.dataset.area === name) link.setAttribute("aria-current", "page");
    else link.removeAttribute("aria-current");
  }
  byId("goto").value = name;
  area.marks();
  look({}, { done: () => byId("areaname")?.focus({ preventScroll: true }) });
}

function keep() {
  advance(state.sheet, "");
  look();
}

function putBack() {
  if (!state.before) return;
  look({ sheet: state.before, before: "" });
}

function travel(step) {
  if (step()) look();
}

const KEYS = { k: () => keep(), b: () => putBack(), p: () => byId("present").click() };

function key(event) {
  const command = event.ctrlKey || event.metaKey;
  const field = /^(INPUT|TEXTAREA|SELECT)$/.test(event.target.nodeName);
  const letter = event.key.toLowerCase();
  if (command && letter === "z" && !(field && event.target.type === "text")) {
    event.preventDefault();
    travel(event.shiftKey ? stepOn : stepBack);
  } else if (command && letter === "y") {
    event.preventDefault();
    travel(stepOn);
  } else if (!command && !event.altKey && !field && byId("keys").checked && letter in KEYS) {
    KEYS[letter]();
  }
}

function click(event) {
  const link = event.target.closest("a[data-area]");
  if (link && !event.ctrlKey && !event.metaKey && !event.shiftKey) {
    event.preventDefault();
    go(link.dataset.area);
  }
  const act = event.target.closest("[data-do]")?.dataset.do;
  if (act === "keep") keep();
  if (act === "back") putBack();
}

function listen() {
  area.listen();
  edit.listen();
  lesson.listen();
  theme.listen();
  document.addEventListener("click", click);
  document.addEventListener("keydown", key);
  byId("undo").addEventListener("click", () => travel(stepBack));
  byId("redo").addEventListener("click", () => travel(stepOn));
  byId("print").addEventListener("click", () => print());
  byId("goto").addEventListener("change", (event) => go(event.target.value));
  byId("file").addEventListener("change", (event) => {
    location.assign(`/desk/${encodeURIComponent(event.target.value)}/${state.area}`);
  });
  byId("signal").addEventListener("change", (event) => {
    state.signalParts = event.target.checked;
    look();
  });
  for (const radio of document.querySelectorAll("input[name=model]")) {
    radio.addEventListener("change", () => {
      state.model = radio.value;
      area.address();
      look();
    });
  }
  byId("point").addEventListener("change", (event) => {
    state.transistor = event.target.value;
    look();
  });
  addEventListener("popstate", (event) => {
    const name = event.state?.area ?? location.pathname.split("/").at(-1);
    state.options = Object.fromEntries(new URLSearchParams(location.search));
    delete state.options.model;
    go(name, false);
  });
  document.addEventListener("steady-take", (event) => look({ sheet: event.detail, before: "" }));
}

listen();
area.marks();
buttons();
offerDraft();
history.replaceState({ area: state.area }, "");
if (byId("stage").clientWidth < 480) {
  byId("signal").checked = false;
  state.signalParts = false;
  state.worked = false;
}
if (!state.worked || state.before) look();
else {
  if (state.slow) leafApart();
  later();
  document.dispatchEvent(new CustomEvent("steady-shown"));
}
