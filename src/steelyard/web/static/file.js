// The text of a file that a person chose: a rig file, or a card's photo, whose codes the server reads.
const LARGEST = 1_000_000;
const PICTURE = 50_000_000;
const IMAGE = /^image\/|\/pdf$/;

export async function textOf(file) {
  if (IMAGE.test(file.type)) return cardOf(file);
  if (file.size > LARGEST) throw new Error(`${file.name}: expected a rig file of at most 1 MB, found ${(file.size / 1e6).toFixed(1)} MB.`);
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
  } catch {
    throw new Error(`${file.name}: expected UTF-8 text or a photo of a card, found something else.`);
  }
}

async function cardOf(file) {
  if (file.size > PICTURE) throw new Error(`${file.name}: expected a picture of at most 50 MB, found ${(file.size / 1e6).toFixed(1)} MB.`);
  let answer;
  try {
    answer = await fetch("/api/card/text", { method: "POST", body: file });
  } catch {
    throw new Error("Not opened: the line to Steelyard is lost.");
  }
  const found = await answer.json();
  if (!answer.ok) throw new Error(`${file.name}: ${found.fault}`);
  return found.text;
}
