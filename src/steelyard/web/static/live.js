// One line to the server: acts and questions out, answers and changed parts in. It reconnects by
// itself; what a person did while it was lost waits here, outlives the tab, and is sent when it is
// back. Each act has a key, so that one sent twice is done once.
import { lineIs } from "./line.js";
import { release } from "./press.js";

const LARGEST = 1_100_000;
const STILL = 2000; // ms between signs of life
const GONE = 6000; // ms without one, after which the line is lost
const FRESH = 24 * 3600 * 1000; // ms after which what waited is asked about, not sent
const KEEPS = `waiting ${location.pathname}`;
// What answers only, or means the last step of a moment that is past, is not done later.
const NOW = new Set(["try", "undo", "redo", "find", "apply", "run", "save", "take", "open"]);

export class Live {
  constructor(look, on) {
    this.look = look;
    this.on = on;
    this.next = 1;
    this.waiting = new Map();
    this.pause = 300;
    this.heard = 0;
    this.kept = remembered();
    setInterval(() => this.still(), STILL);
    addEventListener("offline", () => this.lose());
    addEventListener("online", () => { if (!this.socket) this.open(); });
  }

  open() {
    clearTimeout(this.again);
    if (this.socket) return;
    const address = new URL("live", location.href);
    address.protocol = location.protocol === "https:" ? "wss:" : "ws:";
    const socket = new WebSocket(address);
    this.socket = socket;
    this.heard = Date.now();
    socket.addEventListener("open", () => {
      this.pause = 300;
      this.heard = Date.now();
      this.on.found();
      this.post(null, {});
      document.documentElement.dataset.live = "yes";
      this.sendKept();
      this.tell();
    });
    socket.addEventListener("message", (event) => {
      if (this.socket !== socket) return;
      this.heard = Date.now();
      if (event.data !== "!") this.hear(JSON.parse(event.data));
    });
    socket.addEventListener("close", (event) => {
      if (this.socket !== socket) return;
      if (event.code === 4401) { location.assign("/"); return; }
      this.lose(event.code === 1013 ? event.reason : "");
    });
  }

  // Whether the other end is there; a network that is gone says nothing by itself.
  still() {
    if (this.socket?.readyState === WebSocket.OPEN) {
      if (Date.now() - this.heard > GONE) this.lose();
      else this.socket.send("?");
    } else if (this.socket && Date.now() - this.heard > GONE) this.lose();
  }

  lose(why = "") {
    const socket = this.socket;
    this.socket = null;
    socket?.close();
    document.documentElement.dataset.live = "no";
    for (const [id, one] of this.waiting) {
      if (one.key) continue;
      this.waiting.delete(id);
      one.done({ fault: "lost" });
    }
    this.on.lost();
    this.tell(why);
    clearTimeout(this.again);
    this.again = setTimeout(() => this.open(), this.pause);
    this.pause = Math.min(this.pause * 2, 5000);
  }

  // quiet: the answer is for the caller alone and is not told to the person.
  send(name, ask, { quiet = false } = {}) {
    const there = this.socket?.readyState === WebSocket.OPEN;
    const waits = name && !NOW.has(name);
    if (!there && !waits) {
      if (name && !quiet) this.on.fault("Not done: the line to Steelyard is lost.");
      return Promise.resolve({ fault: "lost" });
    }
    const key = waits ? newKey() : "";
    const fault = this.tooLong(name, ask, key);
    if (fault) { this.on.fault(fault); return Promise.resolve({ fault }); }
    if (waits) { this.kept.push({ key, name, ask, at: Date.now() }); this.remember(); }
    const answer = there ? this.post(name, ask, key, quiet) : this.await(key, quiet);
    if (!there) this.tell();
    return answer;
  }

  await(key, quiet) {
    return new Promise((done) => this.waiting.set(`later ${key}`, { done, quiet, key }));
  }

  post(name, ask, key = "", quiet = false) {
    const id = this.next++;
    const message = { id, look: this.look };
    if (name) { message.do = name; message.ask = ask; }
    if (key) message.key = key;
    this.socket.send(JSON.stringify(message));
    return new Promise((done) => this.waiting.set(id, { done, quiet, key }));
  }

  tooLong(name, ask, key) {
    const text = JSON.stringify({ id: this.next, look: this.look, do: name, ask, key });
    if (text.length <= LARGEST / 3 || new Blob([text]).size <= LARGEST) return "";
    return "Not done: this is too long to be sent at once (1,100,000 bytes).";
  }

  // What waited, in its order, with the keys it had; whoever waits for an answer gets this one's.
  sendKept({ old = false } = {}) {
    const asked = new Map([...this.waiting].filter(([, one]) => one.key).map(([id, one]) => [one.key, [id, one]]));
    for (const { key, name, ask, at } of this.kept) {
      if (!old && Date.now() - at > FRESH) continue;
      const [id, one] = asked.get(key) ?? [null, { done() {}, quiet: false }];
      this.waiting.delete(id);
      this.post(name, ask, key, one.quiet).then(one.done);
    }
  }

  forgetOld() {
    this.kept = this.kept.filter((one) => Date.now() - one.at <= FRESH);
    this.remember();
    this.tell();
  }

  answered(key) {
    if (!key) return;
    this.kept = this.kept.filter((one) => one.key !== key);
    this.remember();
    this.tell();
  }

  remember() {
    try {
      if (this.kept.length) localStorage.setItem(KEEPS, JSON.stringify(this.kept));
      else localStorage.removeItem(KEEPS);
    } catch { /* a full store: it waits in this tab alone */ }
  }

  tell(why = "") {
    const lost = this.socket?.readyState !== WebSocket.OPEN;
    const old = this.kept.filter((one) => Date.now() - one.at > FRESH);
    lineIs({ lost, why, waiting: this.kept.length - old.length, old,
      send: () => this.sendKept({ old: true }), forget: () => this.forgetOld() });
  }

  stop() { this.socket?.send(JSON.stringify({ id: 0, do: "stop", look: this.look })); }

  hear(message) {
    const press = message.parts && release();
    if (press) { press.then(() => this.hear(message)); return; }
    if (message.progress !== undefined) { this.on.progress(message.progress); return; }
    if (message.over) this.on.over();
    if (message.parts) this.on.parts(message.parts, message);
    if (message.revision !== undefined) document.body.dataset.revision = message.revision;
    if (message.working) this.on.working(message.working, true);
    if (message.settled) this.on.working(message.settled, false);
    if (message.news) this.on.said(message.news);
    const one = this.waiting.get(message.id);
    this.waiting.delete(message.id);
    this.answered(one?.key);
    if (message.fault && !one?.quiet) this.on.fault(message.fault);
    else if (message.said && !one?.quiet) this.on.said(message.said);
    one?.done(message);
  }
}

// randomUUID is not there on plain HTTP from another machine.
function newKey() {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((one) => one.toString(16).padStart(2, "0")).join("");
}

function remembered() {
  try { return JSON.parse(localStorage.getItem(KEEPS) ?? "[]"); } catch { return []; }
}
