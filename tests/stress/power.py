"""Power cut at any moment: what was not synced is lost, in part or whole, in any order.

A library laid over the system's (power.c, built with the machine's C compiler) notes every write,
sync, rename and removal of a child. From these notes the disk is put together as it may be at a
cut: what was synced is there; of the later writes any may be there, whole or in part; names changed
since their folder was synced may be the old ones. `python -m tests.stress.power [CUTS] [SEED]`.
"""

import os
import random
import struct
import subprocess
import sys
import sysconfig
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from tests.logbooks import made

from steelyard.files.autosave import Autosave
from steelyard.logbook.rigs import Rigs
from steelyard.logbook.store import Logbook

HERE = Path(__file__).parent
SECTOR = 512
"""Bytes that a disk writes whole or not at all."""
WEIGHINGS = """
import os, sys
from pathlib import Path
from steelyard.logbook.store import Logbook
from tests.logbooks import made
folder = Path(sys.argv[1])
said = os.open(folder / "said", os.O_WRONLY | os.O_CREAT)
for turn in range(6):
    with Logbook.open(folder / "logbook.sqlite") as book:
        for n in range(2):
            os.write(said, f"{book.add(made(f'{turn} {n}'))}\\n".encode())
"""
SAVES = """
import os, sys
from pathlib import Path
from steelyard.files.demo import demo_rigs
from steelyard.files.edits import replace_text
from steelyard.files import write_new
folder = Path(sys.argv[1])
said = os.open(folder / "said", os.O_WRONLY | os.O_CREAT)
rig = demo_rigs()["perihelion-camper.toml"]
for turn in range(8):
    text = f"{rig}\\n# save {turn}\\n"
    if turn:
        replace_text(folder / "rig.toml", None, text)
    else:
        write_new(folder / "rig.toml", text)
    os.write(said, f"{turn}\\n".encode())
"""

ACTS = """
import os, sys
from pathlib import Path
from steelyard.files.autosave import Autosave
from steelyard.web.flush import Flush
from steelyard.web.session import Step
from steelyard.web.state import State
folder = Path(sys.argv[1])
said = os.open(folder / "said", os.O_WRONLY | os.O_CREAT)
steps = []
for turn in range(3):
    keeper = Autosave(folder / "rig.toml", "secret", "text")
    flush = Flush(keeper.path)
    for n in range(5):
        steps.append(Step(revision=len(steps), state=State(data={"format": 1, "name": f"{n}"})))
        keeper.keep(steps, len(steps) - 1, len(steps))
        if n % 2:
            flush.now()
            os.write(said, f"{len(steps)}\\n".encode())
    keeper.close()
"""

BOOK_ACTS = """
import os, sys
from pathlib import Path
from steelyard.logbook.rigs import Rigs
from steelyard.web.book.shelf import RigKeeper
from steelyard.web.flush import Flush
from steelyard.web.session import Step
from steelyard.web.state import State
folder = Path(sys.argv[1])
said = os.open(folder / "said", os.O_WRONLY | os.O_CREAT)
rigs = Rigs(folder / "book.sqlite")
steps = [Step(revision=0, state=State(data={"format": 1, "name": "0"}))]
keeper = RigKeeper(rigs, rigs.work(rigs.add("0", steps[0].written())))
flush = Flush(keeper.path)
for n in range(1, 13):
    steps.append(Step(revision=n, state=State(data={"format": 1, "name": f"{n}"})))
    keeper.keep(steps, n, n)
    if n % 4 == 0:
        flush.now()
        os.write(said, f"{n}\\n".encode())
rigs.close()
"""


@dataclass(frozen=True, slots=True)
class Note:
    """One change: what, of which file, where, and its bytes or the other name."""

    what: str
    name: str
    at: int
    held: bytes


@dataclass(slots=True)
class _File:
    synced: bytearray = field(default_factory=bytearray)
    waiting: list[Note] = field(default_factory=list)


def library(folder: Path) -> Path:
    """The library that takes the notes, built."""
    path = folder / "power.so"
    compiler = (sysconfig.get_config_var("CC") or "cc").split()[0]
    tool = compiler if Path(compiler).is_file() else "cc"
    command = [tool, "-shared", "-fPIC", "-O1", "-o", str(path), str(HERE / "power.c"), "-ldl"]
    subprocess.run(command, check=True, capture_output=True)
    return path


def noted(script: str, folder: Path, built: Path) -> list[Note]:
    """What a child did to the files of a folder."""
    root, log = folder / "disk", folder / "log"
    root.mkdir()
    world = {"LD_PRELOAD": str(built), "POWER_ROOT": str(root), "POWER_LOG": str(log)}
    command = [sys.executable, "-c", script, str(root)]
    subprocess.run(command, check=True, env={**os.environ, **world}, cwd=HERE.parents[1])
    return list(_notes(log.read_bytes()))


def _notes(data: bytes) -> list[Note]:
    found, at = [], 0
    while at < len(data):
        op, name, size, place = struct.unpack_from("<4q", data, at)
        at += 32
        texts = data[at : at + name], data[at + name : at + name + size]
        at += name + size
        found.append(Note(chr(op), texts[0].decode(), place, texts[1]))
    return found


def disk(notes: Sequence[Note], rng: random.Random) -> tuple[dict[str, bytes], bytes]:
    """Files by name as they may be at a cut after these notes, and what had been said by then."""
    files: dict[str, _File] = {}
    kept: dict[str, _File] = {}
    moves: list[tuple[Note, _File]] = []
    said = b""
    for note in notes:
        if note.name.endswith("/said"):
            said += note.held if note.what == "w" else b""
        elif note.what in "crul":
            moves.append((note, _File()))
            _move(files, *moves[-1])
        elif note.what == "s" and note.name not in files:
            kept, moves = dict(files), []
        elif note.what == "s":
            one = files[note.name]
            for write in one.waiting:
                _apply(one.synced, write)
            one.waiting.clear()
        else:
            files.setdefault(note.name, _File()).waiting.append(note)
    names = dict(kept)
    for move in moves[: rng.randint(0, len(moves))]:
        _move(names, *move)
    return {name: bytes(_torn(one, rng)) for name, one in names.items()}, said


