"""Concrete things a person can do about sway, each worked out whole and ranked by its size."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Final, Literal

import numpy as np

from steelyard.estimate import Array, Estimate, Values
from steelyard.quantity import INCH, POUND, reported
from steelyard.quantity.constants import HOUR, MILE, POUND_FORCE
from steelyard.rig import Place, Rig, SpringBars, takes_bars
from steelyard.rig.fumes import outside
from steelyard.scene import Opening, Scene, belief_of
from steelyard.statics.masses import Mass, in_place
from steelyard.swaying.linear.combination import Combination, taken
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.result import Edge
from steelyard.swaying.stage_sway import RATIO, asked, edges
from steelyard.travel import StagePlan

WEIGHT: Final = 100 * POUND
"""kg: how much is moved from place to place."""
WORTH: Final = 10.0
"""kg: a place that holds less has nothing worth moving."""
PRESSURE: Final = 10 * POUND_FORCE / INCH**2
"""Pa: how much a tyre is blown up."""
SLOWER: Final = 5 * MILE / HOUR
"""m/s less."""
SHARE: Final = 0.25
"""More of the lost front load given back by the bars."""
Kind = Literal["weight", "tank", "tyres", "bars", "speed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One thing to do, with where the rig stands before and after.

    kind and `what` say what is done: `amount` is kg moved, Pa added, share of front load given
    back, or m/s less; `source` and `target` are places, tanks or axles, empty
    where none is meant. `gain` is the rise of the damping ratio at the speed asked about.
    """

    kind: Kind
    what: str
    source: Annotated[str, reported.Key("from")]
    target: Annotated[str, reported.Key("to")]
    amount: Annotated[float, reported.SI]
    before: Annotated[Edge, reported.UNREPORTED]
    after: Annotated[Edge, reported.UNREPORTED]

    @property
    def gain(self) -> float:
        """Rise of the damping ratio at the speed asked about."""
        return self.after.damping - self.before.damping


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """A move not yet worked out: the values it changes."""

    kind: Kind
    what: str
    source: str
    target: str
    amount: float
    values: Values
    shifts: tuple["_Shift", ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shift:
    """kg more at a station of a place; negative: taken out."""

    place: str
    kg: float
    station: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """Moves on one rig, with what it takes to look at anything else about them: a scene at one
    stage and (1 + k,) values, of which the first are the rig as it is."""

    scene: Scene
    moves: tuple[Move, ...]


def tried(
    rig: Rig | Opening,
    estimate: Estimate | None = None,
    stage: str | None = None,
    ratio: float = RATIO,
    speed: float | None = None,
) -> tuple[Tried, ...]:
    """Everything that could be done at one stage, each worked out at the best estimate.

    Weight between places, tanks filled or drained, tyres up 10 psi, bars set harder or fitted, and
    going slower. Friction at the coupling is not among them: it damps no swing that is large. It
    says nothing about ratings: that is `assessment.sway_advice`.
    """
    rig, plan, belief, chosen = asked(rig, estimate, stage, speed)
    centre = belief.at_mean()
    cases = [*_weights(rig, plan, centre), *_tanks(rig, plan, centre), *_tyres(rig, centre)]
    cases += [*_harder_bars(rig, centre)]
    v = _stacked([centre, *({**centre, **case.values} for case in cases)])
    scene = Scene(rig=rig, stages=(plan,), values=v, extra=_shifted(rig, v, cases))
    c = _modelled(scene)
    places = edges(c, ratio, chosen)
    found = [_move(case, places[0], after) for case, after in zip(cases, places[1:], strict=True)]
    best = taken(c, slice(0, 1))
    slower = tuple(_slower(best, places[0], ratio, chosen))
    return (
        Tried(scene=scene, moves=tuple(found)),
        *_fitted_bars(rig, plan, centre, places[0], ratio, chosen),
        Tried(scene=scene.valued(_unchanged(v, len(slower))), moves=slower),
    )


def _unchanged(v: Values, count: int) -> Values:
    """The first of values, as often as asked and once more: what a move leaves as it is."""
    return {name: np.repeat(x[:1], count + 1) for name, x in v.items()}


def _shifted(rig: Rig, v: Values, cases: list[_Case]) -> tuple[Mass, ...]:
    """What the cases take out of places and put into them, (1 + k,): nothing in the first."""
    found = []
    for number, case in enumerate(cases, start=1):
        for shift in case.shifts:
            kg = np.zeros(len(cases) + 1)
            kg[number] = shift.kg
            place = rig.places[shift.place]
            found.append(in_place(place, v, kg, shift.station, place.offset, None))
    return tuple(found)


def _move(case: _Case, before: Edge, after: Edge) -> Move:
    return Move(
        kind=case.kind,
        what=case.what,
        source=case.source,
        target=case.target,
        amount=case.amount,
        before=before,
        after=after,
    )


def _stacked(each: list[Values]) -> dict[str, Array]:
    return {name: np.array([float(one[name]) for one in each]) for name in each[0]}


def _modelled(scene: Scene) -> Combination:
    """One combination (n,) of n sets of values."""
    whole = combination(scene.rig, scene.values, scene.loads)
    return taken(whole, (0, slice(None)))


def _weights(rig: Rig, plan: StagePlan, v: Values) -> Iterator[_Case]:
    """100 lb, or what is there and may ride elsewhere, from each place to each other, no more than
    that may still hold."""
    for source in rig.places:
        for target, other in rig.places.items():
            aboard = _movable(rig, plan, source, other)
            weights = [float(v[f"items.{name}.weight"]) for name in aboard]
            kg = min(WEIGHT, sum(weights), _room(rig, plan, target, v))
            if target == source or kg < WORTH:
                continue
            stations = [float(v[f"items.{name}.station"]) for name in aboard]
            start = float(np.average(stations, weights=weights))
            yield _Case(
                kind="weight",
                what="move weight",
                source=source,
                target=target,
                amount=kg,
                values={},
                shifts=(
                    _Shift(place=source, kg=-kg, station=start),
                    _Shift(place=target, kg=kg, station=other.station.value),
                ),
            )


def _movable(rig: Rig, plan: StagePlan, source: str, target: Place) -> list[str]:
    """What rides in a place and may ride in another."""
    return [
        name
        for name, item in rig.items.items()
        if item.place == source
        and name in plan.items
        and not item.fixed
        and not (item.not_with_people and rig.sort_of(target) == "cabin")
        and not (outside(name, item) and rig.sort_of(target) != "outside")
    ]


def _room(rig: Rig, plan: StagePlan, target: str, v: Values) -> float:
    """What a place may still hold, kg; no capacity stated says nothing."""
    capacity = rig.places[target].capacity
    if capacity is None:
        return float("inf")
    there = [n for n, item in rig.items.items() if item.place == target and n in plan.items]
    return capacity.value - sum(float(v[f"items.{name}.weight"]) for name in there)


def _tanks(rig: Rig, plan: StagePlan, v: Values) -> Iterator[_Case]:
    """Each trailer tank drained, or filled unless with waste, where that changes something."""
    for name, tank in rig.trailer.tanks.items():
        path = f"stages.{plan.key}.tanks.{name}"
        level, full = float(v[path]), float(v[f"trailer.tanks.{name}.capacity"])
        for what, wanted in (("drain", 0.0), ("fill", 1.0)):
            kg = abs(wanted - level) * full
            if kg < WORTH or (what == "fill" and tank.content in ("grey", "black")):
                continue
            yield _Case(
                kind="tank",
                what=what,
                source=name if what == "drain" else "",
                target=name if what == "fill" else "",
                amount=kg,
                values={path: np.asarray(wanted)},
            )


def _tyres(rig: Rig, v: Values) -> Iterator[_Case]:
    """10 psi more where pressure and the sidewall's maximum are stated, and that allows it."""
    ends = (
        ("vehicle.front", "front axle", rig.vehicle.front.tyres),
        ("vehicle.rear", "rear axle", rig.vehicle.rear.tyres),
        ("trailer.axles", "trailer axles", rig.trailer.axles.tyres),
    )
    for path, words, tyres in ends:
        if tyres.pressure is None or tyres.max_pressure is None:
            continue
        wanted = float(v[f"{path}.pressure"]) + PRESSURE
        if wanted > tyres.max_pressure.value:
            continue
        yield _Case(
            kind="tyres",
            what="blow up tyres",
            source="",
            target=words,
            amount=PRESSURE,
            values={f"{path}.pressure": np.asarray(wanted)},
        )


def _harder_bars(rig: Rig, v: Values) -> Iterator[_Case]:
    """Bars that give back a quarter more of the front load lost, up to all of it."""
    path = "hitch.bars.restoration"
    if rig.hitch.bars is None or path not in v or float(v[path]) >= 1.0:
        return
    if rig.vehicle.distribution == "forbidden":
        return
    wanted = min(float(v[path]) + SHARE, 1.0)
    yield _Case(
        kind="bars",
        what="set bars harder",
        source="",
        target="",
        amount=wanted,
        values={path: np.asarray(wanted)},
    )


def _fitted_bars(
    rig: Rig,
    plan: StagePlan,
    centre: Values,
    before: Edge,
    ratio: float,
    chosen: float,
) -> list[Tried]:
    """Spring bars of a usual kind where none are fitted and coupling and vehicle take them."""
    if rig.hitch.bars is not None or not takes_bars(rig):
        return []
    if rig.vehicle.distribution == "forbidden" or rig.trailer.style == "boat":
        return []
    fitted = rig.model_copy(
        update={
            "hitch": rig.hitch.model_copy(
                update={"bars": SpringBars(set_at=plan.key if rig.stages else None)}
            )
        }
    )
    v = {**belief_of(fitted).at_mean(), **centre}
    scene = Scene(rig=fitted, stages=(plan,), values=_stacked([v]))
    if not float(scene.loads.tongue[0, 0]) > 0:  # nothing of the front load is lost
        return []
    after = edges(_modelled(scene), ratio, chosen)[0]
    share = float(v["hitch.bars.restoration"])
    case = _Case(kind="bars", what="fit bars", source="", target="", amount=share, values={})
    both = scene.valued(_unchanged(scene.values, 1))
    return [Tried(scene=both, moves=(_move(case, before, after),))]


def _slower(best: Combination, before: Edge, ratio: float, chosen: float) -> Iterator[Move]:
    """5 mph less."""
    if chosen > 2 * SLOWER:
        case = _Case(kind="speed", what="go slower", source="", target="", amount=SLOWER, values={})
        yield _move(case, before, edges(best, ratio, chosen - SLOWER)[0])
