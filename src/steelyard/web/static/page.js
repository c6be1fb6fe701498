// The page: sends what a person did, shows the parts that come back. It knows no numbers of its own.
import { Live } from "./live.js";
import { show, working } from "./parts.js";
import { beginDrag } from "./drag.js";
import { retype, settle, twin, wasIn, withUnit } from "./typed.js";

const narrow = matchMedia("(max-width: 40rem)");
export const look = {
  stage: null, open: ["load", "trip", "limits"], wide: true, units: null, plot: "share", choice: {},
};
// What was looked at is this rig's own.
const SEEN = `look ${location.pathname}`;
try {
  const remembered = JSON.parse(sessionStorage.getItem(SEEN) ?? "{}");
  for (const key of Object.keys(look)) if (key in remembered) look[key] = remembered[key];
} catch { sessionStorage.removeItem(SEEN); }
look.wide = !narrow.matches;
let held = null;
let heldIn = null;
let sending = null;

// Messages stand where the work is: in the bar for the drawing, else above the part that was
// worked in. A tap sends them away; what was done goes by itself, what failed stays.
let saidTimer = 0;
function stand(element) {
  const part = element?.closest?.("section [data-part]");
  const told = document.getElementById("told");
  const bar = document.getElementById("bar");
  if (part ? told.nextElementSibling === part : told.parentElement === bar) return;
  say("");
  complain("");
  if (part) part.before(told); else bar.append(told);
}
function say(words) {
  document.getElementById("said").textContent = words ?? "";
  clearTimeout(saidTimer);
  if (words) saidTimer = setTimeout(() => say(""), 12000);
}
function complain(words) { document.getElementById("fault").textContent = words ?? ""; }
function busy(words) {
  document.getElementById("busy").hidden = words === null;
  document.getElementById("busy-words").textContent = words ?? "";
}

// Whose the rig is, and who advised last, stand on the card until another is written there.
function sign() {
  const known = { owner: document.body.dataset.owner, adviser: localStorage.getItem("adviser") ?? "" };
  for (const [who, name] of Object.entries(known)) {
    const field = document.getElementById(`card-${who}`);
    if (field && look.choice[who] === undefined) field.value = name;
  }
}

export const live = new Live(look, {
  parts(parts, message) {
    if (sending && message.said !== undefined) {
      const { form, ask } = sending;
      if (settle(form, { taken: true, sent: ask }) && !form.dataset.stay) form.reset();
    }
    show(parts);
    sign();
    holding();
  },
  said(words) { say(words); complain(""); },
  fault: complain,
  working,
  progress: busy,
  over() { busy(null); },
  lost() { say(""); },
  found() {},
});

// A part of the rig that is chosen takes the place of what was looked for.
function chosen(what, value) {
  return { ...look.choice, ...(what === "rig" ? { find: "" } : {}), [what]: value };
}

function changeLook(change) {
  Object.assign(look, change);
  sessionStorage.setItem(SEEN, JSON.stringify(look));
  return live.send(null, {});
}

// What takes longer than a moment says so; a search for places tells its own progress.
const WAIT = "Being worked out…";
export async function act(name, ask) {
  const slow = name === "find" ? 0 : setTimeout(() => say(WAIT), 600);
  const answer = await live.send(name, ask);
  clearTimeout(slow);
  if (document.getElementById("said").textContent === WAIT) say("");
  return answer;
}

async function unfold(name, open = true) {
  const section = document.getElementById(`section-${name}`);
  if (!section) return;
  section.hidden = !open;
  if (!open) leave(section);
  const others = look.open.filter((one) => one !== name);
  await changeLook({ open: open ? [...others, name] : others });
  if (open) {
    if (section.contains(document.activeElement)) return;
    const head = document.getElementById(`head-${name}`);
    head.scrollIntoView({ block: "start" });
    head.focus({ preventScroll: true });
  }
}

// A section that is folded away hands the focus on to the next one.
function leave(section) {
  let next = section.nextElementSibling;
  while (next?.hidden) next = next.nextElementSibling;
  (next?.querySelector("h2") ?? document.getElementById("index")).focus({ preventScroll: true });
}

