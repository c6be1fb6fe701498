"""Bits flipped in logbooks: what is exported afterwards is what was written, or it is named.

`python -m tests.stress.flips [BOOKS] [SEED]` prints how each of so many damaged books was answered.
"""

import json
import random
import sys
import tempfile
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

from click.testing import CliRunner
from tests.logbooks import made

from steelyard.cli import main
from steelyard.logbook.store import Logbook

Answer = Literal["as it was", "named", "refused", "ALTERED", "MISSING", "TRACEBACK"]
"""As it was: exit 0 and nothing changed. Named: exit 2, what is given is as it was written.
Refused: exit 2 and nothing is given. In capitals: what may not be."""
WEIGHINGS = 5


def sound(folder: Path) -> Path:
    """A logbook of five weighings, one of them written down as it went on."""
    path = folder / "logbook.sqlite"
    with Logbook.open(path) as book:
        for n in range(WEIGHINGS - 1):
            book.add(replace(made(f"n{n}"), trailer_kg=3000.0 + n, rig_name=f"rig {n % 2}"))
        book.go_on("run", made("going on"))
    return path


def exported(path: Path) -> tuple[int, str, BaseException | None]:
    """Exit code, what `log export` printed, and what was raised that is no exit."""
    done = CliRunner().invoke(main, ["log", "export", "--logbook", str(path)])
    error = done.exception if not isinstance(done.exception, SystemExit) else None
    return done.exit_code, done.stdout, error


def _entries(text: str) -> dict[int, Any]:
    return {one["id"]: one for one in json.loads(text)["weighings"]} if text.strip() else {}


def answer(path: Path, before: dict[int, Any]) -> Answer:
    """How a damaged book is answered."""
    code, text, error = exported(path)
    if error is not None:
        return "TRACEBACK"
    found = _entries(text)
    if any(before.get(number) != one for number, one in found.items()):
        return "ALTERED"
    if code == 0:
        return "as it was" if len(found) == len(before) else "MISSING"
    return "named" if text.strip() else "refused"


def flipped(data: bytes, rng: random.Random) -> bytes:
    """The same with one bit the other way."""
    at, bit = rng.randrange(len(data)), rng.randrange(8)
    return data[:at] + bytes([data[at] ^ 1 << bit]) + data[at + 1 :]


def tried(folder: Path, books: int, seed: int) -> Counter[Answer]:
    """How so many books were answered, each with another bit flipped."""
    path, rng, found = sound(folder), random.Random(seed), Counter[Answer]()
    data, before = path.read_bytes(), _entries(exported(path)[1])
    for _ in range(books):
        path.write_bytes(flipped(data, rng))
        found[answer(path, before)] += 1
        for left in path.parent.glob(f"{path.name}-*"):
            left.unlink()
    return found


if __name__ == "__main__":
    books, seed = (int(word) for word in (*sys.argv[1:], "200", "0")[:2])
    with tempfile.TemporaryDirectory() as name:
        answers = tried(Path(name), books, seed)
    for what, count in answers.most_common():
        sys.stdout.write(f"{count:6,} {what}\n")
    sys.exit(any(what.isupper() for what in answers))
