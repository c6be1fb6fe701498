"""Cargo that may stand anywhere along a deck: the best station, and how far it may be off."""

from dataclasses import dataclass, replace
from typing import Annotated, Final

import numpy as np

from steelyard.estimate import Array, Estimate, drawn
from steelyard.fault import FaultError, missing, quoted
from steelyard.quantity import System, Value, reported
from steelyard.quantity.show import apart
from steelyard.ratings import TIGHT, checks
from steelyard.rig import Item, Rig
from steelyard.scene import Scene, opened
from steelyard.stowing.linear import MEASURES, Side, excess_of, sides_of
from steelyard.stowing.question import middle_of_band
from steelyard.travel import plan_stages

STEP: Final = 0.0025
"""m between the stations looked at."""
BAND: Final = 0.01
"""Share either side of the target that counts as near it."""
NEAR: Final = 0.002
"""Share from the target that is as good as on it."""
DECK: Final = "the end of the deck"
DRAWS: Final = 256
HAIR: Final = 1e-6
"""kg by which a limit that no station alters may seem to be."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Footing:
    """An item on a deck in one facing: stations (m, its carrier's frame) of its centre of gravity.

    ahead, behind: m its foremost and rearmost wheels (or, without `wheels`, ends) stand from that
    centre; headboard: station of the deck's front edge. low, high: stations that keep every limit
    they alter at the stated confidence and the share within `band` of the target at every stage;
    None where none does. exceeded: whether a limit is at `best`, at the best estimate. stopped_by:
    what keeps the share from its target, a limit (then `stop` too) or the deck's end; None where
    nothing does.
    """

    item: str
    place: str
    backwards: bool
    ahead: Annotated[float, reported.UNREPORTED]
    behind: Annotated[float, reported.UNREPORTED]
    wheels: Annotated[bool, reported.UNREPORTED]
    headboard: Annotated[float, reported.UNREPORTED]
    best: Annotated[float, reported.METRE, reported.Key("best_station")]
    low: Annotated[float | None, reported.METRE, reported.Key("low_station")]
    high: Annotated[float | None, reported.METRE, reported.Key("high_station")]
    share: tuple[float, ...]
    share_low: Annotated[float, reported.UNREPORTED]
    share_high: Annotated[float, reported.UNREPORTED]
    exceeded: Annotated[bool, reported.UNREPORTED]
    stopped_by: str | None
    stop: Annotated[Side | None, reported.UNREPORTED]


class StationError(FaultError):
    """An item that has no deck to slide along; one sentence."""


def sliding(rig: Rig) -> tuple[str, ...]:
    """Items that say they may stand anywhere along their place."""
    return tuple(name for name, item in rig.items.items() if item.slides)


def footings(
    rig: Rig,
    name: str,
    estimate: Estimate | None = None,
    *,
    target: float | None = None,
    confidence: float = TIGHT,
    seed: int = 0,
) -> tuple[Footing, ...]:
    """The best station of an item, facing forwards and, where that differs, backwards."""
    scene = opened(rig, estimate, draws=1)
    rig, estimate = scene.rig, scene.estimate
    item = rig.items.get(name)
    if item is None:
        raise StationError(missing("items", name, rig.items, argument="slide"))
    ahead, behind = _reach(item)
    aim = middle_of_band(rig) if target is None else target
    ways = [(ahead, behind, False)] + ([(behind, ahead, True)] if ahead != behind else [])
    return tuple(_footing(rig, name, estimate, one, aim, confidence, seed) for one in ways)


def _reach(item: Item) -> tuple[float, float]:
    """m from the centre of gravity to front and rear wheels, or half its length where unsaid."""
    half = item.size[0].value / 2 if item.size else 0.0
    return (
        item.front_wheels.value if item.front_wheels else half,
        item.rear_wheels.value if item.rear_wheels else half,
    )


def _leading(item: Item, *, backwards: bool) -> Value | None:
    """Where the wheels that lead in this facing stand, if the file says."""
    return item.rear_wheels if backwards else item.front_wheels


def _footing(
    rig: Rig,
    name: str,
    estimate: Estimate,
    way: tuple[float, float, bool],
    target: float,
    confidence: float,
    seed: int,
) -> Footing:
    ahead, behind, backwards = way
    place = rig.places[rig.items[name].place]
    if place.length is None:
        key = rig.items[name].place
        raise StationError(path=("places", key, "length"), due="the deck's length", found="none")
    front = place.station.value - place.length.value / 2
    start, end = front + ahead, front + place.length.value - behind
    if end < start:
        system: System = "us" if rig.region in (None, "north-america") else "metric"
        due = f"wheels or ends at most {place.length.text!r} apart, the length of its deck"
        found = quoted(apart(ahead + behind, "length", system, place.length.value))
        raise StationError(path=("items", name), due=due, found=found)
    grid = np.linspace(start, end, max(int((end - start) / STEP) + 1, 2))
    share, room, base, sides = _along(rig, name, estimate, grid, confidence, seed)
    off = np.max(np.abs(share - target), axis=0)
    holds = room.max(axis=0, initial=-np.inf) <= 0
    best = _best(off, room, base, sides)
    good = holds & (off <= BAND)
    low, high = _around(grid, good, best)
    stop = _stop(off, room, base, best, sides)
    return Footing(
        item=name,
        place=rig.items[name].place,
        backwards=backwards,
        ahead=ahead,
        behind=behind,
        wheels=_leading(rig.items[name], backwards=backwards) is not None,
        headboard=front,
        best=float(grid[best]),
        low=low,
        high=high,
        share=tuple(float(x) for x in share[:, best]),
        share_low=target - BAND,
        share_high=target + BAND,
        exceeded=bool(base[:, best].max(initial=0.0) > 0.0),
        stopped_by=stop.title if stop else None if off[best] < NEAR else DECK,
        stop=stop,
    )


def _best(off: Array, room: Array, base: Array, sides: list[Side]) -> int:
    """The station nearest the target of those at which all holds with its spread, else at which
    what some station mends holds at the best estimate. Where the target itself breaks such a limit,
    the one that is as many spreads inside it as inside the share's band."""
    holds = room.max(axis=0, initial=-np.inf) <= 0
    mendable = base.min(axis=1) <= 0
    broken = mendable & (base[:, off.argmin()] > 0)
    if holds.any() or not broken.any():
        return int(np.argmin(np.where(holds, off, off + 10.0)))
    shares = np.array([side.measure == "share" for side in sides])
    missed = np.maximum(base[mendable].max(axis=0), 0.0)
    asked = broken | mendable & shares
    spreads = (base / np.maximum(room - base, HAIR))[asked].max(axis=0)
    return int(np.lexsort((off, spreads, missed))[0])


def _stop(off: Array, room: Array, base: Array, best: int, sides: list[Side]) -> Side | None:
    """The limit that the target would break and the best station holds, else the one that does not
    hold there for sure or, if all do, where the share would be nearest its target."""
    nearest = int(off.argmin())
    spared = np.where(base[:, best] <= 0, base[:, nearest], 0.0)
    if spared.max(initial=0.0) > 0:
        return sides[int(spared.argmax())]
    for at in (best, nearest) if off[best] >= NEAR else (best,):
        if room[:, at].max(initial=0.0) > 0:
            return sides[int(room[:, at].argmax())]
    return None


def _around(grid: Array, good: Array, best: int) -> tuple[float | None, float | None]:
    """The unbroken run of good stations around the best one."""
    if not good[best]:
        return None, None
    low = high = best
    while low > 0 and good[low - 1]:
        low -= 1
    while high + 1 < len(grid) and good[high + 1]:
        high += 1
    return float(grid[low]), float(grid[high])


def _along(
    rig: Rig, name: str, estimate: Estimate, grid: Array, confidence: float, seed: int
) -> tuple[Array, Array, Array, list[Side]]:
    """Tongue share (S, G), the excess of each limit that the station alters with its spread (K, G)
    and at the best estimate (K, G), at stations along a deck.

    The spread is taken at the middle of the deck: it hardly depends on where the item stands.
    """
    item = rig.items[name]
    here = replace(_value(float(grid[len(grid) // 2])), sd=item.station.sd if item.station else 0.0)
    plans = plan_stages(rig)
    middle = rig.model_copy(
        update={"items": {**rig.items, name: item.model_copy(update={"station": here})}}
    )
    values = dict(estimate.at_mean())
    values[f"items.{name}.station"] = grid
    wide = dict(drawn(estimate, DRAWS, seed, estimate.mean[None]))
    stood = np.asarray(wide[f"items.{name}.station"])
    wide[f"items.{name}.station"] = stood - stood.ravel()[0] + here.value
    cases = [Scene(rig=middle, stages=plans, values=v) for v in (values, wide)]
    excess, base, found = [], [], []
    for narrow, broad in zip(checks(cases[0]), checks(cases[1]), strict=True):
        if narrow.high is None or narrow.advice or narrow.measure not in MEASURES:
            continue
        for under in (False, True) if narrow.low is not None else (False,):
            flat = excess_of(narrow, cases[0].loads, len(plans), len(grid), under=under)
            loose = excess_of(broad, cases[1].loads, len(plans), DRAWS + 1, under=under)
            tail = np.quantile(loose[:, 1:], 1.0 - confidence, axis=1) - loose[:, 0]
            if np.ptp(flat, axis=1).max() < HAIR:
                continue
            base.append(flat)
            excess.append(flat + tail[:, None])
            found += sides_of(narrow, len(plans), under=under)
    share = np.broadcast_to(cases[0].loads.share, (len(plans), len(grid)))
    none = np.empty((0, len(grid)))
    return share, np.concatenate([none, *excess]), np.concatenate([none, *base]), found


def _value(metres: float) -> Value:
    return Value(
        value=metres, sd=0.0, basis="stated", includes=None, kind=None, text=f"{metres!r} m"
    )
