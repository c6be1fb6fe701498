// Put parts of the page in place, keeping the focus, the caret and half-typed text where they were.
import { retype } from "./typed.js";

const KEYS = ["data-item", "data-person", "data-place", "data-stage", "data-open", "data-fold", "data-do", "data-ask",
  "data-choice", "data-value", "data-key", "name", "value"];
const STOPS = "a[href], button, select, input:not([type=hidden]), textarea, summary, [tabindex='0']";

function namesOf(element) {
  const found = element.id ? [`#${CSS.escape(element.id)}`] : [];
  const own = KEYS.map((key) => [key, element.getAttribute(key)]).filter(([, value]) => value);
  const form = element.form?.dataset.do ? `form[data-do="${CSS.escape(element.form.dataset.do)}"] ` : "";
  const tag = element.tagName.toLowerCase();
  for (let n = own.length; n > 0; n--) {
    found.push(form + tag + own.slice(0, n).map(([key, value]) => `[${key}="${CSS.escape(value)}"]`).join(""));
  }
  if (form && !own.length) found.push(form + tag);
  return found;
}

const stops = (part) => [...part.querySelectorAll(STOPS)];

function focused(element) {
  element?.focus({ preventScroll: true });
  return element && document.activeElement === element;
}

// The same element again; else the one that stands where it stood; else the section's heading.
function refocus(part, names, at) {
  for (const name of names) if ([...part.querySelectorAll(name)].some(focused)) return document.activeElement;
  const all = stops(part);
  for (let n = 0; n < all.length; n++) {
    for (const one of [all[at + n], all[at - n]]) {
      if (one && !one.matches("input, textarea, select") && focused(one)) return one;
    }
  }
  const head = part.closest("section")?.querySelector("h2") ?? document.getElementById("main");
  return focused(head) ? head : null;
}

function seen(element) {
  const { top, bottom } = element.getBoundingClientRect();
  return bottom > 0 && top < innerHeight;
}

function put(part, html) {
  const active = part.contains(document.activeElement) ? document.activeElement : null;
  const names = active ? namesOf(active) : [];
  const at = active ? stops(part).indexOf(active) : 0;
  const inView = active && active.matches(":focus-visible") && seen(active);
  const caret = active && "selectionStart" in active ? active.selectionStart : null;
  const unfolded = [...part.querySelectorAll("details[open][id]")].map((one) => one.id);
  part.innerHTML = html;
  retype(part);
  for (const id of unfolded) document.getElementById(id)?.setAttribute("open", "");
  if (!active) return;
  const again = refocus(part, names, Math.max(at, 0));
  // A field that is stated moves up among the stated ones; a keyboard's focus stays in sight.
  if (inView && again && !seen(again)) again.scrollIntoView({ block: "center" });
  if (caret !== null && again?.setSelectionRange && again.tagName === active.tagName) {
    try { again.setSelectionRange(caret, caret); } catch { /* a field without a caret */ }
  }
}

export function show(parts) {
  for (const [name, html] of Object.entries(parts)) {
    const part = document.getElementById(`part-${name}`);
    if (part) put(part, html);
  }
  const whose = document.querySelector(".whose [data-open=rig]");
  if (whose) document.title = `Steelyard: ${whose.textContent}`;
}

// Slow parts that are being worked out say so until they are there.
export function working(names, is) {
  for (const name of names) {
    document.getElementById(`part-${name}`)?.toggleAttribute("data-working", is);
    document.getElementById(`part-${name}`)?.setAttribute("aria-busy", String(is));
  }
}
