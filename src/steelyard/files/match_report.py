"""Matches and comparisons as rows for a table and as JSON; both are versioned and only grow."""

import csv
import math
import os
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import Any, Final

from steelyard.files.faults import FileFaultError
from steelyard.files.report import CAUTIONS, REPORT, _limit, _number
from steelyard.files.tables import polars
from steelyard.matching import (
    FULL,
    LISTS,
    TYPICAL,
    WORDS,
    Block,
    Comparison,
    Matched,
    Pair,
    Remedy,
    Room,
    standing_of,
)
from steelyard.quantity import GRAVITY

COLUMNS: Final = (
    "list",
    "place",
    "vehicle",
    "trailer",
    "standing",
    "standing_full_rating",
    "ratings_exceeded",
    "ratings_not_known",
    "governs",
    "governs_margin",
    "chance_not_holding",
    "governs_full_rating",
    "governs_full_rating_margin",
    "chance_not_holding_full_rating",
    "trailer_kg",
    "sd_trailer_kg",
    "tongue_kg",
    "sd_tongue_kg",
    "tongue_share",
    "sd_tongue_share",
    "cargo_room_kg",
    "cargo_room_sure_kg",
    "cargo_room_stopped_by",
    "cargo_room_ratings_kg",
    "cargo_room_ratings_sure_kg",
    "cargo_room_ratings_stopped_by",
    "cargo_room_band_kg",
    "cargo_room_band_sure_kg",
    "cargo_room_band_stopped_by",
    "vehicle_room_kg",
    "vehicle_room_sure_kg",
    "vehicle_room_stopped_by",
    "sway_speed_mps",
    "swing_grows_from_mps",
    "chance_swing_grows",
    "damping_ratio",
    "why_not",
)
"""Columns of a table of matches, in order; loads as usually loaded."""
LIMITS: Final = (
    "tongue-band",
    "vehicle.payload",
    "vehicle.gvwr",
    "vehicle.front.gawr",
    "vehicle.rear.gawr",
    "vehicle.gcwr",
    "vehicle.tow_rating",
    "trailer.gvwr",
    "trailer.axles.first.gawr",
    "trailer.axles.second.gawr",
    "hitch.receiver.trailer",
    "hitch.receiver.tongue",
    "hitch.ball_mount.trailer",
    "hitch.ball_mount.tongue",
    "hitch.ball.trailer",
    "hitch.coupler.trailer",
    "hitch.bars.rating",
    "vehicle.front.tyres",
    "vehicle.rear.tyres",
    "trailer.axles.first.tyres",
    "trailer.axles.second.tyres",
)
"""Limits with columns of their own, `NAME.margin` and `NAME.chance`; JSON has every limit."""
HEAD: Final = (*COLUMNS, *(f"{name}.{what}" for name in LIMITS for what in ("margin", "chance")))


def row(pair: Pair, place: int | None) -> dict[str, Any]:
    """One pair as the cells of a table; a margin in kg, of a share as such; None for not known."""
    block, what, number = pair.block, pair.found, pair.number
    usual = block.stages.index(TYPICAL)
    full = block.stages.index(FULL) if FULL in block.stages else None
    governs, then = int(what.governs[number]), int(what.governs_full[number])
    rated = full is not None
    return {
        "list": pair.list,
        "place": place,
        "vehicle": pair.tow.name,
        "trailer": pair.towed.name,
        "standing": WORDS[int(what.standing[number])],
        "standing_full_rating": WORDS[int(what.full[number])] if rated else "unknown",
        "ratings_exceeded": int(what.failed[number]),
        "ratings_not_known": int(what.unknown[number]),
        "governs": block.limits[governs].name if governs >= 0 else None,
        "governs_margin": _margin(block, governs, usual, number),
        "chance_not_holding": _number(float(what.chance[number])),
        "governs_full_rating": block.limits[then].name if then >= 0 else None,
        "governs_full_rating_margin": _margin(block, then, full, number),
        "chance_not_holding_full_rating": _number(float(what.chance_full[number]))
        if rated
        else None,
        **_loads(block, usual, number),
        **_rest(block, usual, number),
        "why_not": None,
        **_limit_cells(block, usual, number),
    }


def _margin(block: Block, limit: int, stage: int | None, number: int) -> float | None:
    if limit < 0 or stage is None:
        return None
    size = GRAVITY if block.limits[limit].measure == "weight" else 1.0
    return _number(float(block.margin[limit, stage, number]) / size)


def _loads(block: Block, usual: int, number: int) -> dict[str, float | None]:
    pairs = (
        ("trailer_kg", block.trailer, GRAVITY),
        ("tongue_kg", block.tongue, GRAVITY),
        ("tongue_share", block.share, 1.0),
    )
    found = {}
    for name, array, size in pairs:
        value, sd = array[:, usual, number] / size
        found[name], found[f"sd_{name}"] = _number(float(value)), _number(float(sd))
    return found


def _rest(block: Block, usual: int, number: int) -> dict[str, Any]:
    return {
        **_room_cells("cargo_room", block.cargo.least(block.cargo_band), block, number),
        **_room_cells("cargo_room_ratings", block.cargo, block, number),
        **_room_cells("cargo_room_band", block.cargo_band, block, number),
        **_room_cells("vehicle_room", block.gear.least(block.gear_band), block, number),
        "sway_speed_mps": block.speed,
        "swing_grows_from_mps": _number(float(block.wags[usual, number])),
        "chance_swing_grows": _number(float(block.wags_chance[usual, number])),
        "damping_ratio": _number(float(block.damping[usual, number])),
    }


