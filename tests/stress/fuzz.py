"""Files broken in every way: each reader answers, or says what is wrong, and never crashes.

Good files of every kind are mutated: bits, stretches, tokens, lines, sizes. What is read is also
worked out: rigs are assessed, tickets reconciled, recordings listened to.
`python -m tests.stress.fuzz [FILES] [SEED]` prints how many files of each kind were answered.
"""

import io
import json
import random
import resource
import sys
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np
from tests.logbooks import made

from steelyard import assess
from steelyard.cards import unpacked
from steelyard.fault import FaultError
from steelyard.files import parse_rig
from steelyard.files.candidate_tables import parts
from steelyard.files.demo import demo_rigs, demo_tables, demo_tickets
from steelyard.files.manifest import read_manifest
from steelyard.files.recordings import read_recording
from steelyard.files.sandboxed import READERS
from steelyard.files.tickets import read_ticket
from steelyard.logbook.exchange import from_json, to_json
from steelyard.logbook.records import Logged
from steelyard.rig import Rig
from steelyard.scene import NoBalanceError
from steelyard.swaying.recordings.recording import listen
from steelyard.travel import travelled
from steelyard.weighing.reconcile import reconcile

SLOW: Final = 20.0
"""s that no file may take."""
RIG: Final = demo_rigs()["perihelion-camper.toml"]
TOKENS: Final = (
    "", '"', "'", "=", "[", "]", "{}", "[[x]]", "\n", "\r", ",", ";", "\t", "5", "-", "-0", "nan",
    "inf", "1e999", "9" * 400, '"0 lb"', '"1e9 lb"', '"-3 in"', '"700 lb +- 900000 lb"', '"100 %"',
    "true", "é", "\u202e", "\x00", "\x1b[2J", "\ufeff", "±", "+-", "=1+1", "[trailer]",
    "[passes.b]", "format = 1", "ticket = 1", '"all"', '"trailer-alone"', "a." * 300 + "a",
    "(" * 300, " " * 3000, "🚚",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of file: its ending, good ones, and what is done with one."""

    ending: str
    good: tuple[bytes, ...]
    door: Callable[[Path], object]


@cache
def _rig() -> Rig:
    return travelled(parse_rig(RIG))


def _assessed(path: Path) -> None:
    found = assess(travelled(parse_rig(path.read_bytes().decode("utf-8", "replace"))), draws=16)
    assert found.verdict


def _reconciled(path: Path) -> None:
    found = reconcile(_rig(), read_ticket(path))
    assert 0 <= found.whole.chance <= 1
    assert np.isfinite(found.posterior.mean).all()
    assert found.whole.degrees == len(found.readings)


def _codes(path: Path) -> None:
    parse_rig(unpacked([path.read_text("latin-1")]))


def _seen(kind: str) -> Callable[[Path], object]:
    """In this process, where the child would say that it cannot be opened."""

    def door(path: Path) -> None:
        try:
            READERS[kind](path.read_bytes())
        except FaultError:
            raise
        except Exception as error:
            raise FaultError from error

    return door


def _recording() -> bytes:
    times = np.arange(0, 20, 0.05)
    swing = 4 * np.exp(-0.2 * times) * np.sin(5 * times)
    rows = zip(times, swing, strict=True)
    lines = "".join(f"{t:.3f},{w:.4f},55\n" for t, w in rows)
    return f"time [s],yaw rate [deg/s],speed [mph]\n{lines}".encode()


def _sheet() -> bytes:
    import openpyxl

    held, book = io.BytesIO(), openpyxl.Workbook()
    for row in (("item", "weight (lb)", "place"), ("tent", 12.5, "bed"), ("pots", 3, "galley")):
        book.active.append(row)
    book.save(held)
    return held.getvalue()


def kinds() -> Mapping[str, Kind]:
    """Every kind of file that somebody else may have made."""
    rigs = tuple(text.encode() for text in demo_rigs().values())
    tickets = tuple(text.encode() for text in demo_tickets().values())
    csv = b"pass,arrangement,front,rear,trailer,hitch\n1,bars off,3200 lb,3000 lb,5000 lb,700 lb\n"
    listed = (
        b"item,weight (lb),place,length,width,height,importance\ntent,12,bed,1 ft,1 ft,1 ft,3\n"
    )
    vehicles = b"name,vehicle.class,vehicle.gvwr (lb)\none,van,8000\n"
    tables = tuple(t.encode()[:3000] for n, t in demo_tables().items() if "vehicles" in n)
    book = to_json([Logged(id=1, written="2025-01-01T00:00:00+00:00", weighing=made("x"))])
    return {
        "rig": Kind(ending=".toml", good=rigs, door=_assessed),
        "ticket": Kind(ending=".toml", good=tickets, door=_reconciled),
        "ticket of rows": Kind(ending=".csv", good=(csv,), door=_reconciled),
        "list": Kind(ending=".csv", good=(listed,), door=lambda path: read_manifest(path, _rig())),
        "table": Kind(
            ending=".csv", good=(vehicles, *tables), door=lambda path: list(parts(path, "vehicle"))
        ),
        "recording": Kind(
            ending=".csv", good=(_recording(),), door=lambda path: listen(read_recording(path))
        ),
        "export": Kind(
            ending=".json",
            good=(json.dumps(json.loads(book)).encode(),),
            door=lambda path: from_json(path.read_text("utf-8", "replace")),
        ),
        "codes": Kind(ending=".txt", good=(b"SYC1:1/1:00000000:ABCDEF012345",), door=_codes),
        "sheet": Kind(ending=".xlsx", good=(_sheet(),), door=_seen("sheet")),
    }


def mutated(data: bytes, rng: random.Random) -> bytes:
    """A good file broken once, or a few times over."""
    for _ in range(rng.choice((1, 1, 1, 1, 3))):
        data = rng.choice(CHANGES)(data, rng)
    return data


def _bit(data: bytes, rng: random.Random) -> bytes:
    if not data:
        return b"\x80"
    at = rng.randrange(len(data))
    return data[:at] + bytes([data[at] ^ 1 << rng.randrange(8)]) + data[at + 1 :]


def _stretch(data: bytes, rng: random.Random) -> bytes:
    start = rng.randint(0, len(data))
    end = min(start + rng.choice((1, 5, 40, 1000)), len(data))
    return data[:start] + data[start:end] * rng.choice((0, 0, 2, 50)) + data[end:]


def _token(data: bytes, rng: random.Random) -> bytes:
    start = rng.randint(0, len(data))
    token = rng.choice(TOKENS).encode("utf-8", "surrogatepass")
    return data[:start] + token + data[start + rng.choice((0, 0, 1, 8, 30)) :]


def _line(data: bytes, rng: random.Random) -> bytes:
    lines = data.split(b"\n")
    one, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[rng.choice((one, other))]
    return b"\n".join(lines)


def _number(data: bytes, rng: random.Random) -> bytes:
    """One digit, or a whole number, another."""
    places = [n for n, byte in enumerate(data[:20_000]) if chr(byte).isdigit()]
    if not places:
        return data
    at = rng.choice(places)
    return (
        data[:at] + rng.choice((b"0", b"9", b"-1", b"1e30", b"00000000", b"1/0")) + data[at + 1 :]
    )


CHANGES: Final = (_bit, _stretch, _token, _line, _number, _number, _number)


def tried(name: str, kind: Kind, files: int, seed: int, folder: Path) -> Counter[str]:
    """How so many broken files of a kind were answered; a crash or a hang with what it was."""
    rng, found, path = (
        random.Random(f"{seed} {name}"),
        Counter[str](),
        folder / f"fuzz{kind.ending}",
    )
    for _ in range(files):
        path.write_bytes(mutated(rng.choice(kind.good), rng))
        start = time.perf_counter()
        found[_answer(kind, path)] += 1
        if time.perf_counter() - start > SLOW:
            found[f"SLOW {path.read_bytes()[:200]!r}"] += 1
    return found


def _answer(kind: Kind, path: Path) -> str:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            kind.door(path)
    except FaultError as error:
        printable = all(one.isprintable() for one in error.sentences)
        return "told" if printable else f"UNPRINTABLE {error!s:.200}"
    except NoBalanceError:
        return "told"
    except Exception as error:  # noqa: BLE001 - what this looks for
        where = traceback.extract_tb(error.__traceback__)[-1]
        place = f"{Path(where.filename).name}:{where.lineno}"
        return f"CRASH {type(error).__name__} {place} {error!s:.120}"
    return "answered"


if __name__ == "__main__":
    files, seed = (int(word) for word in (*sys.argv[1:], "1500", "0")[:2])
    fell = False
    with tempfile.TemporaryDirectory() as folder:
        for name, kind in kinds().items():
            for what, count in tried(name, kind, files, seed, Path(folder)).most_common():
                sys.stdout.write(f"{name:15} {count:6,} {what}\n")
                fell = fell or what not in ("told", "answered")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    sys.stdout.write(f"peak memory {peak:,.0f} MB\n")
    sys.exit(fell)
