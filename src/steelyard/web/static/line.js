// What is said of the line to Steelyard, on top of the page and over nothing: that it is lost, and
// what waits to be sent.
const bar = document.createElement("div");
bar.id = "line";
bar.setAttribute("role", "status");
document.body.prepend(bar);

const count = (n) => `${n} thing${n === 1 ? "" : "s"} you did`;

export function lineIs({ lost, why, waiting, old, send, forget }) {
  const said = [];
  if (lost) {
    said.push(why || "The line to Steelyard is lost; trying again. The machine it runs on must be on and near.");
    said.push(waiting ? `${count(waiting)} wait${waiting === 1 ? "s" : ""} here and will be sent.` : "You can go on: it waits here.");
  }
  const words = said.join(" ");
  const asks = !lost && old.length > 0;
  if (!asks && bar.textContent === words) return;
  bar.replaceChildren(words);
  if (asks) bar.append(...unsent(old, send, forget));
}

function unsent(old, send, forget) {
  const when = new Date(old[0].at).toLocaleString();
  const list = old.map((one) => `${one.name} ${Object.values(one.ask).join(" ")}`).join("; ").slice(0, 300);
  return [`${count(old.length)} since ${when} never reached Steelyard: ${list}. `,
    button("Send", send), " ", button("Forget", forget)];
}

function button(words, press) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = words;
  made.addEventListener("click", press);
  return made;
}
