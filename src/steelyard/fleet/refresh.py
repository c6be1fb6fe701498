"""A book or a folder of rigs assessed again: what changed since, and since what."""

import json
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import asdict, dataclass
from functools import partial
from hashlib import sha256
from importlib.resources import files
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from steelyard import __version__
from steelyard.assessment import assess
from steelyard.fault import Fault, FaultError, sentence
from steelyard.files.reader import read_rig
from steelyard.files.writer import write_new
from steelyard.fleet.engines import run
from steelyard.logbook.rigs import Rigs
from steelyard.rig import Rig
from steelyard.rig.validation import validation_faults

BOOKS: Final = (".sqlite", ".db", ".sqlite3")
REFRESH: Final = 1
"""Version of the file in which standings are kept."""
LEAST_KG: Final = 0.05
"""Less than this is rounding, not change."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stood:
    """How one rig stands at one stage: medians, kg; room to the limit that decides, in its own
    measure; `rig_digest`: of the rig as it was read."""

    rig: str
    stage: str
    rig_digest: str
    verdict: str
    decides: str
    chance: float
    tongue_kg: float
    trailer_kg: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """One thing that is other than it was: of a rig at a stage, what, before and now, and what may
    have done it."""

    rig: str
    stage: str
    what: str
    before: str
    now: str
    because: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Refreshed:
    """All standings, what changed since those that were kept, and rigs that cannot be assessed."""

    standings: tuple[Stood, ...]
    changes: tuple[Changed, ...]
    faults: tuple[str, ...]
    since: str


def rigs_at(where: Path) -> Iterator[tuple[str, Rig | tuple[Fault, ...]]]:
    """Rigs of a folder or a book by name, those put away left out; faults of those unreadable."""
    if where.is_dir():
        for file in sorted(where.glob("*.toml")):
            if not file.read_bytes().lstrip().startswith(b"ticket"):
                yield file.stem, _read(partial(read_rig, file), file.name)
    elif where.suffix in BOOKS and where.is_file():
        book = Rigs(where)
        for row in book.rows()[0]:
            if not row.away:
                yield row.name, _read(partial(_kept, book, row.id), row.name)
        book.close()
    else:
        due = "a folder of rig files, or a book (.sqlite)"
        raise FaultError(argument="where", due=due, found=str(where))


def _kept(book: Rigs, number: int) -> Rig:
    return Rig.model_validate(json.loads(book.now(number))["data"])


def _read(way: partial[Rig], name: str) -> Rig | tuple[Fault, ...]:
    try:
        return way()
    except ValidationError as error:
        return FaultError(*validation_faults(error, Rig)).within(file=name).faults
    except FaultError as error:
        return error.within(file=name).faults


def refreshed(where: Path, kept: Path, executor: Executor, at_once: int = 1) -> Refreshed:
    """Assess every rig again, compare with what was kept, and keep it: whole or not at all."""
    before = _before(kept)
    tasks, faults = [], list[str]()
    for name, rig in rigs_at(where):
        if isinstance(rig, Rig):
            tasks.append(partial(_stood, name, rig))
        else:
            faults += [sentence(one) for one in rig]
    found: list[Stood] = []
    for some in run(tasks, executor, at_once):
        found += [one for one in some if isinstance(one, Stood)]
        faults += [one for one in some if isinstance(one, str)]
    found.sort(key=lambda one: one.rig)
    now = {**_rests_on(), "standings": [asdict(one) for one in found]}
    changes = tuple(_changes(before, now)) if before else ()
    write_new(kept, json.dumps(now, indent=1, ensure_ascii=False) + "\n", over=True)
    since = f"version {before['steelyard']}" if before else ""
    return Refreshed(standings=tuple(found), changes=changes, faults=tuple(faults), since=since)


def _stood(name: str, rig: Rig) -> list[Stood | str]:
    """One rig at each of its stages; a sentence where it cannot be assessed."""
    text = rig.model_dump_json(by_alias=True, exclude_none=True)
    try:
        found = assess(rig)
    except ValueError as error:
        return [f"{name}: {error}"]
    return [
        Stood(
            rig=name,
            stage=stage.key,
            rig_digest=sha256(text.encode()).hexdigest(),
            verdict=stage.verdict,
            decides=stage.deciding.title if stage.deciding else "",
            chance=stage.chance,
            tongue_kg=stage.tongue.weight_kg.value,
            trailer_kg=stage.trailer_kg.value,
        )
        for stage in found.stages
    ]


def _rests_on() -> dict[str, Any]:
    """What answers rest on besides the rigs: this version, and its data."""
    own: dict[str, Any] = {"refresh": REFRESH, "steelyard": __version__}
    for name, where in (("rulebooks", "ratings"), ("typical", "typical")):
        whole = sha256()
        for file in _texts(files(f"steelyard.{where}") / "data"):
            whole.update(file)
        own[name] = whole.hexdigest()
    return own


def _texts(folder: Any) -> Iterator[bytes]:
    for one in sorted(folder.iterdir(), key=lambda one: str(one.name)):
        if one.is_dir():
            yield from _texts(one)
        elif one.name.endswith(".toml"):
            yield one.read_bytes()


def _before(kept: Path) -> Mapping[str, Any]:
    """What was kept, or nothing; FaultError for a file that is something else."""
    if not kept.exists():
        return {}
    try:
        found = json.loads(kept.read_text(encoding="utf-8"))
        if found["refresh"] == REFRESH:
            return dict(found)
    except (ValueError, KeyError, TypeError, OSError):
        pass
    due = "standings that `steelyard refresh` kept, or no file yet"
    raise FaultError(argument="kept", due=due, found=str(kept))


def _changes(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[Changed]:
    """What is other than it was, rig by rig and stage by stage."""
    old, new = (
        {(one["rig"], one["stage"]): one for one in some["standings"]} for some in (before, now)
    )
    rests = [
        words
        for name, words in (
            ("steelyard", f"version {before['steelyard']} → {now['steelyard']}"),
            ("rulebooks", "the rulebooks and ratings' data"),
            ("typical", "typical values"),
        )
        if before[name] != now[name]
    ]
    for key in sorted({*old, *new}):
        was, now_is = old.get(key), new.get(key)
        if was is None or now_is is None:
            said = ("", "there") if was is None else ("there", "")
            yield Changed(
                rig=key[0], stage=key[1], what="rig", before=said[0], now=said[1], because=""
            )
            continue
        own = ["the rig"] if was["rig_digest"] != now_is["rig_digest"] else []
        because = ", ".join([*own, *rests]) or "the program"
        for what, one, two in _unlike(was, now_is):
            yield Changed(rig=key[0], stage=key[1], what=what, before=one, now=two, because=because)


def _unlike(was: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    for name in ("verdict", "decides"):
        if was[name] != now[name]:
            yield name, was[name], now[name]
    for name in ("tongue_kg", "trailer_kg"):
        if abs(was[name] - now[name]) > LEAST_KG:
            yield name, f"{was[name]:.1f}", f"{now[name]:.1f}"
    if abs(was["chance"] - now["chance"]) >= 0.001:
        yield "chance", f"{was['chance']:.3f}", f"{now['chance']:.3f}"


def as_csv(changes: Sequence[Changed]) -> str:
    """Changes as a table's text."""
    import csv
    from io import StringIO

    out = StringIO(newline="")
    rows = csv.writer(out)
    rows.writerow(("rig", "stage", "what", "before", "now", "because"))
    rows.writerows((x.rig, x.stage, x.what, x.before, x.now, x.because) for x in changes)
    return out.getvalue()
