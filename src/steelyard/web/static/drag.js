// Drag an item to a place by mouse, finger or pen; what it would do comes from the server.
const FAR = 6;
const HOLD = 250;
const EDGE = 70;

export function beginDrag(event, item, live, drop) {
  const from = [event.clientX, event.clientY];
  // A finger on a chip scrolls the page unless it rests on it first.
  const patient = event.pointerType === "touch" && item.classList.contains("chip");
  const name = item.getAttribute("aria-label")?.split(",")[0] ?? item.dataset.item;
  let at = from;
  let ghost = null;
  let over = null;
  let asked = 0;
  let rolling = 0;
  let timer = patient ? setTimeout(begin, HOLD) : 0;

  function placeAt(x, y) {
    for (const one of document.elementsFromPoint(x, y)) {
      const place = one.closest(".place, .place-row");
      if (place) return place;
    }
    return null;
  }

  function begin() {
    ghost = document.createElement("div");
    ghost.id = "ghost";
    ghost.textContent = name;
    document.body.append(ghost);
    item.classList.add("dragged");
    document.body.classList.add("dragging");
    rolling = requestAnimationFrame(roll);
    follow();
  }

  function follow() {
    const box = ghost.getBoundingClientRect();
    const above = at[1] - box.height - 16;
    ghost.style.left = `${Math.max(4, Math.min(at[0] + 14, innerWidth - box.width - 4))}px`;
    ghost.style.top = `${above < 4 ? at[1] + 24 : above}px`;
  }

  async function hover(place) {
    over?.classList.remove("over");
    over = place;
    over?.classList.add("over");
    const mine = ++asked;
    ghost.textContent = name;
    follow();
    if (!place) return;
    const ask = { item: item.dataset.item, to: place.dataset.place };
    const answer = await live.send("try", ask, { quiet: true });
    if (mine !== asked || !ghost) return;
    const words = answer.fault === "lost" ? "the line to Steelyard is lost" : answer.fault ?? answer.said;
    ghost.textContent = `${name}: ${words}`;
    follow();
  }

  // Near the upper or lower edge the page rolls on beneath the pointer.
  function roll() {
    const near = at[1] < EDGE ? at[1] - EDGE : Math.max(0, at[1] - innerHeight + EDGE);
    if (near) { scrollBy(0, near / 4); look(); }
    rolling = requestAnimationFrame(roll);
  }

  function look() {
    const place = placeAt(...at);
    if (place !== over && (!place || !over || place.dataset.place !== over.dataset.place)) hover(place);
  }

  function move(e) {
    if (e.pointerId !== event.pointerId) return;
    at = [e.clientX, e.clientY];
    const far = Math.hypot(at[0] - from[0], at[1] - from[1]);
    if (!ghost && far < FAR) return;
    if (!ghost && patient) { stop(); return; }
    if (!ghost) begin();
    follow();
    look();
  }

  function still(e) { if (ghost && e.cancelable) e.preventDefault(); }

  function key(e) { if (e.key === "Escape" && ghost) { e.stopPropagation(); end({ type: "escape" }); } }

  function stop() {
    clearTimeout(timer);
    cancelAnimationFrame(rolling);
    removeEventListener("pointermove", move);
    removeEventListener("pointerup", end);
    removeEventListener("pointercancel", end);
    removeEventListener("keydown", key, { capture: true });
    removeEventListener("touchmove", still);
    removeEventListener("contextmenu", still);
  }

  function end(e) {
    if (e.pointerId !== undefined && e.pointerId !== event.pointerId) return;
    stop();
    if (!ghost) return;
    ghost.remove();
    ghost = null;
    over?.classList.remove("over");
    for (const one of document.querySelectorAll(".dragged")) one.classList.remove("dragged");
    document.body.classList.remove("dragging");
    const eat = (click) => { click.stopPropagation(); click.preventDefault(); };
    addEventListener("click", eat, { capture: true, once: true });
    setTimeout(() => removeEventListener("click", eat, { capture: true }), 60);
    if (e.type === "pointerup" && over) drop(over.dataset.place);
  }

  addEventListener("pointermove", move);
  addEventListener("pointerup", end);
  addEventListener("pointercancel", end);
  addEventListener("keydown", key, { capture: true });
  addEventListener("touchmove", still, { passive: false });
  addEventListener("contextmenu", still);
}
