// Asking the lectern: one question at a time, and of those that wait only the latest.

export async function post(address, data, options = {}) {
  try {
    const answer = await fetch(address, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(data),
      ...options,
    });
    if (answer.headers.get("content-type")?.startsWith("application/json")) return answer.json();
    return { refused: (await answer.text()).trim() || "The lectern did not answer." };
  } catch {
    return { refused: "The lectern does not answer. Start it again, then go on here." };
  }
}

export class Latest {
  #busy = false;
  #waiting = null;

  // `build` gives the question when its turn comes, `done` takes the answer.
  ask(address, build, done) {
    if (this.#busy) {
      this.#waiting = [address, build, done];
      return;
    }
    this.#send(address, build, done);
  }

  get idle() {
    return !this.#busy;
  }

  async #send(address, build, done) {
    this.#busy = true;
    try {
      const question = build();
      if (question) done(await post(address, question), !this.#waiting);
    } finally {
      this.#busy = false;
      const waiting = this.#waiting;
      this.#waiting = null;
      if (waiting) this.#send(...waiting);
    }
  }
}
