"""A sweep in parts: tables of variants, a row a variant and stage, as Parquet."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from hashlib import sha256
from io import BytesIO
from typing import Any, Final

import numpy as np

from steelyard.assessment import assess
from steelyard.estimate import Array
from steelyard.files.table_rows import polars
from steelyard.rig import Rig
from steelyard.sweeps.designs import By, how_many, points
from steelyard.sweeps.ranges import Range, varied
from steelyard.sweeps.variants import Question, answered, require_figures

PART: Final = 16_384
"""Variants of a part: about a second's work."""
GIVEN: Final = ("tongue", "share", "room", "damping")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """A question, and where its variants stand; a job in parts."""

    question: Question
    by: By
    n: int
    stages: tuple[str, ...]

    @property
    def variants(self) -> int:
        """How many variants."""
        return how_many(self.by, self.n, len(self.question.ranges))

    @property
    def count(self) -> int:
        """How many parts."""
        return -(-self.variants // PART)

    def says(self) -> Mapping[str, Any]:
        """All that the numbers hang on."""
        question = self.question
        rig = question.rig.model_dump_json(by_alias=True, exclude_none=True)
        return {
            "sweep": 1,
            "rig": sha256((rig + repr(sorted(question.rig.owned.items()))).encode()).hexdigest(),
            "ranges": {one.name: [one.low, one.high] for one in question.ranges},
            "by": self.by,
            "n": self.n,
            "give": list(question.give),
            "stages": list(self.stages),
            "draws": question.draws,
            "seed": question.seed,
        }

    def tasks(self, wanted: set[int]) -> Iterator[tuple[int, partial[bytes]]]:
        """Some parts' work."""
        return ((number, partial(_part, self, number)) for number in sorted(wanted))

    def table(self, start: int, stop: int) -> dict[str, Any]:
        """Variants start to stop as columns: number and ranges, stage, `best_*`, `sd_*`."""
        question, count = self.question, len(self.question.ranges)
        values = question.values(points(self.by, self.n, count, start, stop, question.seed))
        given, stages = answered(question, values), len(self.stages)
        found: dict[str, Any] = {"variant": np.repeat(np.arange(start, stop), stages)}
        for one, column in zip(question.ranges, values.T, strict=True):
            found[one.column] = np.repeat(column, stages)
        found["stage"] = list(self.stages) * (stop - start)
        return found | {name: _known(rows) for name, rows in given.items()}


def _known(rows: Array) -> Array:
    """(S, n) as a column, variant by variant."""
    return np.ascontiguousarray(rows.T).reshape(-1)


def _frame(job: Sweep, number: int) -> Any:
    stop = min((number + 1) * PART, job.variants)
    return polars().DataFrame(job.table(number * PART, stop), nan_to_null=True)


def _part(job: Sweep, number: int) -> bytes:
    out = BytesIO()
    _frame(job, number).write_parquet(out)
    return out.getvalue()


def planned(
    rig: Rig,
    ranges: Sequence[Range],
    by: By,
    n: int,
    give: Sequence[str] = GIVEN,
    stages: Sequence[str] | None = None,
    draws: int = 0,
    seed: int = 0,
) -> Sweep:
    """A sweep as asked for. FaultError for what cannot be swept."""
    whole, moving = varied(rig, ranges)
    found = assess(whole, stages=None if stages is None else tuple(stages), draws=1)
    known = [one.name for one in found.stages[0].limits if one.verdict != "unknown"]
    require_figures(give, known)
    question = Question(
        rig=whole,
        ranges=moving,
        give=tuple(give),
        stages=None if stages is None else tuple(stages),
        draws=draws,
        seed=seed,
    )
    job = Sweep(question=question, by=by, n=n, stages=tuple(one.key for one in found.stages))
    how_many(by, n, len(moving))
    return job


def sweep(
    rig: Rig,
    ranges: Mapping[str, tuple[str, str]],
    *,
    by: By = "sobol",
    n: int = 1024,
    give: Sequence[str] = GIVEN,
    stages: Sequence[str] | None = None,
    draws: int = 0,
    seed: int = 0,
) -> Any:
    """Any numbers of a rig varied between two ends: a Polars frame, a row a variant and stage.

    ranges: by path as in the rig file, several tied with commas; by: `grid` (n values of each),
    `lhs` or `sobol` (n in all). Columns `best_*` are best estimates; with draws, `sd_*` are the
    spreads behind them. FaultError for what cannot be swept.

    >>> from steelyard import Rig, sweep
    >>> rig = Rig(
    ...     vehicle={"class": "half-ton-crew-cab"},
    ...     trailer={"style": "rear-living", "empty": {"weight": "6300 lb"}},
    ... )
    >>> found = sweep(rig, {"trailer.empty.weight": ("5000 lb", "6000 lb")}, by="grid", n=3)
    >>> [round(x) for x in found["trailer.empty.weight_kg"]]
    [2268, 2495, 2722]
    """
    asked = [
        Range(paths=tuple(part.strip() for part in path.split(",")), low=low, high=high)
        for path, (low, high) in ranges.items()
    ]
    job = planned(rig, asked, by, n, give, stages, draws, seed)
    return polars().concat([_frame(job, number) for number in range(job.count)])
