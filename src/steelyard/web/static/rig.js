// The rig's form: looking for a field while it is typed, and a rig file chosen instead of pasted.
import { textOf } from "./file.js";
import { live, look, act } from "./page.js";

const EDITABLE = 100_000;
let pause = 0;

function find(word) {
  clearTimeout(pause);
  pause = setTimeout(() => {
    look.choice = { ...look.choice, find: word };
    live.send(null, {});
  }, 250);
}

document.addEventListener("input", (event) => {
  if (event.target.form?.dataset.find !== undefined) find(event.target.value);
});

document.addEventListener("submit", (event) => {
  if (event.target.dataset.find === undefined) return;
  event.preventDefault();
  event.stopPropagation();
}, { capture: true });

document.addEventListener("change", async (event) => {
  const input = event.target;
  if (input.dataset.take === undefined || !input.files.length) return;
  const form = input.form;
  const beside = form.querySelector("[data-fault]");
  try {
    const text = await textOf(input.files[0]);
    const answer = await act("take", { text });
    if (beside) beside.textContent = answer.fault ?? "";
    if (answer.fault && text.length < EDITABLE) form.elements.text.value = text;
  } catch (error) {
    if (beside) beside.textContent = error.message;
  }
  input.value = "";
});
