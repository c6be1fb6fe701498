"""Concrete things a person can do about sway, each worked out whole and ranked by its size."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from steelyard.estimate import Array, Estimate, Values
from steelyard.quantity import POUND, parse
from steelyard.quantity.constants import HOUR, INCH, MILE, POUND_FORCE
from steelyard.rig import Item, Place, Rig, SpringBars
from steelyard.statics import loads, prior
from steelyard.sway.advice import Edge, asked, edges
from steelyard.sway.answers import RATIO
from steelyard.sway.combination import Combination, flat, rebuilt, taken
from steelyard.sway.friction import equivalent_damper
from steelyard.sway.modes import oscillation
from steelyard.sway.rig import combination
from steelyard.trip import StagePlan

WEIGHT: Final = 100 * POUND
"""kg: how much is moved from place to place."""
WORTH: Final = 10.0
"""kg: a place that holds less has nothing worth moving."""
PRESSURE: Final = 10 * POUND_FORCE / INCH**2
"""Pa: how much a tyre is blown up."""
FRICTION: Final = 200.0
"""N m of dry friction at the coupling: 100 to 300, from memory."""
SWING: Final = float(np.deg2rad(2.0))
"""rad: swing at which dry friction is turned into a damper."""
SLOWER: Final = 5 * MILE / HOUR
"""m/s less."""
SHARE: Final = 0.25
"""More of the lost front load given back by the bars."""
Kind = Literal["weight", "tank", "tyres", "bars", "friction", "speed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One thing to do, with where the rig stands before and after.

    kind and `what` say what is done: `amount` is kg moved, Pa added, share of front load given
    back, N m of friction, or m/s less; `source` and `target` are places, tanks or axles, empty
    where none is meant. `gain` is the rise of the damping ratio at the speed asked about.
    """

    kind: Kind
    what: str
    source: str
    target: str
    amount: float
    before: Edge
    after: Edge

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


def moves(
    rig: Rig,
    estimate: Estimate | None = None,
    stage: str | None = None,
    ratio: float = RATIO,
    speed: float | None = None,
    *,
    relaxation: bool = True,
) -> tuple[Move, ...]:
    """Everything that could be done at one stage, best first, each worked out at the best estimate.

    Weight between places, tanks filled or drained, tyres up 10 psi, bars set harder or fitted, dry
    friction at the coupling, and going slower. It says nothing about ratings: hold every move
    against them.
    """
    rig, plan, belief, chosen = asked(rig, estimate, stage, speed)
    centre = belief.at_mean()
    probed, boarded = _with_probes(rig, plan)
    still = _unprobed(centre)
    cases = [*_weights(rig, plan, centre), *_tanks(rig, plan, centre), *_tyres(rig, centre)]
    cases += [*_harder_bars(rig, centre)]
    c = _modelled(probed, boarded, [still, *({**still, **k.values} for k in cases)], relaxation)
    places = edges(c, ratio, chosen)
    found = [_move(case, places[0], after) for case, after in zip(cases, places[1:], strict=True)]
    best = taken(c, slice(0, 1))
    found += _fitted_bars(rig, plan, centre, places[0], ratio, chosen, relaxation=relaxation)
    found += _coupling(best, places[0], ratio, chosen)
    return tuple(sorted(found, key=lambda one: -one.gain))


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


def _modelled(rig: Rig, plan: StagePlan, each: list[Values], relaxation: bool) -> Combination:  # noqa: FBT001
    """One combination (n,) of n sets of values."""
    names = list(each[0])
    v = {name: np.array([float(one[name]) for one in each]) for name in names}
    whole = combination(rig, v, loads(rig, v, (plan,)), relaxation=relaxation)
    return taken(whole, (0, slice(None)))


_PROBES: Final = {
    "taken from trailer": "trailer",
    "put on trailer": "trailer",
    "taken from vehicle": "vehicle",
    "put on vehicle": "vehicle",
}


def _with_probes(rig: Rig, plan: StagePlan) -> tuple[Rig, StagePlan]:
    """The rig with weights that a move takes away or puts down, zero until then."""
    places, items = dict(rig.places), dict(rig.items)
    nought = parse("0 m", "length")
    for name, body in _PROBES.items():
        places[name] = Place(on=body, station=nought, offset=nought)  # type: ignore[arg-type]
        items[name] = Item(weight=parse("0 kg", "mass"), place=name, height=parse("1 m", "length"))
    probed = rig.model_copy(update={"places": places, "items": items})
    return probed, replace(plan, items=plan.items | set(_PROBES))


