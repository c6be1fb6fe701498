"""Readings that span a rating: alone they cannot say on which side of it the load is."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from steelyard.assessment import Assessment
from steelyard.quantity import Z95
from steelyard.ratings import LimitStatus
from steelyard.rig import Rig
from steelyard.typical.trailer import ORDINALS
from steelyard.weighing.kinds import Platform, UnderTongue
from steelyard.weighing.laid_ticket import Line
from steelyard.weighing.reconcile import Judged, Reconciled
from steelyard.weighing.ticket import Pass

_BY_AXLES: Final[dict[frozenset[str], str]] = {
    frozenset({"front"}): "vehicle.front.gawr",
    frozenset({"rear"}): "vehicle.rear.gawr",
    frozenset({"front", "rear"}): "vehicle.gvwr",
    frozenset({"trailer"}): "trailer.gtm",
    frozenset({"all"}): "vehicle.gcwr",
    frozenset({"front", "rear", "trailer"}): "vehicle.gcwr",
    **{
        frozenset({f"trailer-{number}"}): f"trailer.axles.{ordinal}.gawr"
        for number, ordinal in enumerate(ORDINALS, start=1)
    },
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Spanning:
    """A reading whose 95 % interval holds a rating, and how that limit stands by everything."""

    reading: Judged
    standing: LimitStatus


def spanning(found: Reconciled, after: Assessment) -> tuple[Spanning, ...]:
    """Readings of what a limit binds, as driven, that span its rating; `after` has the weighing."""
    rows = zip(found.weighed.lines, found.readings, strict=True)
    return tuple(
        Spanning(reading=judged, standing=standing)
        for line, judged in rows
        for standing in _bound(line, found, after)
        if abs(standing.rating - judged.value) < Z95 * judged.own_sd
    )


def _bound(line: Line, found: Reconciled, after: Assessment) -> Iterator[LimitStatus]:
    """The known limits, at the pass's stage or the first, on just what a reading weighed."""
    one = found.weighed.ticket.passes[line.pass_name]
    stage = next((s for s in after.stages if s.key == one.stage), after.stages[0])
    for standing in stage.limits:
        if standing.verdict != "unknown" and _weighs(line, one, found.weighed.rig, standing):
            yield standing


def _weighs(line: Line, one: Pass, rig: Rig, limit: LimitStatus) -> bool:
    """Whether a reading is of what a limit binds: axles coupled as driven, the tongue bars off."""
    as_driven = (one.bars == "on") == (rig.hitch.bars is not None)
    if isinstance(line.reading, Platform):
        wanted = _BY_AXLES.get(frozenset(line.reading.axles))
        return one.arrangement == "coupled" and as_driven and limit.name == wanted
    if isinstance(line.reading, UnderTongue) and line.reading.station.value > 0:
        return False
    tongue = line.reading.kind == "tongue-scale" or (
        line.reading.kind == "hitch-scale" and one.bars != "on"
    )
    return tongue and limit.kind == "part's tongue"
