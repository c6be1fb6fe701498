// What rides: a thing in hand shows what it would do to the ball in each place; a tap puts it there.
import { withUnit } from "./typed.js";
import { live, tell } from "./walk.js";

const part = document.getElementById("part-stop-rides");
let held = null;
let own = null;

const thing = () => part.querySelector(`[data-thing="${CSS.escape(held ?? "")}"]`);

function showHeld() {
  const one = thing();
  if (held && !one && !own) held = null;
  const effects = one ? JSON.parse(one.dataset.effects) : {};
  for (const spot of part.querySelectorAll("[data-effect]")) {
    const words = effects[spot.dataset.effect] ?? "";
    if (spot.textContent !== words) spot.textContent = words;
    spot.classList.toggle("lifts", words.startsWith("−"));
  }
  for (const chip of part.querySelectorAll("[data-thing]")) chip.setAttribute("aria-pressed", String(chip === one));
  part.querySelector(".rides")?.classList.toggle("holding", held !== null);
}

function hold(name) {
  held = held === name ? null : name;
  own = null;
  showHeld();
  const one = thing();
  if (!one) { tell("Pick a thing, then tap where it rides."); return; }
  const out = one.dataset.rides ? " Tap it again to let go." : "";
  tell(`In hand: ${one.innerText.replace(/\s+/g, " ")}. Tap a place: + presses on the ball, − lifts.${out}`);
}

async function put(place) {
  if (!held) { tell("Pick a thing first, then tap where it rides."); return; }
  const name = held, one = thing(), mine = own;
  held = own = null;
  const got = one?.dataset.rides
    ? await live.send("move", { item: name, to: place }, { quiet: true })
    : await live.send("add", { name, to: place, ...(mine ? { weight: mine } : {}) }, { quiet: true });
  tell(got.fault && got.fault !== "lost" ? got.fault : got.said ?? "The line to the laptop is lost: not done.");
  if (got.fault) { held = name; own = mine; }
  showHeld();
}

part.addEventListener("click", (event) => {
  const target = event.target.closest("button");
  if (!target) return;
  const data = target.dataset;
  if (data.thing !== undefined) hold(data.thing);
  else if (data.place !== undefined) put(data.place);
  else if (data.showMore !== undefined) {
    for (const one of part.querySelectorAll("[data-more]")) one.hidden = false;
    target.hidden = true;
  } else if (data.else !== undefined) {
    const form = part.querySelector("[data-new]");
    form.hidden = false;
    form.elements.name.focus();
  }
});

part.addEventListener("submit", (event) => {
  event.preventDefault();
  const form = event.target;
  const name = form.elements.name.value.trim(), weight = form.elements.weight.value.trim();
  if (!name || !weight) {
    tell("What is it, and what does it weigh?");
    form.elements[name ? "weight" : "name"].focus();
    return;
  }
  held = name;
  own = withUnit(form.elements.weight);
  form.reset();
  form.hidden = true;
  showHeld();
  tell(`In hand: ${name}, ${own}. Tap a place.`);
  part.querySelector(".put")?.focus();
});

// A flag is dragged, or moved by arrow keys, to where its place is.
function station(flag, metres) {
  const value = `${metres.toFixed(2)} m +- 0.30 m`;
  return live.send("state", { at: flag.dataset.at, value, basis: "measured" }, { quiet: true })
    .then((got) => { if (got.fault && got.fault !== "lost") tell(got.fault); });
}

part.addEventListener("pointerdown", (event) => {
  const flag = event.target.closest(".spot");
  if (!flag) return;
  event.preventDefault();
  flag.focus({ preventScroll: true });
  const svg = flag.ownerSVGElement;
  const unit = svg.getBoundingClientRect().width / svg.viewBox.baseVal.width;
  const from = event.clientX;
  let by = 0;
  const move = (one) => { by = (one.clientX - from) / unit; flag.setAttribute("transform", `translate(${by} 0)`); };
  const done = (one) => {
    removeEventListener("pointermove", move);
    removeEventListener("pointerup", done);
    removeEventListener("pointercancel", done);
    if (one.type === "pointerup" && Math.abs(by) > 2) station(flag, Number(flag.dataset.station) + by / Number(svg.dataset.scale));
    else flag.removeAttribute("transform");
  };
  addEventListener("pointermove", move);
  addEventListener("pointerup", done);
  addEventListener("pointercancel", done);
});

part.addEventListener("keydown", (event) => {
  const flag = event.target.closest?.(".spot");
  if (event.key === "Escape" && held) { hold(held); return; }
  if (!flag || !["ArrowLeft", "ArrowRight"].includes(event.key)) return;
  event.preventDefault();
  station(flag, Number(flag.dataset.station) + (event.key === "ArrowLeft" ? -0.1 : 0.1));
});

new MutationObserver(showHeld).observe(part, { childList: true });
