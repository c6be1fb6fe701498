// The text of a file that a person chose.
const LARGEST = 1_000_000;

export async function textOf(file) {
  if (file.size > LARGEST) throw new Error(`${file.name}: expected a rig file of at most 1,000,000 bytes.`);
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
  } catch {
    throw new Error(`${file.name}: expected UTF-8 text, found something else.`);
  }
}