def _move(files: dict[str, _File], note: Note, new: _File) -> None:
    other = note.held.decode()
    if note.what == "c":
        files.setdefault(note.name, new)
    elif note.what == "u":
        files.pop(note.name, None)
    elif note.name in files:
        files[other] = files[note.name] if note.what == "l" else files.pop(note.name)


def _torn(file: _File, rng: random.Random) -> bytearray:
    """What was synced, and of what came later any part."""
    data, share = bytearray(file.synced), rng.choice((0.0, 0.5, 0.9, 1.0))
    for write in file.waiting:
        if rng.random() < share:
            sectors = -(-len(write.held) // SECTOR)
            size = SECTOR * rng.randint(0, sectors) if rng.random() < 0.2 else len(write.held)
            _apply(data, Note(write.what, write.name, write.at, write.held[:size]))
    return data


def _apply(data: bytearray, write: Note) -> None:
    if write.what == "t":
        del data[write.at :]
        data.extend(bytes(write.at - len(data)))
        return
    data.extend(bytes(max(write.at - len(data), 0)))
    data[write.at : write.at + len(write.held)] = write.held


def _restored(held: dict[str, bytes], folder: Path) -> None:
    folder.mkdir()
    for name, data in held.items():
        if not name.endswith("-shm"):  # memory of a machine that is off
            (folder / Path(name).name).write_bytes(data)


def _after_cuts(
    notes: Sequence[Note], cuts: int, rng: random.Random, folder: Path
) -> Iterator[tuple[Path, list[int]]]:
    """A folder as the disk was after each of so many cuts, and the numbers said to be on it."""
    for number in range(cuts):
        held, said = disk(notes[: rng.randint(1, len(notes))], rng)
        _restored(held, folder / f"cut {number}")
        yield folder / f"cut {number}", [int(line) for line in said.split()]


def weighings_lost(
    notes: Sequence[Note], cuts: int, rng: random.Random, folder: Path
) -> Counter[str]:
    """Of weighings said to be kept, how many are lost or not whole after each of so many cuts."""
    found = Counter[str]()
    for cut, due in _after_cuts(notes, cuts, rng, folder):
        with Logbook.open(cut / "logbook.sqlite") as book:
            entries = book.all()
            whole = {e.id for e in entries if e.weighing == made(e.weighing.note or "")}
            found["said"] += len(due)
            found["lost"] += len({*due} - whole)
            found["not whole"] += len(entries) - len(whole) + len(getattr(book, "damaged", ()))
    return found


def saves_lost(notes: Sequence[Note], cuts: int, rng: random.Random, folder: Path) -> Counter[str]:
    """Of rig files said to be saved, how many are older, or not whole, after each cut."""
    found = Counter[str]()
    for cut, turns in _after_cuts(notes, cuts, rng, folder):
        path = cut / "rig.toml"
        text = path.read_text("utf-8") if path.exists() else ""
        last = int(text.rsplit("# save ", 1)[-1]) if text.endswith("\n") else -1
        found["said"] += len(turns)
        found["lost"] += bool(turns) and last < turns[-1]
        found["not whole"] += path.exists() and last < 0
        backups = cut.glob("rig.toml.bak*")
        found["not whole"] += sum("# save " not in one.read_text("utf-8") for one in backups)
    return found


def acts_lost(notes: Sequence[Note], cuts: int, rng: random.Random, folder: Path) -> Counter[str]:
    """Of acts said to be on the disk, how many are lost, or found damaged, after each cut."""
    found = Counter[str]()
    for cut, due in _after_cuts(notes, cuts, rng, folder):
        keeper = Autosave(cut / "rig.toml", "secret", "text")
        kept = keeper.found()
        found["said"] += len(due)
        found["lost"] += bool(due) and (kept is None or kept.revision < due[-1])
        found["not whole"] += keeper.damaged is not None or (kept is not None and kept.lost > 0)
        keeper.close()
    return found


def book_acts_lost(
    notes: Sequence[Note], cuts: int, rng: random.Random, folder: Path
) -> Counter[str]:
    """Of a book's acts said to be on the disk, how many are lost or damaged after each cut."""
    found = Counter[str]()
    for cut, due in _after_cuts(notes, cuts, rng, folder):
        rigs = Rigs(cut / "book.sqlite")
        sound, damaged = rigs.rows()
        rigs.close()
        found["said"] += len(due)
        found["lost"] += bool(due) and (not sound or sound[0].revision < due[-1])
        found["not whole"] += len(damaged)
    return found


if __name__ == "__main__":
    cuts, seed = (int(word) for word in (*sys.argv[1:], "300", "0")[:2])
    with tempfile.TemporaryDirectory() as name:
        built = library(Path(name))
        for what, script, lost in (
            ("weighings", WEIGHINGS, weighings_lost),
            ("saves", SAVES, saves_lost),
            ("acts", ACTS, acts_lost),
            ("book", BOOK_ACTS, book_acts_lost),
        ):
            folder = Path(name) / what
            folder.mkdir()
            notes = noted(script, folder, built)
            found = lost(notes, cuts, random.Random(seed), folder)
            sys.stdout.write(f"{what}: {cuts} cuts, {len(notes)} notes: {dict(found)}\n")