function hold(item, where) {
  held = held === item ? null : item;
  heldIn = where;
  holding();
  if (held) say(`${titleOf(held)} picked up: choose a place.`);
}

function titleOf(item) { return find(item)?.getAttribute("aria-label")?.split(",")[0] ?? item; }

function holding() {
  if (held && !document.querySelector(`[data-item="${CSS.escape(held)}"]`)) {
    held = null;
    if (!sending) say("What you had picked up is no longer aboard.");
  }
  document.body.classList.toggle("holding", held !== null);
  for (const chip of document.querySelectorAll(".item")) {
    const picked = chip.dataset.item === held;
    chip.classList.toggle("picked", picked);
    if (chip.hasAttribute("aria-pressed")) chip.setAttribute("aria-pressed", String(picked));
  }
  const panel = document.getElementById("held");
  if (panel) {
    panel.hidden = held === null;
    for (const input of panel.querySelectorAll("input[name=item]")) input.value = held ?? "";
    const name = panel.querySelector("[data-held-name]");
    if (name) name.textContent = held ? titleOf(held) : "";
  }
}

// The focus goes back from the panel of the item to the item.
function letGo() {
  const item = held;
  const inside = document.activeElement?.closest("#held");
  held = null;
  if (item && inside) find(item)?.focus();
  holding();
}

function find(item) {
  const name = `.item[data-item="${CSS.escape(item)}"]`;
  return document.querySelector(`#${heldIn ?? "part-load"} ${name}`) ?? document.querySelector(name);
}

async function putDown(place) {
  stand(document.getElementById(heldIn));
  const item = held;
  held = null;
  await act("move", { item, to: place });
  find(item)?.focus({ preventScroll: heldIn === "part-picture" });
}

const partOf = (element) => element.closest("[data-part]")?.id ?? null;

function shift(item, by) {
  const rows = [...document.querySelectorAll(".place-row")].map((row) => row.dataset.place);
  const from = document.querySelector(`.chip[data-item="${CSS.escape(item)}"]`)?.dataset.from;
  const to = rows[rows.indexOf(from) + by];
  if (to) { held = item; heldIn = partOf(document.activeElement); putDown(to); }
}

function asked(form) {
  const ask = {};
  for (const [key, value] of new FormData(form)) {
    const text = String(value).trim();
    if (text === "" && !form.dataset.keep?.split(" ").includes(key)) continue;
    ask[key] = key in ask ? `${ask[key]}, ${text}` : text;
  }
  const was = form.matches("[data-do=state], [data-do=read]") ? wasIn(form) : undefined;
  if (was !== undefined && ask.again === undefined) ask.was = was;
  return ask;
}

document.addEventListener("click", (event) => {
  if (event.target.closest("#said, #fault")) { say(""); complain(""); return; }
  const target = event.target.closest("button, [data-stage], .item, .heap, .place, .place-row, a");
  if (!target) return;
  if (!target.closest("#told")) stand(target);
  const data = target.dataset;
  if (data.do !== undefined && target.tagName === "BUTTON") {
    act(data.do, data.ask ? JSON.parse(data.ask) : {});
  } else if (data.open !== undefined) {
    if (data.choice !== undefined) look.choice = chosen(data.choice, data.value);
    unfold(data.open);
    if (data.then !== undefined) {
      stand(document.getElementById(`part-${data.open}`));
      act(data.then, {});
    }
  }
  else if (data.fold !== undefined) unfold(data.fold, false);
  else if (data.index !== undefined) showIndex();
  else if (data.stage !== undefined) changeLook({ stage: data.stage });
  else if (data.units !== undefined) changeLook({ units: data.units });
  else if (data.themeTo !== undefined) theme(data.themeTo);
  else if (data.choice !== undefined) {
    changeLook({ choice: chosen(data.choice, data.value) });
  } else if (data.stop !== undefined) live.stop();
  else if (data.letGo !== undefined) letGo();
  else if (data.item !== undefined && target.classList.contains("item")) hold(data.item, partOf(target));
  else if (data.place !== undefined && held) putDown(data.place);
  // A tap on a place in the drawing makes it grow: its things at a finger's size, or small again.
  else if (data.place !== undefined && target.closest("svg")) {
    changeLook({ choice: { ...look.choice, place: look.choice.place === data.place ? "" : data.place } });
  }
});

