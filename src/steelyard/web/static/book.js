// The book: looks for rigs while one types, sends what a person did, and shows the list that comes back.
import { textOf } from "./file.js";
import { release } from "./press.js";

const list = document.getElementById("book-list");
const look = document.querySelector("form[data-look]");
const EVERY = 5000;
let show = new URLSearchParams(location.search).get("show") ?? "";
let asked = 0;
let pause = 0;
let shown = "";

function say(words) { document.getElementById("said").textContent = words ?? ""; }

function wanted() {
  const query = new URLSearchParams(new FormData(look));
  if (show) query.set("show", show);
  return query;
}

// The list again, unless somebody is at work in it; what is unfolded stays unfolded.
async function refresh({ gently = false } = {}) {
  const mine = ++asked;
  const query = wanted();
  let html;
  try {
    const answer = await fetch(`/book/list?${query}&mark=${gently ? list.dataset.mark ?? "" : ""}`);
    document.documentElement.dataset.live = "yes";
    if (answer.status === 204) return;
    if (answer.status === 401) { location.assign("/enter"); return; }
    html = await answer.text();
    if (!answer.ok) { say(JSON.parse(html).fault); return; }
    if (mine === asked) list.dataset.mark = answer.headers.get("x-mark") ?? "";
  } catch {
    document.documentElement.dataset.live = "no";
    say("The line to Steelyard is lost; trying again…");
    return;
  }
  await release();
  if (mine !== asked || (gently && list.querySelector("details[open]"))) return;
  if (shown === html) return;
  const at = list.contains(document.activeElement) ? address(document.activeElement) : null;
  const open = [...list.querySelectorAll("details[open]")].map((one) => one.id);
  list.innerHTML = html;
  shown = html;
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  if (at) list.querySelector(at)?.focus({ preventScroll: true });
  history.replaceState(null, "", `?${query}`);
  if (list.querySelector("[data-waiting]")) setTimeout(refresh, 100);
}

function address(element) {
  const rig = element.closest("[data-rig]")?.dataset.rig;
  const line = rig ? `[data-rig="${rig}"] ` : "";
  if (element.name) return `${line}[name="${CSS.escape(element.name)}"]`;
  if (element.dataset.show !== undefined) return `[data-show="${CSS.escape(element.dataset.show)}"]`;
  return `${line}${element.tagName.toLowerCase()}`;
}

async function act(name, ask, beside, go) {
  if (beside) beside.textContent = "";
  try {
    const answer = await fetch(`/api/book/${name}`, {
      method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(ask),
    });
    const found = await answer.json();
    if (!answer.ok) { tell(found.fault, beside); return false; }
    if (go !== undefined) { location.assign(go === "" ? found.at : `${found.at}${go}`); return true; }
    say(found.said);
  } catch {
    tell("Not done: the line to Steelyard is lost.", beside);
    return false;
  }
  await refresh();
  return true;
}

function tell(words, beside) {
  if (beside) beside.textContent = words;
  else say(words);
}

const besideOf = (element) => element.closest("form, .sheet, details")?.querySelector("[data-fault]") ?? null;

document.addEventListener("submit", (event) => {
  const form = event.target;
  event.preventDefault();
  if (form === look) { refresh(); return; }
  const ask = JSON.parse(form.dataset.ask ?? "{}");
  for (const [key, value] of new FormData(form)) {
    const text = String(value).trim();
    if (text || form.dataset.keep?.split(" ").includes(key)) ask[key] = text;
  }
  act(form.dataset.book, ask, besideOf(form), form.dataset.go);
});

document.addEventListener("click", (event) => {
  const target = event.target.closest("button, a[data-show]");
  if (!target) return;
  const { show: wish, book, unfold } = target.dataset;
  if (wish !== undefined) { event.preventDefault(); show = wish; refresh(); }
  else if (unfold !== undefined) open(unfold);
  else if (book !== undefined) act(book, JSON.parse(target.dataset.ask), besideOf(target), target.dataset.go);
});

function open(name) {
  for (const button of document.querySelectorAll("[data-unfold]")) {
    const section = document.getElementById(button.dataset.unfold);
    const is = button.dataset.unfold === name && section.hidden;
    section.hidden = !is;
    button.setAttribute("aria-expanded", String(is));
    if (is) { section.scrollIntoView({ block: "nearest" }); section.querySelector("h2").focus({ preventScroll: true }); }
  }
}

document.addEventListener("input", (event) => {
  if (event.target.form !== look) return;
  clearTimeout(pause);
  pause = setTimeout(refresh, 150);
});

document.addEventListener("change", async (event) => {
  const input = event.target;
  if (input.dataset.take === undefined || !input.files.length) return;
  const beside = besideOf(input);
  try {
    input.form.elements.text.value = await textOf(input.files[0]);
    beside.textContent = "";
  } catch (error) { beside.textContent = error.message; }
});

setInterval(() => { if (!document.hidden) refresh({ gently: true }); }, EVERY);
document.addEventListener("visibilitychange", () => { if (!document.hidden) refresh({ gently: true }); });
if (list.querySelector("[data-waiting]")) refresh();
const theme = localStorage.getItem("theme");
if (theme) document.documentElement.dataset.theme = theme;
document.documentElement.dataset.live = "yes";
