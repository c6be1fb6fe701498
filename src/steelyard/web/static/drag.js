// Drag an item to a place by mouse, finger or pen; what it would do comes from the server.
const FAR = 6;

export function beginDrag(event, item, live, drop) {
  const from = [event.clientX, event.clientY];
  let ghost = null;
  let over = null;
  let asked = 0;

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
    ghost.textContent = item.dataset.item;
    document.body.append(ghost);
    item.classList.add("dragged");
  }

  async function hover(place) {
    over?.classList.remove("over");
    over = place;
    over?.classList.add("over");
    ghost.textContent = item.dataset.item;
    if (!place) return;
    const mine = ++asked;
    const answer = await live.send("try", { item: item.dataset.item, to: place.dataset.place });
    if (mine === asked && ghost && answer.said) ghost.textContent = `${item.dataset.item}: ${answer.said}`;
  }

  function move(e) {
    const [dx, dy] = [e.clientX - from[0], e.clientY - from[1]];
    if (!ghost && Math.hypot(dx, dy) < FAR) return;
    if (!ghost) begin();
    ghost.style.left = `${Math.min(e.clientX + 12, innerWidth - 200)}px`;
    ghost.style.top = `${e.clientY - 40}px`;
    const place = placeAt(e.clientX, e.clientY);
    if (place?.dataset.place !== over?.dataset.place) hover(place);
  }

  function end(e) {
    removeEventListener("pointermove", move);
    removeEventListener("pointerup", end);
    removeEventListener("pointercancel", end);
    if (!ghost) return;
    ghost.remove();
    ghost = null;
    over?.classList.remove("over");
    item.classList.remove("dragged");
    const eat = (click) => { click.stopPropagation(); click.preventDefault(); };
    addEventListener("click", eat, { capture: true, once: true });
    setTimeout(() => removeEventListener("click", eat, { capture: true }), 60);
    if (e.type === "pointerup" && over) drop(over.dataset.place);
  }

  addEventListener("pointermove", move);
  addEventListener("pointerup", end);
  addEventListener("pointercancel", end);
}