document.addEventListener("change", (event) => {
  const target = event.target;
  if (target.matches("[data-stage-pick]")) changeLook({ stage: target.value });
  else if (target.matches("[data-plot]")) changeLook({ plot: target.value });
  else if (target.matches("select[data-choice], input[data-choice]")) {
    if (target.dataset.choice === "adviser") localStorage.setItem("adviser", target.value);
    changeLook({ choice: { ...look.choice, [target.dataset.choice]: target.value } });
  }
});

// What is sent of one field waits for what was sent of it before, so that it is said over that.
const turns = new Map();

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.do === undefined) return;
  event.preventDefault();
  complain("");
  stand(form);
  const key = JSON.stringify([form.dataset.do, form.dataset.key]);
  const mine = (turns.get(key) ?? Promise.resolve()).then(() => send(form));
  turns.set(key, mine);
  mine.finally(() => { if (turns.get(key) === mine) turns.delete(key); });
});

async function send(form) {
  for (const field of form.querySelectorAll("[data-unit]")) field.value = withUnit(field);
  const own = sending = { form, ask: asked(form) };
  const answer = await act(form.dataset.do, own.ask);
  if (sending === own) sending = null;
  const lost = answer?.fault === "lost";
  const done = !lost && settle(form, { taken: !answer?.fault, sent: own.ask });
  const beside = twin(form).querySelector("[data-fault]");
  if (beside && !lost) {
    beside.textContent = answer?.fault ?? "";
    complain("");
  }
  if (done && answer && !answer.fault && !form.dataset.stay) form.reset();
}

document.addEventListener("keydown", (event) => {
  const typing = event.target.matches("input, textarea, select");
  const item = event.target.closest?.(".item")?.dataset.item;
  const place = event.target.closest?.(".place")?.dataset.place;
  const stage = event.target.closest?.("svg [data-stage]")?.dataset.stage;
  const key = event.key;
  if (event.ctrlKey || event.metaKey) {
    if (typing || key.toLowerCase() !== "z") return;
    event.preventDefault();
    stand(null);
    act(event.shiftKey ? "redo" : "undo", {});
  } else if (key === "Escape") { letGo(); say(""); complain(""); }
  else if (typing) return;
  else if (key === "?") showIndex();
  else if (item && event.altKey && (key === "ArrowLeft" || key === "ArrowRight")) {
    event.preventDefault();
    shift(item, key === "ArrowLeft" ? -1 : 1);
  } else if ((key === "Enter" || key === " ") && event.target.tagName !== "BUTTON") {
    if (item) { event.preventDefault(); hold(item, partOf(event.target)); }
    else if (place !== undefined && held) { event.preventDefault(); putDown(place); }
    else if (event.target.matches(".heap")) {
      event.preventDefault();
      event.target.dispatchEvent(new MouseEvent("click", { bubbles: true }));
    }
    else if (stage) { event.preventDefault(); changeLook({ stage }); }
  }
});

document.addEventListener("pointerdown", (event) => {
  const item = event.target.closest(".item");
  if (item && event.button === 0) {
    const where = partOf(item);
    beginDrag(event, item, live, (to) => { held = item.dataset.item; heldIn = where; putDown(to); });
  }
});

function showIndex() {
  const index = document.getElementById("index");
  index.scrollIntoView({ block: "start" });
  index.focus({ preventScroll: true });
}

function theme(name) {
  if (name) document.documentElement.dataset.theme = name;
  else delete document.documentElement.dataset.theme;
  localStorage.setItem("theme", name);
}
theme(localStorage.getItem("theme") ?? "");

narrow.addEventListener("change", () => changeLook({ wide: !narrow.matches }));
for (const name of look.open) {
  const section = document.getElementById(`section-${name}`);
  if (section) section.hidden = false;
}
retype(document);
live.open();
