// One line to the server: questions out, answers and changed parts in; it reconnects by itself.
const LARGEST = 1_100_000;

export class Live {
  constructor(look, on) {
    this.look = look;
    this.on = on;
    this.next = 1;
    this.waiting = new Map();
    this.pause = 300;
  }

  open() {
    const address = new URL("live", location.href);
    address.protocol = location.protocol === "https:" ? "wss:" : "ws:";
    this.socket = new WebSocket(address);
    this.socket.addEventListener("open", () => {
      this.pause = 300;
      this.on.found();
      this.send(null, {});
      document.documentElement.dataset.live = "yes";
    });
    this.socket.addEventListener("message", (event) => this.hear(JSON.parse(event.data)));
    this.socket.addEventListener("close", (event) => {
      document.documentElement.dataset.live = "no";
      for (const one of this.waiting.values()) one.done({ fault: "lost" });
      this.waiting.clear();
      if (event.code === 4401) { location.assign("/"); return; }
      this.on.lost();
      setTimeout(() => this.open(), this.pause);
      this.pause = Math.min(this.pause * 2, 5000);
    });
  }

  // quiet: the answer is for the caller alone and is not told to the person.
  send(name, ask, { quiet = false } = {}) {
    if (this.socket?.readyState !== WebSocket.OPEN) {
      if (name && !quiet) this.on.fault("Not done: the line to Steelyard is lost.");
      return Promise.resolve({ fault: "lost" });
    }
    const id = this.next++;
    const message = { id, look: this.look };
    if (name) { message.do = name; message.ask = ask; }
    const text = JSON.stringify(message);
    if (text.length > LARGEST / 3 && new Blob([text]).size > LARGEST) {
      const fault = "Not done: this is too long to be sent at once (1,100,000 bytes).";
      this.on.fault(fault);
      return Promise.resolve({ fault });
    }
    this.socket.send(text);
    return new Promise((done) => this.waiting.set(id, { done, quiet }));
  }

  stop() { this.socket.send(JSON.stringify({ id: 0, do: "stop", look: this.look })); }

  hear(message) {
    if (message.progress !== undefined) { this.on.progress(message.progress); return; }
    if (message.over) this.on.over();
    if (message.parts) this.on.parts(message.parts, message);
    if (message.revision !== undefined) document.body.dataset.revision = message.revision;
    if (message.working) this.on.working(message.working, true);
    if (message.settled) this.on.working(message.settled, false);
    const one = this.waiting.get(message.id);
    this.waiting.delete(message.id);
    if (message.fault && !one?.quiet) this.on.fault(message.fault);
    else if (message.said && !one?.quiet) this.on.said(message.said);
    one?.done(message);
  }
}
