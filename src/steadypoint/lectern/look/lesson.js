// The lesson: written on the left of its page, which follows; saved when the hand rests.

import { Latest, post } from "./talk.js";
import { look } from "./view.js";

const queue = new Latest();
const box = () => document.getElementById("lessonbox");
const said = (sentence) => (document.getElementById("lessonsaid").textContent = sentence);
let timer = 0;
let shown = null;

function preview() {
  const place = box();
  if (!place) return;
  const text = document.getElementById("lessontext").value;
  shown = `${place.dataset.name}\n${text}`;
  queue.ask(
    "/api/lesson",
    () => ({ name: place.dataset.name, text }),
    (answer) => {
      if (answer.refused) said(answer.refused);
      else {
        said("");
        document.getElementById("lessonpage").src = `/preview/${answer.key}`;
      }
    },
  );
}

async function save() {
  const { name, version } = box().dataset;
  const text = document.getElementById("lessontext").value;
  const answer = await post("/api/save", { name, text, version });
  if (answer.refused) said(answer.refused);
  else box().dataset.version = answer.version;
  return !answer.refused;
}

function typed(event) {
  if (event.target.id !== "lessontext") return;
  clearTimeout(timer);
  timer = setTimeout(() => {
    preview();
    save();
  }, 500);
}

async function click(event) {
  const to = event.target.dataset.build;
  if (to && (await save())) {
    said("Building …");
    const answer = await post("/api/build", { name: box().dataset.name, to });
    said(answer.refused ?? `Written: ${answer.written.join(", ")}.`);
  }
  if (event.target.id === "newlesson") {
    const text = event.target.dataset.text;
    await post("/api/save", { name: "first lesson.md", text, version: "" });
    look();
  }
}

export function listen() {
  const area = document.getElementById("area");
  area.addEventListener("input", typed);
  area.addEventListener("click", click);
  document.addEventListener("steady-shown", () => {
    const place = box();
    if (!place) return;
    const text = document.getElementById("lessontext").value;
    if (shown !== `${place.dataset.name}\n${text}`) preview();
  });
}
