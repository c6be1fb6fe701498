// The walk round a rig: one stop at a time; a field is saved when it is left, and nothing blocks.
import { Live } from "./live.js";

const desk = matchMedia("(min-width: 64rem)");
const look = { stage: null, open: [], wide: desk.matches, units: null, plot: "share", walk: true, choice: {} };
const stops = [...document.querySelectorAll("section[data-stop]")];
const names = stops.map((one) => one.dataset.stop).filter((one) => one !== "start" && one !== "list");
const WAIT = 1500;
const unsent = new Map();
const refused = new Map(); // what stays typed in its field, and why it was not taken
let here = null;
let body = null;
let bodyWords = "";
const begins = document.body.dataset.begins !== undefined;
let ready = false;

const section = (name = here) => stops.find((one) => one.dataset.stop === name);
const next = document.getElementById("next");
const skip = document.getElementById("skip");

export const live = new Live(look, {
  parts: show,
  said() {},
  fault(words) { document.getElementById("fault").textContent = words === "lost" ? "" : words; },
  working() {}, progress() {}, over() {},
  lost() {},
  found() { ready = true; },
});

// What a person did at the stop in view, said where the work is.
let told = "";
export function tell(words) {
  told = words;
  const line = document.getElementById("hand");
  if (line && line.textContent !== words) line.textContent = words;
}

// Parts come in; a field that has the focus, that is not sent yet or was refused keeps what is typed
// in it, and the field one types in stays clear of the foot.
function show(parts) {
  const clear = isClear();
  for (const [name, html] of Object.entries(parts)) {
    const part = document.getElementById(`part-${name}`);
    if (part) put(part, html);
  }
  for (const [at, ask] of unsent) {
    const field = document.getElementById(`f-${at}`);
    if (field && field !== document.activeElement) field.value = ask.value ?? "";
  }
  for (const at of refused.keys()) refuse(at);
  if (clear) document.activeElement.scrollIntoView({ block: "nearest" });
  if (told) tell(told);
  dashes();
  label();
}

function put(part, html) {
  const fresh = document.createElement("div");
  fresh.innerHTML = html;
  const rows = (one) => [...one.querySelectorAll("[data-row]")];
  const same = (a, b) => a.length === b.length && a.every((one, n) => one.dataset.row === b[n].dataset.row);
  const active = part.contains(document.activeElement) ? document.activeElement : null;
  if (part.id === "part-stop-rides" || !active || !same(rows(part), rows(fresh))) {
    const at = active ? questions(part).findIndex((one) => one.contains(active)) : -1;
    const names = active ? marks(active) : [];
    const typed = active?.matches("input.f") ? active.value : "";
    const open = part.querySelector("details")?.open;
    // What is half typed of a thing of one's own, and the list unfolded above it, stay.
    const own = part.querySelector("[data-new]:not([hidden])"), more = part.querySelector("[data-show-more][hidden]");
    part.innerHTML = html;
    if (open) part.querySelector("details").open = true;
    if (own) part.querySelector("[data-new]").replaceWith(own);
    if (more) part.querySelector("[data-show-more]")?.click();
    if (own?.contains(active)) active.focus({ preventScroll: true });
    else if (active) again(part, names, at);
    if (typed && document.activeElement.id === names[0]?.[1]) document.activeElement.value = typed;
    return;
  }
  const old = rows(part);
  rows(fresh).forEach((row, n) => {
    if (!old[n].contains(active)) { if (old[n].outerHTML !== row.outerHTML) old[n].replaceWith(row); return; }
    for (const name of [".said", ".other"]) {
      const mine = old[n].querySelector(name), new_ = row.querySelector(name);
      if (mine && new_ && mine.innerHTML !== new_.innerHTML && !mine.contains(active)) mine.replaceWith(new_);
    }
    for (const button of old[n].querySelectorAll("[data-pick]")) {
      const like = row.querySelector(`[data-pick="${CSS.escape(button.dataset.pick)}"]`);
      if (like) button.setAttribute("aria-pressed", like.getAttribute("aria-pressed"));
    }
  });
  for (const name of [".map", ".tape", ".seats", ".pasted"]) {
    const mine = part.querySelector(name), new_ = fresh.querySelector(name);
    if (!mine || !new_ || mine.outerHTML === new_.outerHTML) continue;
    if (!mine.contains(active)) mine.replaceWith(new_);
    else {
      const ids = marks(active);
      const text = active.matches("textarea") ? active.value : "";
      mine.replaceWith(new_);
      if (text) {
        new_.querySelector("details").open = true;
        new_.querySelector("textarea").value = text;
        new_.querySelector("textarea").focus({ preventScroll: true });
      } else again(part, ids);
    }
  }
}

