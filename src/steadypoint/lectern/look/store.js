// What the page knows: the sheet now and before, the way here, and what is on disk.

const begin = JSON.parse(document.body.dataset.state ?? "{}");

export const state = {
  file: begin.file,
  sheet: begin.sheet,
  before: "",
  saved: begin.sheet,
  version: begin.version,
  area: begin.area,
  model: begin.model,
  options: begin.options ?? {},
  transistor: "",
  signalParts: true,
  worked: begin.worked,
  slow: begin.slow,
};

const KEY = `steadypoint-way:${state.file}`;
const way = { past: [], future: [], mark: "" };

// The way survives a reload: it counts only while the file is the one it led to.
try {
  const kept = JSON.parse(sessionStorage.getItem(KEY) ?? "null");
  if (kept && kept.sheet === state.sheet) {
    way.past = kept.past;
    way.future = kept.future;
    state.before = kept.before;
  }
} catch {
  sessionStorage.removeItem(KEY);
}

function keep() {
  try {
    const { past, future } = way;
    const kept = { past, future, sheet: state.sheet, before: state.before };
    sessionStorage.setItem(KEY, JSON.stringify(kept));
  } catch {
    // The store of the browser is full; undo still works until the page is left.
  }
}

// Take a new state; edits with the same mark are one step of undo.
export function advance(sheet, before, mark = "") {
  if (sheet === state.sheet && before === state.before) return;
  if (!mark || mark !== way.mark) way.past.push([state.sheet, state.before]);
  way.future = [];
  way.mark = mark;
  state.sheet = sheet;
  state.before = before;
  keep();
}

export function endMark() {
  way.mark = "";
}

export function stepBack() {
  return move(way.past, way.future);
}

export function stepOn() {
  return move(way.future, way.past);
}

function move(from, to) {
  const found = from.pop();
  if (!found) return false;
  to.push([state.sheet, state.before]);
  [state.sheet, state.before] = found;
  way.mark = "";
  keep();
  return true;
}

export function canGo() {
  return [way.past.length > 0, way.future.length > 0];
}

export function question(more = {}) {
  return {
    file: state.file,
    sheet: state.sheet,
    before: state.before,
    area: state.area,
    model: state.model,
    transistor: state.transistor,
    signal_parts: state.signalParts,
    options: state.options,
    ...more,
  };
}
