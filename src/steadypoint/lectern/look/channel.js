// Audience and script keep in step: a channel of this browser, one for each circuit.

const { file } = JSON.parse(document.body.dataset.talk);
const channel = new BroadcastChannel(`steadypoint-talk:${file}`);

export const tell = (message) => channel.postMessage(message);

export function hear(listener) {
  channel.addEventListener("message", (event) => listener(event.data));
}

// Where the talk stands: a line, and whether its numbers are shown.
export class Place {
  constructor(lines) {
    this.reveals = lines.map((line) => Number(line.dataset.reveals));
    this.line = 0;
    this.shown = 0;
  }

  next() {
    if (this.shown < this.reveals[this.line]) this.shown += 1;
    else if (this.line < this.reveals.length - 1) this.go(this.line + 1);
  }

  back() {
    if (this.shown > 0) this.shown -= 1;
    else if (this.line > 0) {
      this.line -= 1;
      this.shown = this.reveals[this.line];
    }
  }

  go(line, shown = 0) {
    this.line = Math.max(0, Math.min(this.reveals.length - 1, line));
    this.shown = Math.min(shown, this.reveals[this.line]);
  }
}
