// A new circuit: an arrangement pointed at becomes a file of the folder.

import * as theme from "./look.js";
import { post } from "./talk.js";

const hint = document.getElementById("newhint");

async function begin(arrangement) {
  const name = document.getElementById("newname").value;
  const answer = await post("/api/new", { name, arrangement });
  if (answer.refused) {
    hint.textContent = answer.refused;
    document.getElementById("newname").focus();
  } else {
    location.assign(answer.address);
  }
}

document.addEventListener("click", (event) => {
  const card = event.target.closest("[data-arrangement]");
  if (card) begin(card.dataset.arrangement);
});
document.getElementById("new").addEventListener("submit", (event) => event.preventDefault());
theme.listen();
