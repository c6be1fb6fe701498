// Half-typed text outlives the tab: it is kept in this browser until it is sent or taken back, with
// what stood in the field when it was typed over.
const KEEPS = `typed ${location.pathname}`;
const MOST = 100;
let kept = read();

function read() {
  try { return JSON.parse(localStorage.getItem(KEEPS) ?? "{}"); } catch { return {}; }
}

function write() {
  const names = Object.keys(kept);
  for (const name of names.slice(0, Math.max(0, names.length - MOST))) delete kept[name];
  try {
    if (names.length) localStorage.setItem(KEEPS, JSON.stringify(kept));
    else localStorage.removeItem(KEEPS);
  } catch { /* a full store: it stays in this tab alone */ }
}

const nameOf = (field) => JSON.stringify([field.form.dataset.do, field.form.dataset.key ?? "", field.name]);

function isTyped(field) {
  return field.matches?.("input:not([type=hidden], [type=file], [type=checkbox], [type=radio]), textarea")
    && field.form?.dataset.do && field.name && field.form.dataset.find === undefined;
}

// A bare number in the unit that its field names.
export function withUnit(field) {
  const text = field.value.trim(), unit = field.dataset.unit;
  return unit && /^\d[\d.,]*$/.test(text) ? `${text} ${unit}` : text;
}

// What stood in a form's field when it was typed over; what stands there now where it was not.
export function wasIn(form) {
  const field = form.elements.value;
  return field?.defaultValue === undefined ? undefined : kept[nameOf(field)]?.was ?? field.defaultValue;
}

// The same form in the page as it is now.
export function twin(form) {
  if (form.isConnected) return form;
  const all = document.querySelectorAll(`form[data-do="${CSS.escape(form.dataset.do)}"]`);
  return [...all].find((one) => (one.dataset.key ?? "") === (form.dataset.key ?? "")) ?? form;
}

// Sent and taken, or refused: what stands there now is what the person has seen, and what was taken
// stands there though the page is not made anew yet. Whether nothing else was typed meanwhile.
export function settle(form, { taken, sent = {} }) {
  const now = twin(form);
  let all = true;
  for (const field of now.elements) {
    if (!isTyped(field)) continue;
    const name = nameOf(field), text = sent[field.name];
    if (taken && now === form && text !== undefined) field.defaultValue = text;
    if (taken && (text === undefined || field.value.trim() === text)) delete kept[name];
    else if (kept[name]) { kept[name].was = field.defaultValue; all = false; }
  }
  write();
  return all;
}

// Put back what was typed into the fields of a part that has just been made.
export function retype(part) {
  for (const field of part.querySelectorAll("input, textarea")) {
    if (!isTyped(field)) continue;
    const one = kept[nameOf(field)];
    if (one === undefined) continue;
    field.value = one.text;
    const beside = field.form.querySelector("[data-fault]");
    if (one.was !== field.defaultValue && beside && !beside.textContent) {
      beside.textContent = `Meanwhile this is ${field.defaultValue ? `“${field.defaultValue}”` : "empty"}; yours is not sent yet.`;
    }
  }
}

document.addEventListener("input", (event) => {
  const field = event.target;
  if (!isTyped(field)) return;
  const name = nameOf(field);
  if (field.value === field.defaultValue) delete kept[name];
  else kept[name] = { text: field.value, was: kept[name]?.was ?? field.defaultValue };
  write();
});

document.addEventListener("reset", (event) => {
  for (const field of event.target.elements) if (isTyped(field)) delete kept[nameOf(field)];
  write();
});
