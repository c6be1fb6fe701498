// Put parts of the page in place, keeping the focus, the caret and half-typed text where they were.
const KEYS = ["id", "data-item", "data-place", "data-stage", "data-open", "data-do", "data-choice", "name"];

function nameOf(element) {
  for (const key of KEYS) {
    const value = element.getAttribute(key);
    if (value) return `${element.tagName.toLowerCase()}[${key}="${CSS.escape(value)}"]`;
  }
  return null;
}

function typed(part) {
  const fields = part.querySelectorAll("input:not([type=hidden]), textarea");
  return [...fields].filter((one) => one.value !== one.defaultValue && one.form?.dataset.do)
    .map((one) => [one.form.dataset.do, one.form.dataset.key ?? "", one.name, one.value]);
}

function retype(part, kept) {
  for (const [form, key, name, value] of kept) {
    for (const one of part.querySelectorAll(`form[data-do="${CSS.escape(form)}"] [name="${CSS.escape(name)}"]`)) {
      if ((one.form.dataset.key ?? "") === key) one.value = value;
    }
  }
}

export function show(parts) {
  for (const [name, html] of Object.entries(parts)) {
    const part = document.getElementById(`part-${name}`);
    if (!part) continue;
    const active = part.contains(document.activeElement) ? document.activeElement : null;
    const focus = active && nameOf(active);
    const caret = active && "selectionStart" in active ? active.selectionStart : null;
    const kept = typed(part);
    const unfolded = [...part.querySelectorAll("details[open][id]")].map((one) => one.id);
    part.innerHTML = html;
    retype(part, kept);
    for (const id of unfolded) document.getElementById(id)?.setAttribute("open", "");
    if (focus) {
      const again = part.querySelector(focus);
      again?.focus({ preventScroll: true });
      if (caret !== null && again?.setSelectionRange) {
        try { again.setSelectionRange(caret, caret); } catch { /* a field without a caret */ }
      }
    }
  }
}
