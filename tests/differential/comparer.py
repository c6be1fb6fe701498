"""What differs between two answers: leaf by leaf, numbers to a tolerance, and told in groups."""

import json
import math
import re
import tomllib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any, Final

Leaf = str | float | bool | None
Keys = tuple[str, ...]
KINDS: Final = ("name", "key", "path", "title")
"""Keys that name an entry of a list: one more entry then shifts no other."""
CLOCK: Final = re.compile(r"(^|\.)seconds$")
"""Paths of what a clock told."""
ENDS: Final = 60
"""Characters of a value that are shown."""
NOTHING: Final = "nothing"


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One leaf that differs; `by` is relative to the largest number of its pattern, inf if none."""

    command: str
    pattern: str
    rig: int
    path: str
    base: str
    head: str
    by: float


def leaves(value: Any, path: Keys = (), pattern: Keys = ()) -> Iterator[tuple[Keys, Keys, Leaf]]:
    """Path, pattern (the path with names of entries and digits as `*`) and value of every leaf."""
    if isinstance(value, dict):
        for key, one in value.items():
            yield from leaves(one, (*path, key), (*pattern, re.sub(r"\d+", "*", key)))
        return
    if not isinstance(value, list):
        yield path, pattern, value
        return
    names = _names(value)
    yield (*path, "#"), (*pattern, "#"), ", ".join(names) if names else float(len(value))
    for place, one in enumerate(value):
        name = names[place] if names else str(place)
        yield from leaves(one, (*path, name), (*pattern, "*"))


def _names(entries: list[Any]) -> list[str]:
    """What tells the entries of a list apart; nothing where they have no names of their own."""
    if not all(isinstance(one, dict) for one in entries):
        return []
    for kind in KINDS:
        found = [one.get(kind) for one in entries]
        if all(isinstance(name, str) for name in found) and len(set(found)) == len(found):
            return [str(name) for name in found]
    return []


def answer(record: Mapping[str, Any]) -> dict[str, Any]:
    """A call's record as one tree: exit code, crash, stderr, and the JSON or lines of stdout."""
    try:
        out = json.loads(record["stdout"])
    except ValueError:
        out = {"line": record["stdout"].splitlines()}
    if record["argv"][0] == "files":
        out = {name: text.splitlines() for name, text in out.items()}
    return {key: record[key] for key in ("exit", "crash", "stderr")} | {"stdout": out}


def differences(
    base: Mapping[str, Any], head: Mapping[str, Any], tolerance: float
) -> list[Difference]:
    """Every leaf that differs between two records of one call.

    Two numbers are alike within `tolerance` times the largest number that stands at the same
    pattern anywhere in either answer: what is left of two large numbers is not asked to be exact.
    """
    if all(base[key] == head[key] for key in ("exit", "crash", "stderr", "stdout")):
        return []
    sides = [{p: (g, x) for p, g, x in leaves(answer(side))} for side in (base, head)]
    scale: dict[Keys, float] = defaultdict(float)
    for side in sides:
        for pattern, value in side.values():
            if _number(value) and math.isfinite(float(value)):  # type: ignore[arg-type]
                scale[pattern] = max(scale[pattern], abs(float(value)))  # type: ignore[arg-type]
    found = []
    for path in dict.fromkeys((*sides[0], *sides[1])):
        pattern = next(side[path][0] for side in sides if path in side)
        old, new = (side[path][1] if path in side else NOTHING for side in sides)
        by = _apart(old, new, scale[pattern])
        if by > tolerance and not CLOCK.search(".".join(pattern)):
            found.append(
                Difference(
                    command=command_of(base["argv"]),
                    pattern=".".join(pattern),
                    rig=base["rig"],
                    path=f"{' '.join(base['argv'])}: {'.'.join(path)}",
                    base=_shown(old),
                    head=_shown(new),
                    by=by,
                )
            )
    return found


def command_of(argv: list[str]) -> str:
    """The command of a call."""
    return " ".join(argv[:2]) if argv[0] == "log" else argv[0]


def _number(x: object) -> bool:
    return isinstance(x, int | float) and not isinstance(x, bool)


def _apart(old: Leaf, new: Leaf, scale: float) -> float:
    """How far two leaves are apart, as a part of `scale`; 0 where they are the same, else inf."""
    if not (_number(old) and _number(new)):
        return 0.0 if old == new and isinstance(old, bool) == isinstance(new, bool) else math.inf
    a, b = float(old), float(new)  # type: ignore[arg-type]
    if a == b or (math.isnan(a) and math.isnan(b)):
        return 0.0
    gap = abs(a - b)
    return gap / scale if math.isfinite(gap) else math.inf


def _shown(x: Leaf) -> str:
    text = repr(x) if not isinstance(x, str) else x
    return text if len(text) <= ENDS else f"{text[: ENDS - 1]}…"


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowed:
    """A difference that is listed and explained: command and pattern may hold `*`."""

    command: str
    path: str
    reason: str

    def holds(self, one: Difference) -> bool:
        """Whether it is this difference."""
        return fnmatchcase(one.command, self.command) and fnmatchcase(one.pattern, self.path)


def allowed(path: Path) -> tuple[Allowed, ...]:
    """The listed differences of a data file."""
    listed = tomllib.loads(path.read_text(encoding="utf-8")).get("difference", [])
    return tuple(Allowed(**one) for one in listed)


@dataclass(slots=True, kw_only=True)
class Group:
    """Differences of one command at one pattern; `worst` is the largest in numbers, else any."""

    worst: Difference
    count: int = 0
    gone: int = 0
    new: int = 0
    rigs: set[int] = field(default_factory=set)

    def add(self, one: Difference) -> None:
        """Count one more."""
        self.count += 1
        self.gone += one.head == NOTHING
        self.new += one.base == NOTHING
        self.rigs.add(one.rig)
        if math.isfinite(one.by) and (one.by > self.worst.by or math.isinf(self.worst.by)):
            self.worst = one

    def words(self) -> str:
        """How many leaves, of how many rigs, and how far apart."""
        by = "" if math.isinf(self.worst.by) else f", by {self.worst.by:.1e} at most"
        lost = f" ({self.gone} gone, {self.new} new)" if self.gone or self.new else ""
        return f"{self.count} leaves{lost}, {len(self.rigs)} rigs{by}"


def grouped(found: Iterable[Difference]) -> dict[tuple[str, str], Group]:
    """The differences by command and pattern."""
    groups: dict[tuple[str, str], Group] = {}
    for one in found:
        group = groups.setdefault((one.command, one.pattern), Group(worst=one))
        group.add(one)
    return groups


def told(groups: Mapping[tuple[str, str], Group], most: int) -> Iterator[str]:
    """The groups in lines, the most frequent of a command first, at most so many a command."""
    for command in dict.fromkeys(command for command, _ in groups):
        mine = [(pattern, g) for (name, pattern), g in groups.items() if name == command]
        mine.sort(key=lambda one: -one[1].count)
        rigs = set().union(*(group.rigs for _, group in mine))
        yield f"{command}: {len(mine)} paths differ, {len(rigs)} rigs"
        for pattern, group in mine[:most]:
            yield f"  {pattern}: {group.words()}"
            yield f"    rig {group.worst.rig}, {group.worst.path}"
            yield f"      {group.worst.base}  ->  {group.worst.head}"
        if len(mine) > most:
            yield f"  and {len(mine) - most} more; --groups shows more"