def _room_cells(name: str, found: Room, block: Block, number: int) -> dict[str, Any]:
    by = int(found.by[number])
    return {
        f"{name}_kg": _number(float(found.kg[0, number])),
        f"{name}_sure_kg": _number(float(found.kg[1, number])),
        f"{name}_stopped_by": block.limits[by].name if by >= 0 else None,
    }


def _limit_cells(block: Block, usual: int, number: int) -> dict[str, float | None]:
    names = {check.name: place for place, check in enumerate(block.limits)}
    cells: dict[str, float | None] = {}
    for name in LIMITS:
        place = names.get(name, -1)
        cells[f"{name}.margin"] = _margin(block, place, usual, number)
        known = place >= 0
        chance = float(block.chance[place, usual, number]) if known else math.nan
        cells[f"{name}.chance"] = _number(chance)
    return cells


def never(found: Matched) -> Iterator[dict[str, Any]]:
    """Pairs that can't be coupled at all, as the cells of a table."""
    for a, b, why in found.impossible:
        names = {"vehicle": found.tows[a].name, "trailer": found.toweds[b].name}
        said = {"list": LISTS[-1], "standing": "exceeded", "why_not": why}
        yield {**dict.fromkeys(HEAD), **names, **said}


def pair_report(
    pair: Pair, place: int | None, why: Sequence[str], remedies: Sequence[Remedy] = ()
) -> dict[str, Any]:
    """One pair as JSON: the table's cells, reasons, and every limit at every stage."""
    block, number = pair.block, pair.number
    return {
        **{key: cell for key, cell in row(pair, place).items() if key in COLUMNS},
        "reasons": list(why),
        "stages": [
            {
                "key": key,
                "front_kg": _number(float(block.front[stage, number]) / GRAVITY),
                "rear_kg": _number(float(block.rear[stage, number]) / GRAVITY),
                **_loads(block, stage, number),
                "tips_share": _number(float(block.tips[stage, number])),
                "limits": [
                    _limit(standing_of(block, limit, stage, number))
                    for limit in range(len(block.limits))
                ],
            }
            for stage, key in enumerate(block.stages)
        ],
        "remedies": [
            {
                "what": one.what,
                "mends": one.mends,
                "mended": list(one.mended),
                "left": list(one.left),
                "new": list(one.new),
            }
            for one in remedies
        ],
    }


def match_report(pairs: Sequence[Mapping[str, Any]], left_out: Sequence[str]) -> dict[str, Any]:
    """All pairs as JSON values."""
    from steelyard import __version__

    return {
        "match": REPORT,
        "steelyard": __version__,
        "pairs": list(pairs),
        "left_out": list(left_out),
        "cautions": list(CAUTIONS),
    }


def comparison_report(found: Comparison, sentence: str) -> dict[str, Any]:
    """A comparison as JSON values; forces over standard gravity, kg."""
    from steelyard import __version__

    return {
        "compare": REPORT,
        "steelyard": __version__,
        "a": found.name_a,
        "b": found.name_b,
        "stage_a": found.stage_a.key,
        "stage_b": found.stage_b.key,
        "sentence": sentence,
        "tongue_a_kg": _number(found.total_a / GRAVITY),
        "tongue_b_kg": _number(found.total_b / GRAVITY),
        "difference_kg": _number(found.difference / GRAVITY),
        "rows": [
            {
                "name": one.name,
                "kind": one.kind,
                "a_kg": None if one.force_a is None else _number(one.force_a / GRAVITY),
                "b_kg": None if one.force_b is None else _number(one.force_b / GRAVITY),
                "difference_kg": _number(one.difference / GRAVITY),
                "value_a_si": one.value_a,
                "value_b_si": one.value_b,
                "dimension": one.dimension,
                "assumed": one.assumed,
            }
            for one in found.rows
        ],
        "cautions": list(CAUTIONS),
    }


class Table:
    """A table being written: rows go to a file beside it, which takes its name when all are there.

    Parquet is made of the finished CSV, so memory does not grow with the rows.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._parquet = polars() if path.suffix.lower() == ".parquet" else None
        try:
            handle, name = tempfile.mkstemp(dir=path.parent, prefix=".steelyard-", suffix=".part")
        except OSError as error:
            why = f"expected a folder to write in, found none ({error.strerror})"
            raise FileFaultError([f"{path}: {why}"]) from None
        self._temporary = Path(name)
        self._file = os.fdopen(handle, "w", encoding="utf-8", newline="")
        self._rows = csv.DictWriter(self._file, HEAD, lineterminator="\n")
        self._rows.writeheader()

    def add(self, rows: Iterable[Mapping[str, Any]]) -> None:
        """Add rows below those there are."""
        self._rows.writerows(rows)

    def __enter__(self) -> "Table":
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        try:
            self._file.close()
            if kind is None:
                self._finish()
        finally:
            with suppress(FileNotFoundError):
                self._temporary.unlink()

    def _finish(self) -> None:
        self._temporary.chmod(0o644)
        if self._parquet is None:
            self._temporary.replace(self.path)
            return
        whole = self._temporary.with_suffix(".parquet")
        frame = self._parquet.scan_csv(self._temporary, infer_schema_length=None)
        frame.sink_parquet(whole)
        whole.replace(self.path)
