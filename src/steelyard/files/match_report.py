"""Matches and comparisons as rows for a table and as JSON; both are versioned and only grow."""

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard import __version__
from steelyard.estimate import Array
from steelyard.files.plain import plain
from steelyard.files.report import CAUTIONS, REPORT, _limit
from steelyard.matching.block_answers import Block
from steelyard.matching.compare import Comparison
from steelyard.matching.match import Matched
from steelyard.matching.pair_limits import Room
from steelyard.matching.pair_remedies import Remedy
from steelyard.matching.pairing import FULL, TYPICAL
from steelyard.matching.rank import LISTS, Pair, Summary, standing_of
from steelyard.ratings import VERDICTS

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

_WORDS: Final = (
    "list",
    "vehicle",
    "trailer",
    "standing",
    "standing_full_rating",
    "why_not",
    "governs",
    "governs_full_rating",
)
_COUNTS: Final = ("a", "b", "place", "ratings_exceeded", "ratings_not_known")


def schema(pl: Any, names: Iterable[str]) -> dict[str, Any]:
    """Polars' kinds of the columns of a table or of a fleet's part; each hangs on its name."""

    def kind(name: str) -> Any:
        if name in _WORDS or name.endswith("stopped_by"):
            return pl.String
        return pl.Int64 if name in _COUNTS else pl.Float64

    return {name: kind(name) for name in names}


Cells = dict[str, list[Any]]


def cells(pairs: Sequence[Pair]) -> Iterator[tuple[Any, ...]]:
    """All pairs of one block as the cells of a table, in order but for list and place; a margin in
    kg, of a share as such; None for not known."""
    block, what = pairs[0].block, pairs[0].found
    columns = {
        "vehicle": [pair.names[0] for pair in pairs],
        "trailer": [pair.names[1] for pair in pairs],
        **block_cells(block, what),
        **_limit_cells(block, block.stages.index(TYPICAL)),
    }
    return zip(*columns.values(), strict=True)


def block_cells(block: Block, what: Summary) -> Cells:
    """A block's pairs by column, but for their names, places and single limits."""
    usual = block.stages.index(TYPICAL)
    return {
        **_standings(block, what),
        **_loads(block, usual),
        **_rest(block, usual),
        "why_not": [None] * len(block.tow),
    }


def _known(x: Array) -> list[float | None]:
    """Numbers as such, None for what is not known."""
    found = x.tolist()
    if np.isfinite(x).all():
        return found  # type: ignore[no-any-return]
    return [None if not math.isfinite(one) else one for one in found]


def _standings(block: Block, what: Summary) -> Cells:
    """How each pair stands as usually loaded and at full rating, and what governs it."""
    n = len(block.tow)
    rated = FULL in block.stages
    usual, full = block.stages.index(TYPICAL), block.stages.index(FULL) if rated else None
    return {
        "standing": [VERDICTS[code] for code in what.standing.tolist()],
        "standing_full_rating": [VERDICTS[code] for code in what.full.tolist()]
        if rated
        else ["unknown"] * n,
        "ratings_exceeded": what.failed.tolist(),
        "ratings_not_known": what.unknown.tolist(),
        "governs": _names(block, what.governs),
        "governs_margin": _margins(block, what.governs, usual),
        "chance_not_holding": _known(what.chance),
        "governs_full_rating": _names(block, what.governs_full),
        "governs_full_rating_margin": _margins(block, what.governs_full, full),
        "chance_not_holding_full_rating": _known(what.chance_full) if rated else [None] * n,
    }


def _names(block: Block, limits: NDArray[np.intp]) -> list[str | None]:
    return [block.limits[limit].name if limit >= 0 else None for limit in limits.tolist()]


def _margins(block: Block, limits: NDArray[np.intp], stage: int | None) -> list[float | None]:
    """Each pair's margin of a limit of its own, -1 for none."""
    if stage is None:
        return [None] * len(limits)
    margin = block.margin[limits, stage, np.arange(len(limits))]
    return _known(np.where(limits >= 0, margin, np.nan))


