// Readings: after one is taken the next empty field has the focus; a ticket file is read here.
let taken = null;
let asked = false;

function field(form) { return form?.querySelector("input[name=value]"); }

function onward(part) {
  const forms = [...part.querySelectorAll("form[data-do=read]")];
  if (asked) {
    const form = part.querySelector("form.asked");
    if (!form) return;
    asked = false;
    form.scrollIntoView({ block: "center" });
    field(form).focus({ preventScroll: true });
  } else if (taken !== null) {
    const mine = forms.findIndex((form) => form.dataset.key === taken);
    if (mine < 0 || forms[mine].dataset.read === undefined) return;
    taken = null;
    const next = forms.slice(mine + 1).find((form) => form.dataset.read === undefined && !form.closest("details"));
    field(next)?.focus();
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  taken = form.matches("form[data-do=read]") && form.dataset.read === undefined ? form.dataset.key : null;
});

document.addEventListener("click", (event) => {
  if (!event.target.closest("[data-weigh-go]")) return;
  asked = true;
  const section = document.getElementById("section-weigh");
  if (section.hidden) document.querySelector("[data-open=weigh]")?.click();
  else onward(document.getElementById("part-weigh"));
});

document.addEventListener("change", async (event) => {
  const file = event.target.matches("input[data-ticket-file]") && event.target.files[0];
  if (!file) return;
  const form = event.target.form ?? event.target.closest("details").querySelector("form");
  form.elements.name.value = file.name.slice(0, 80);
  form.elements.text.value = await file.text();
});

const part = document.getElementById("part-weigh");
new MutationObserver(() => onward(part)).observe(part, { childList: true });
