// Keeping the file: written when the hand rests, and never over what somebody else wrote.

import { state } from "./store.js";
import { post } from "./talk.js";

const DRAFT = `steadypoint-draft:${state.file}`;
let timer = 0;
let writing = false;
let asking = false;
let reads = true;

const bar = () => document.getElementById("conflict");

export function changed(good) {
  reads = good;
  try {
    if (good) localStorage.removeItem(DRAFT);
    else localStorage.setItem(DRAFT, state.sheet);
  } catch {
    // Without a store of the browser there are no drafts; the file itself is not affected.
  }
  clearTimeout(timer);
  if (good && state.sheet !== state.saved) timer = setTimeout(save, 450);
}

async function save(options = {}) {
  if (writing || asking || !reads || state.sheet === state.saved) return;
  writing = true;
  const text = state.sheet;
  const data = { name: state.file, text, version: state.version };
  const answer = await post("/api/save", data, options);
  writing = false;
  if (answer.conflict) {
    conflict(answer.refused);
  } else if (answer.refused) {
    tell(answer.refused, [["Try again", () => save()]]);
  } else {
    state.version = answer.version;
    state.saved = text;
    if (state.sheet !== text) changed(reads);
  }
}

function tell(sentence, choices) {
  const place = bar();
  const line = document.createElement("p");
  line.textContent = sentence;
  const row = document.createElement("div");
  row.className = "bts";
  for (const [word, act] of choices) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "btn";
    button.textContent = word;
    button.addEventListener("click", () => {
      place.hidden = true;
      place.replaceChildren();
      asking = false;
      act();
    });
    row.append(button);
  }
  place.replaceChildren(line, row);
  place.hidden = false;
}

function conflict(sentence) {
  asking = true;
  tell(sentence, [
    ["Take that file", takeFile],
    ["Keep this one", keepThis],
  ]);
}

async function takeFile() {
  const found = await post("/api/file", { name: state.file });
  if (found.refused) {
    tell(found.refused, [["Keep this one", keepThis]]);
    return;
  }
  state.version = found.version;
  state.saved = found.text;
  document.dispatchEvent(new CustomEvent("steady-take", { detail: found.text }));
}

async function keepThis() {
  const found = await post("/api/version", { name: state.file });
  state.version = found.version ?? "";
  state.saved = null;
  save();
}

async function watch() {
  if (document.hidden || writing || asking) return;
  const known = state.version;
  const found = await post("/api/version", { name: state.file });
  const quiet = !writing && !asking && known === state.version;
  if (found.version === undefined || !quiet || found.version === known) return;
  if (found.version === "") {
    conflict(`'${state.file}' is no longer in the folder. Keep this one to write it anew.`);
  } else if (state.sheet === state.saved) {
    await takeFile();
  } else {
    conflict(`'${state.file}' was changed outside of the lectern. Take that file, or keep this one.`);
  }
}

setInterval(watch, 4000);
addEventListener("focus", watch);
addEventListener("pagehide", () => save({ keepalive: true }));

export function offerDraft() {
  let draft = null;
  try {
    draft = localStorage.getItem(DRAFT);
  } catch {
    return;
  }
  if (draft === null || draft === state.sheet) return;
  tell("A text that did not read yet was left here.", [
    ["Take it up again", () => document.dispatchEvent(new CustomEvent("steady-take", { detail: draft }))],
    ["Drop it", () => localStorage.removeItem(DRAFT)],
  ]);
}