def _loads(block: Block, stage: int) -> Cells:
    found: Cells = {}
    for name, array in (
        ("trailer_kg", block.trailer_kg),
        ("tongue_kg", block.tongue_kg),
        ("tongue_share", block.share),
    ):
        value, sd = array[:, stage]
        found[name], found[f"sd_{name}"] = _known(value), _known(sd)
    return found


def _rest(block: Block, usual: int) -> Cells:
    return {
        **_room_cells("cargo_room", block.cargo.least(block.cargo_band), block),
        **_room_cells("cargo_room_ratings", block.cargo, block),
        **_room_cells("cargo_room_band", block.cargo_band, block),
        **_room_cells("vehicle_room", block.gear.least(block.gear_band), block),
        "sway_speed_mps": [block.speed] * len(block.tow),
        "swing_grows_from_mps": _known(block.wags[usual]),
        "chance_swing_grows": _known(block.wags_chance[usual]),
        "damping_ratio": _known(block.damping[usual]),
    }


def _room_cells(name: str, found: Room, block: Block) -> Cells:
    return {
        f"{name}_kg": _known(found.kg[0]),
        f"{name}_sure_kg": _known(found.kg[1]),
        f"{name}_stopped_by": _names(block, found.by),
    }


def _limit_cells(block: Block, usual: int) -> Cells:
    places = {check.name: place for place, check in enumerate(block.limits)}
    none: list[None] = [None] * len(block.tow)
    found: Cells = {}
    for name in LIMITS:
        place = places.get(name)
        if place is None:
            found[f"{name}.margin"] = found[f"{name}.chance"] = none
            continue
        found[f"{name}.margin"] = _known(block.margin[place, usual])
        found[f"{name}.chance"] = _known(block.chance[place, usual])
    return found


def never(found: Matched) -> Iterator[dict[str, Any]]:
    """Pairs that can't be coupled at all, as the cells of a table."""
    for a, b, why in found.impossible:
        names = {"vehicle": found.tows[a].name, "trailer": found.toweds[b].name}
        said = {"list": LISTS[-1], "standing": "exceeded", "why_not": why}
        yield {**dict.fromkeys(HEAD), **names, **said}


def stage_reports(pairs: Sequence[Pair]) -> Iterator[list[dict[str, Any]]]:
    """Loads and every limit at every stage, as JSON values, of all pairs of one block."""
    block = pairs[0].block
    columns = [_stage_cells(block, stage) for stage in range(len(block.stages))]
    for number in range(len(pairs)):
        yield [
            {
                "key": key,
                **{name: column[number] for name, column in columns[stage].items()},
                "limits": [
                    _limit(standing_of(block, limit, stage, number))
                    for limit in range(len(block.limits))
                ],
            }
            for stage, key in enumerate(block.stages)
        ]


def _stage_cells(block: Block, stage: int) -> Cells:
    return {
        "front_kg": _known(block.front_kg[stage]),
        "rear_kg": _known(block.rear_kg[stage]),
        **_loads(block, stage),
        "tips_share": _known(block.tips[stage]),
    }


def remedy_report(one: Remedy) -> dict[str, Any]:
    """What one change does, as JSON values."""
    return {
        "what": one.what,
        "mends": one.mends,
        "mended": list(one.mended),
        "left": list(one.left),
        "new": list(one.new),
    }


def comparison_report(found: Comparison, sentence: str) -> dict[str, Any]:
    """A comparison as JSON values."""
    return {
        "compare": REPORT,
        "steelyard": __version__,
        "a": found.name_a,
        "b": found.name_b,
        "stage_a": found.stage_a.key,
        "stage_b": found.stage_b.key,
        "sentence": sentence,
        "tongue_a_kg": plain(found.tongue_a_kg),
        "tongue_b_kg": plain(found.tongue_b_kg),
        "difference_kg": plain(found.difference_kg),
        "rows": plain(found.rows),
        "cautions": list(CAUTIONS),
    }
