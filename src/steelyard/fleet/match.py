"""A match in parts: some vehicles with some trailers each, as Parquet, with what ranks them.

A part carries its rows as words, so that a worker needs no file; alike rows are worked out once.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, partial
from io import BytesIO
from pathlib import Path
from typing import Any, Final

import numpy as np

from steelyard.fault import sentence
from steelyard.files.candidate_rows import Which
from steelyard.files.candidate_tables import MORE_ROWS, TABLES, Read, chunks, parts, read_rows
from steelyard.files.match_report import COLUMNS, block_cells, schema
from steelyard.files.table_frames import Some
from steelyard.files.table_rows import polars
from steelyard.files.writer import write_new
from steelyard.fleet.parts import digest
from steelyard.matching.candidates import Tow, Towed, tow_of, towed_of
from steelyard.matching.match import matches
from steelyard.matching.pair_rows import DRAWS
from steelyard.matching.rank import LISTS, keys, lists, summary

VEHICLES: Final = 25
TRAILERS: Final = MORE_ROWS
"""Rows of a part: 100,000 pairs, some six seconds' work."""
BEST: Final = 5
"""Trailers of each vehicle that are merged into the best."""
KEYS: Final = tuple(f"key_{number}" for number in range(10))
PAIR: Final = ("a", "b", "list", *COLUMNS[4:], *KEYS)


@dataclass(frozen=True, kw_only=True)
class Match:
    """Every vehicle with every trailer, from two tables, folders or rig files; a job in parts."""

    vehicles: Path
    trailers: Path
    tight: float
    draws: int = DRAWS
    speed: float | None = None

    @cached_property
    def _tows(self) -> tuple[Some | Read, ...]:
        return tuple(_some(self.vehicles, "vehicle", VEHICLES))

    @cached_property
    def _trailers(self) -> int:
        return sum(1 for _ in _some(self.trailers, "trailer", TRAILERS))

    @property
    def count(self) -> int:
        """How many parts."""
        return len(self._tows) * self._trailers

    def says(self) -> Mapping[str, Any]:
        """All that the numbers hang on."""
        sides = {"vehicles": self.vehicles, "trailers": self.trailers}
        digests = {
            name: digest(sorted(path.glob("*.toml")) if path.is_dir() else [path])
            for name, path in sides.items()
        }
        own = {"tight": self.tight, "draws": self.draws, "speed": self.speed}
        return {"match": 1, **digests, **own, "part": [VEHICLES, TRAILERS]}

    def tasks(self, wanted: set[int]) -> Iterator[tuple[int, partial[bytes]]]:
        """Some parts' work, trailers read once for each of the vehicles' parts that has any."""
        per = self._trailers
        for number, tows in enumerate(self._tows):
            if not wanted.intersection(range(number * per, (number + 1) * per)):
                continue
            for place, some in enumerate(_some(self.trailers, "trailer", TRAILERS)):
                if number * per + place in wanted:
                    work = partial(_part, tows, some, self.draws, self.tight, self.speed)
                    yield number * per + place, work


def _some(path: Path, which: Which, size: int) -> Iterator[Some | Read]:
    """Rows of a table as words; of a folder or a file, rigs."""
    return (chunks if path.suffix.lower() in TABLES else parts)(path, which, size)


def _part(
    tows: Some | Read, toweds: Some | Read, draws: int, tight: float, speed: float | None
) -> bytes:
    """A part's Parquet: pairs in the order of their rows, faults as rows without a pair."""
    one, two = _read(tows, "vehicle"), _read(toweds, "trailer")
    frame = _frame(one, two, draws, tight, speed)
    frame = frame.sort("vehicle_row", "trailer_row")
    out = BytesIO()
    faults = "\n".join(map(sentence, (*one.faults, *two.faults)))
    frame.write_parquet(out, metadata={"faults": faults})
    return out.getvalue()


def _read(some: Some | Read, which: Which) -> Read:
    return some if isinstance(some, Read) else read_rows(some, which)


def _frame(one: Read, two: Read, draws: int, tight: float, speed: float | None) -> Any:
    """All pairs of some vehicles and trailers; each of the alike worked out once."""
    pl = polars()
    tows = one.rigs.among(np.unique(one.twins)).each(lambda rig, _: tow_of(rig, "", speed))
    toweds = two.rigs.among(np.unique(two.twins)).each(lambda rig, _: towed_of(rig, ""))
    found = pl.concat(list(_blocks(tows, toweds, draws, tight)), how="diagonal_relaxed")
    sides = [
        pl.DataFrame({kind: some.twins, f"{name}_row": some.rows, name: some.rigs.names})
        for kind, name, some in (("a", "vehicle", one), ("b", "trailer", two))
    ]
    whole = found.join(sides[0], on="a").join(sides[1], on="b").drop("a", "b")
    return whole.select("vehicle_row", "trailer_row", "list", *COLUMNS[2:], *KEYS)


def _blocks(
    tows: Sequence[Tow], toweds: Sequence[Towed], draws: int, tight: float
) -> Iterator[Any]:
    pl = polars()
    yield pl.DataFrame(schema=schema(pl, PAIR))
    for matched in matches(tows, toweds, draws, tight, many=True):
        for block in matched.blocks:
            what = summary(block, tight)
            ranks = keys(what)
            yield pl.DataFrame(
                {
                    "a": block.tow,
                    "b": block.towed,
                    "list": [LISTS[place] for place in lists(what).tolist()],
                    **block_cells(block, what),
                    **dict(zip(KEYS, np.ascontiguousarray(ranks.T), strict=True)),
                },
                schema=schema(pl, PAIR),
            )
        if matched.impossible:
            yield _never(pl, matched.impossible)


def _never(pl: Any, impossible: Sequence[tuple[int, int, str]]) -> Any:
    """Pairs that can't be coupled at all, behind all others."""
    a, b, why = zip(*impossible, strict=True)
    said = {"list": LISTS[-1], "standing": "exceeded"}
    last = {key: np.full(len(a), 1e12) for key in KEYS[1:]}
    return pl.DataFrame(
        {
            "a": a,
            "b": b,
            **{name: [word] * len(a) for name, word in said.items()},
            "why_not": why,
            KEYS[0]: np.full(len(a), float(len(LISTS) - 1)),
            **last,
        },
        schema_overrides={"a": pl.Int64, "b": pl.Int64},
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Merged:
    """What all parts come to: how many pairs in each list, a file with the best trailers of each
    vehicle, and faults of rows, the first told."""

    counts: Mapping[str, int]
    best: Path
    faults: tuple[str, ...]


def merged(folder: Path, files: Sequence[Path], best: int = BEST) -> Merged:
    """The best trailers of each vehicle from all parts' keys, one part in memory at a time."""
    pl = polars()
    counts: dict[str, int] = dict.fromkeys(LISTS, 0)
    kept: Any = None
    faults: dict[str, None] = {}
    order = [*KEYS, "trailer", "trailer_row"]
    for file in files:
        part = pl.read_parquet(file)
        for name, count in part.group_by("list").len().iter_rows():
            counts[name] += count
        for line in filter(None, pl.read_parquet_metadata(file)["faults"].split("\n")):
            faults[line] = None
        both = part if kept is None else pl.concat([kept, part], how="vertical_relaxed")
        kept = both.sort("vehicle_row", *order).group_by("vehicle_row", maintain_order=True)
        kept = kept.head(best)
    out = BytesIO()
    kept.write_parquet(out)
    target = folder / "best.parquet"
    write_new(target, out.getvalue(), over=True)
    return Merged(counts=counts, best=target, faults=tuple(faults))