// What tells an element from the others, whatever it holds now.
const MARKS = ["id", "data-pick", "data-thing", "data-place", "data-seat", "data-tank", "data-at"];
const marks = (one) => MARKS.map((name) => [name, one.getAttribute(name)]).filter(([, value]) => value);

// The same element again; where it is gone, what is asked in its place.
function again(part, own, number = -1) {
  const query = own.map(([name, value]) => `[${name}="${CSS.escape(value)}"]`).join("");
  const found = query ? part.querySelector(query) : null;
  const there = questions(part)[number];
  (found ?? (there && focusable(there)) ?? part.querySelector("h1"))?.focus({ preventScroll: true });
}

// Whether the field one types in stands above the foot.
function isClear() {
  const one = document.activeElement, foot = document.querySelector(".foot");
  return foot && one.matches("input.f") && one.getBoundingClientRect().bottom <= foot.getBoundingClientRect().top;
}

function dashes() {
  for (const field of document.querySelectorAll("input.f")) field.classList.toggle("empty", field.value === "");
}

// What can be filled in at a stop, in order: inputs, and groups of which one is picked.
function questions(of = section()) {
  return [...of.querySelectorAll("input.f[data-at], .pick")];
}

const focusable = (one) => (one.matches("input") ? one : one.querySelector("button"));
const words = (one) => one.dataset.words;

function following() {
  const all = questions();
  const at = all.findIndex((one) => one === document.activeElement || one.contains(document.activeElement));
  return { at, to: all[at + 1] };
}

function label() {
  if (begins) return;
  const start = here === "start" || here === "list";
  document.querySelector(".moves").hidden = start;
  document.querySelector(".foot").hidden = here === "start";
  if (start || !here) return;
  const { to, at } = following();
  const stop = names[names.indexOf(here) + 1];
  const after = stop && section(stop).querySelector("h1").firstChild.textContent;
  next.textContent = to && at >= 0 ? `Next: ${words(to)}` : after ? `Next: ${after.toLowerCase()}` : "See the verdict";
  skip.textContent = at < 0 ? "Undo" : to ? "Skip rest" : "Skip";
  for (const span of section().querySelectorAll("[data-span]")) {
    span.classList.toggle("lit", span.dataset.span === document.activeElement?.dataset.at);
  }
}

// Undo stands where the last stop's Skip stood: a thumb that taps twice takes nothing back.
const TWICE = 900; // ms
let arrived = 0;

function go(name, field) {
  here = name;
  arrived = Date.now();
  for (const one of stops) one.hidden = one.dataset.stop !== name;
  if (names.includes(name)) sessionStorage.setItem("stop", name);
  look.choice = { ...look.choice, stop: name };
  scrollTo(0, 0);
  const first = field ? document.getElementById(`f-${field}`) ?? section().querySelector(`[data-row="${CSS.escape(field)}"]`)
    : questions().find((one) => (one.matches("input") ? one.value === "" : !one.querySelector("[aria-pressed=true]")));
  const target = first ? focusable(first) ?? first : section().querySelector("h1");
  if (section().querySelector(".seats, .rides") && !field) section().querySelector("h1").focus({ preventScroll: true });
  else target?.focus({ preventScroll: true });
  if (field) target?.scrollIntoView({ block: "center" });
  label();
  if (ready) live.send(null, {});
}

function onward() {
  const { to, at } = following();
  if (to && at >= 0) { focusable(to).focus(); return; }
  const stop = names[names.indexOf(here) + 1];
  document.activeElement?.blur?.();
  if (stop) go(stop);
  else leave();
}