def _unprobed(centre: Values) -> dict[str, Array]:
    still = dict(centre)
    for name in _PROBES:
        still[f"items.{name}.weight"] = still[f"items.{name}.station"] = np.zeros(())
    return still


def _probe(name: str, kg: float, station: float) -> dict[str, Array]:
    path = f"items.{name}"
    return {f"{path}.weight": np.asarray(kg), f"{path}.station": np.asarray(station)}


def _weights(rig: Rig, plan: StagePlan, v: Values) -> Iterator[_Case]:
    """100 lb, or what is there, from each place to each other."""
    for source, place in rig.places.items():
        aboard = [n for n, item in rig.items.items() if item.place == source and n in plan.items]
        kg = min(WEIGHT, sum(float(v[f"items.{name}.weight"]) for name in aboard))
        if kg < WORTH:
            continue
        weights = [float(v[f"items.{name}.weight"]) for name in aboard]
        stations = [float(v[f"items.{name}.station"]) for name in aboard]
        start = float(np.average(stations, weights=weights))
        for target, other in rig.places.items():
            if target == source:
                continue
            yield _Case(
                kind="weight",
                what="move weight",
                source=source,
                target=target,
                amount=kg,
                values={
                    **_probe(f"taken from {place.on}", -kg, start),
                    **_probe(f"put on {other.on}", kg, other.station.value),
                },
            )


def _tanks(rig: Rig, plan: StagePlan, v: Values) -> Iterator[_Case]:
    """Each trailer tank drained or filled, where that changes something."""
    for name in rig.trailer.tanks:
        path = f"stages.{plan.key}.tanks.{name}"
        level, full = float(v[path]), float(v[f"trailer.tanks.{name}.capacity"])
        for what, wanted in (("drain", 0.0), ("fill", 1.0)):
            kg = abs(wanted - level) * full
            if kg < WORTH:
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
    """10 psi more where the sidewall's own maximum, if stated, allows."""
    ends = (
        ("vehicle.front", "front axle", rig.vehicle.front.tyres),
        ("vehicle.rear", "rear axle", rig.vehicle.rear.tyres),
        ("trailer.axles", "trailer axles", rig.trailer.axles.tyres),
    )
    for path, words, tyres in ends:
        wanted = float(v[f"{path}.pressure"]) + PRESSURE
        if tyres.max_pressure is not None and wanted > tyres.max_pressure.value:
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
    *,
    relaxation: bool,
) -> list[Move]:
    """Spring bars of a usual kind where none are fitted and the coupling takes them."""
    if rig.hitch.bars is not None or rig.hitch.kind not in (None, "ball"):
        return []
    if rig.trailer.style in ("fifth-wheel", "gooseneck", "boat"):
        return []
    fitted = rig.model_copy(
        update={
            "hitch": rig.hitch.model_copy(
                update={"bars": SpringBars(set_at=plan.key if rig.stages else None)}
            )
        }
    )
    v = {**prior(fitted).estimate.at_mean(), **centre}
    after = edges(_modelled(fitted, plan, [v], relaxation), ratio, chosen)[0]
    share = float(v["hitch.bars.restoration"])
    case = _Case(kind="bars", what="fit bars", source="", target="", amount=share, values={})
    return [_move(case, before, after)]


def _coupling(best: Combination, before: Edge, ratio: float, chosen: float) -> Iterator[Move]:
    """Dry friction at the coupling, as a damper at a swing of 2 degrees, and 5 mph less."""
    frequency = oscillation(best, chosen).frequency
    if np.all(frequency > 0):
        damper = best.damper + equivalent_damper(np.asarray(FRICTION), np.asarray(SWING), frequency)
        rubbed = rebuilt(replace(best, damper=damper), flat(replace(best, damper=damper)))
        case = _Case(
            kind="friction", what="add friction", source="", target="", amount=FRICTION, values={}
        )
        yield _move(case, before, edges(rubbed, ratio, chosen)[0])
    if chosen > 2 * SLOWER:
        case = _Case(kind="speed", what="go slower", source="", target="", amount=SLOWER, values={})
        yield _move(case, before, edges(best, ratio, chosen - SLOWER)[0])
