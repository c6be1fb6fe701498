"""The card's tables: limits with the least room, the trip, tyres axle by axle."""

from math import isfinite
from typing import Final

from steelyard.assessment import Assessment, StageResult
from steelyard.cards.cut import clipped, cut
from steelyard.cards.result import Table
from steelyard.cards.tyres import Pressure, explained, pumped, told
from steelyard.quantity import Z95, System, shown, unit_of
from steelyard.ratings import LimitStatus, severity
from steelyard.words.assessed import (
    MARKS,
    coupling,
    measured,
    number,
    share_spread,
    stood,
    weight_spread,
)

LIMITS: Final = 13
STAGES: Final = 7


def axle_title(name: str, axles: int = 2) -> str:
    """`front axle`, `first trailer axle`: no digit that could be taken for a load."""
    if not name.startswith("trailer"):
        return name if name in ("ball", "pin") else f"{name} axle"
    if axles == 1:
        return "trailer axle"
    if axles > 2:
        return "heaviest trailer axle"
    return f"{('first', 'second', 'third')[int(name.split()[-1]) - 1]} trailer axle"


def limits(stage: StageResult, system: System) -> Table:
    """What was found against what is allowed: not within first, then by room; unknown among."""
    ordered = sorted(stage.limits, key=lambda one: (-severity(one.verdict), one.room))
    rows, more = cut(ordered, LIMITS, "within or roomier")
    rest = ordered[LIMITS:]
    if any(one.verdict != "within" for one in rest):
        more = f"… and {len(rest)} more, not all within"
    return Table(
        title=f"Loads against limits, “{clipped(stage.title, 40)}”",
        head=("", f"found, {unit_of('mass', system)}", "limit", ""),
        rows=tuple(_limit(one, system) for one in rows),
        left=(0, 3),
        more=more,
    )


def _limit(one: LimitStatus, system: System) -> tuple[str, str, str, str]:
    unknown = one.verdict == "unknown"
    rating = "?" if unknown else measured(one.rating, one, system)
    if one.measure == "share" and one.band is not None:
        rating = f"{100 * one.band[0]:z.0f}–{100 * one.band[1]:z.0f} %"
    unit = f" {unit_of('mass', system)}"
    return (
        clipped(one.title, 38),
        _found(one, system),
        rating.removesuffix(unit),
        stood(one),
    )


def half_width(sd: float, system: System) -> str:
    """Half the 95 % interval of a weight, without its unit; `?` where some draws fall over."""
    return number(Z95 * sd, system) if isfinite(sd) else "?"


def _found(one: LimitStatus, system: System) -> str:
    """The number with its spread, where it has one; weights in the unit of the column's head."""
    if one.measure == "weight":
        half = f" ± {half_width(one.sd, system)}" if one.sd else ""
        return f"{number(one.value, system)}{half}"
    if one.measure == "share" and isfinite(one.sd):
        return f"{100 * one.value:z.1f} ± {100 * Z95 * one.sd:z.1f} %"
    return measured(one.value, one, system)


def trip(found: Assessment, system: System) -> Table:
    """Tongue share and ball at each stage; the worst one is marked."""
    worst = found.worst_stage
    kept, more = cut(found.stages, STAGES)
    if worst not in kept:
        kept = (*kept[:-1], worst)
    rows = [
        (
            ("→ " if stage is worst else "") + clipped(stage.title, 25),
            share_spread(stage.tongue.share),
            weight_spread(stage.tongue.weight_kg, system),
            MARKS[stage.verdict],
        )
        for stage in kept
    ]
    several = len(found.stages) > 1
    return Table(
        title="Tongue share at each stage (→ worst)" if several else "Tongue share",
        head=("", "share", f"on the {coupling(found.rig)}, bars off", ""),
        rows=tuple(rows),
        left=(0, 3),
        more=more,
    )


def tyres(asked: tuple[Pressure, ...], system: System) -> Table:
    """The pressure each axle asks for, for the heaviest load of the trip on one tyre."""
    rows = [
        (
            axle_title(one.title, _axles(asked)),
            shown(one.load, "mass", system),
            told(one, system),
            "?" if one.now is None else pumped(one.now, system),
            clipped(explained(one, system), 52),
        )
        for one in asked
    ]
    unit = unit_of("pressure", system)
    return Table(
        title=f"Cold tyre pressures for these loads, {unit}",
        head=("", "one tyre bears up to", "asks for", "file says", ""),
        rows=tuple(rows),
        left=(0, 4),
        more="",
    )


def _axles(asked: tuple[Pressure, ...]) -> int:
    """Trailer axles, told apart while there are at most two."""
    return min(sum(one.title.startswith("trailer") for one in asked), 2)