async function leave() {
  await Promise.all([...sending]);
  location.assign("./");
}

const sending = new Set();

function answer(at, ask) {
  unsent.set(at, ask);
  refused.delete(at);
  const sent = deliver(at, ask);
  sending.add(sent);
  sent.finally(() => sending.delete(sent));
  return sent;
}

async function deliver(at, ask) {
  const got = await live.send("answer", { at, ...ask }, { quiet: true });
  if (unsent.get(at) !== ask) return;
  if (got.fault === "lost") return;
  unsent.delete(at);
  if (got.fault) {
    const clear = isClear();
    refused.set(at, { ...ask, ...got });
    refuse(at);
    if (clear) document.activeElement.scrollIntoView({ block: "nearest" });
    document.getElementById("fault").textContent = got.fault;
  } else {
    const row = rowOf(at);
    if (!row?.querySelector("[data-sure], [data-mend]")) row?.querySelector("input.f")?.removeAttribute("aria-invalid");
  }
  dashes();
}

const rowOf = (at) => document.querySelector(`[data-row="${CSS.escape(at)}"]`);

// Say at its field why an answer was not taken.
function refuse(at) {
  const { value, fault, mend } = refused.get(at), row = rowOf(at);
  if (!row) return;
  const said = row.querySelector(".said"), field = row.querySelector("input.f");
  if (!said.querySelector("[data-refused]")) said.innerHTML = '<div class="err" role="alert" data-refused><span></span><button type="button"></button></div>';
  said.querySelector("span").textContent = fault;
  const button = said.querySelector("button");
  button.dataset.mend = mend ?? "";
  button.textContent = mend ? `Make it ${mend}` : "Clear it";
  field?.setAttribute("aria-invalid", "true");
  if (field && field !== document.activeElement) field.value = value;
}

document.addEventListener("change", (event) => {
  const field = event.target;
  if (!field.matches("input.f[data-at]")) return;
  field.closest("[data-row]").querySelector(".said").replaceChildren();
  field.removeAttribute("aria-invalid");
  answer(field.dataset.at, { value: field.value.trim() || null, unit: field.dataset.unit || null });
});
document.addEventListener("input", (event) => {
  if (event.target.matches("input.f")) event.target.classList.toggle("empty", event.target.value === "");
  if (event.target.matches("#find")) sift(event.target.value);
});
document.addEventListener("focusin", (event) => {
  label();
  if (event.target.matches("input.f[data-at]")) event.target.select();
});
document.addEventListener("keydown", (event) => {
  if (event.key === "Enter" && event.target.matches("input.f[data-at]")) { event.preventDefault(); onward(); }
  else if (event.key === "Escape" && here === "list") go(sessionStorage.getItem("from") ?? names[0]);
  else if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z" && !event.target.matches("input")) {
    event.preventDefault();
    live.send(event.shiftKey ? "redo" : "undo", {});
  }
});
// A press on the foot does not take the focus from the field first, so that the keypad stays.
for (const kind of ["pointerdown", "mousedown"]) {
  document.querySelector(".moves")?.addEventListener(kind, (event) => event.preventDefault());
}
next?.addEventListener("click", onward);
skip?.addEventListener("click", () => {
  if (skip.textContent === "Undo") {
    if (Date.now() - arrived > TWICE) live.send("undo", {});
    return;
  }
  const stop = names[names.indexOf(here) + 1];
  document.activeElement?.blur?.();
  if (stop) go(stop); else leave();
});

// A label's text goes to the server, and only its numbers come back; it is kept nowhere.
document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (form.dataset.paste === undefined) return;
  event.preventDefault();
  const got = await live.send("paste", { text: form.elements.text.value, stop: form.dataset.paste }, { quiet: true });
  if (got.fault) document.getElementById("fault").textContent = got.fault === "lost" ? "The line is lost: not read." : got.fault;
  else form.elements.text.value = "";
});

function sift(word) {
  const parts = word.toLowerCase().split(/\s+/).filter(Boolean);
  for (const one of document.querySelectorAll("[data-found]")) {
    one.hidden = parts.length ? !parts.every((part) => one.dataset.found.includes(part)) : one.dataset.of !== undefined;
  }
  document.querySelector("[data-stop=list] .none").hidden = document.querySelector("[data-found]:not([hidden])") !== null;
}

async function begin(style, words) {
  const region = document.getElementById("region").value;
  const country = (navigator.language ?? "").split("-")[1];
  const ask = { ...(/^[A-Z]{2}$/.test(country) ? { country } : {}), name: `${bodyWords}, ${words}`, vehicle: body, style, region };
  const got = begins ? await added(ask) : await live.send("begin", ask);
  document.getElementById("start-fault").textContent = got.fault === "lost" ? "The line to Steelyard is lost." : got.fault ?? "";
  if (got.at) { sessionStorage.removeItem("stop"); location.assign(`${got.at}walk`); }
  else if (!got.fault) { history.replaceState(null, "", "walk"); go(names[0]); }
}

// A new rig of the book.
async function added(ask) {
  try {
    const headers = { "content-type": "application/json" };
    const answer = await fetch("/api/book/new", { method: "POST", headers, body: JSON.stringify(ask) });
    return await answer.json();
  } catch { return { fault: "lost" }; }
}

document.addEventListener("click", (event) => {
  const target = event.target.closest("button");
  if (!target) return;
  const data = target.dataset;
  if (data.body !== undefined) {
    body = data.body;
    bodyWords = target.innerText.trim();
    section().querySelector("[data-half=body]").hidden = true;
    section().querySelector("[data-half=style]").hidden = false;
    section().querySelector("h1").focus();
    scrollTo(0, 0);
  } else if (data.style !== undefined) begin(data.style, target.innerText.trim());
  else if (data.back !== undefined) {
    const before = names[names.indexOf(here) - 1];
    if (before) go(before); else location.assign("./");
  } else if (data.list !== undefined) {
    if (here !== "list") sessionStorage.setItem("from", here);
    go("list");
  } else if (data.from !== undefined) go(sessionStorage.getItem("from") ?? names[0]);
  else if (data.go !== undefined) go(data.go, data.field);
  else if (data.pick !== undefined) {
    for (const one of target.parentElement.children) one.setAttribute("aria-pressed", String(one === target));
    // A pick may change what is asked next; where the line is lost one goes on without waiting.
    const taken = answer(data.at, { value: data.pick, unit: data.unit || null });
    Promise.race([taken, new Promise((done) => setTimeout(done, WAIT))]).then(onward);
  } else if (data.mend !== undefined || data.sure !== undefined) mend(target);
  else if (data.do !== undefined) live.send(data.do, JSON.parse(data.ask));
});

function mend(button) {
  const row = button.closest("[data-row]");
  const field = row.querySelector("input.f");
  const value = button.dataset.sure !== undefined ? field.value : button.dataset.mend;
  const unit = field.dataset.unit;
  field.value = unit && value.endsWith(` ${unit}`) ? value.slice(0, -unit.length - 1) : value;
  field.removeAttribute("aria-invalid");
  row.querySelector(".said").replaceChildren();
  field.focus({ preventScroll: true });
  answer(field.dataset.at, { value: value || null, unit: unit || null, sure: button.dataset.sure !== undefined });
}

desk.addEventListener("change", () => { look.wide = desk.matches; if (ready) live.send(null, {}); });
const theme = localStorage.getItem("theme") ?? "";
if (theme) document.documentElement.dataset.theme = theme;
const language = navigator.language ?? "";
if (/-(AU|NZ)$/.test(language)) document.getElementById("region").value = "australia-new-zealand";
else if (!/-(US|CA)$/.test(language) && language !== "en") document.getElementById("region").value = "europe";
addEventListener("pagehide", () => document.activeElement?.blur?.()); // what is half typed is sent
const last = sessionStorage.getItem("stop");
go(begins || location.hash === "#new" ? "start" : names.includes(last) ? last : names[0]);
if (begins) document.documentElement.dataset.live = "yes";
else live.open();
