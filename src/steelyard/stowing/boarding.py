"""Rolling a load on over the tail: what it does to the ball before it stands where it rides.

A weight W at the deck's rear edge, s_t behind the ball, changes the ball by W (1 - s_t/s_a) on a
group that acts at s_a: behind the axles it lifts it. No wheel of the load stands farther back, and
what is on a ramp hinged at the edge presses on the edge with its own part at most, so this is the
most that a load rolling on can do. The vehicle's rear axle bears as much less times 1 + h/L.
"""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from steelyard.estimate import Estimate
from steelyard.quantity import GRAVITY, reported
from steelyard.rig import Item, Rig
from steelyard.statics.linkage import group_station
from steelyard.statics.loads import loads
from steelyard.travel import StagePlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Boarding:
    """One load on the edge of its deck at the stage where it is first aboard, best estimate, kg.

    lift: how much less the ball bears than without it; ball: what it bears then, negative where it
    is pulled up; rear: how much less the vehicle's rear axle bears, coupled; stand: what a stand
    under the edge must bear so that the trailer, unhitched, does not tip; 0 where it would not.
    """

    item: str
    place: str
    weight: Annotated[float, reported.KILOGRAM]
    lift: Annotated[float, reported.KILOGRAM, reported.Key("off_ball")]
    ball: Annotated[float, reported.KILOGRAM]
    rear: Annotated[float, reported.KILOGRAM, reported.Key("off_rear_axle")]
    stand: Annotated[float, reported.KILOGRAM, reported.Key("on_stand")]


def rolls(item: Item) -> bool:
    """Whether a thing is rolled or slid on."""
    wheels = item.front_wheels is not None or item.rear_wheels is not None
    return item.slides or wheels


def boardings(rig: Rig, estimate: Estimate, plans: tuple[StagePlan, ...]) -> tuple[Boarding, ...]:
    """Every load that rolls or slides onto a deck of the trailer that reaches behind its axles."""
    found = []
    for name, item in rig.items.items():
        place = rig.places[item.place]
        plan = next((one for one in plans if name in one.items), None)
        if rolls(item) and place.on == "trailer" and place.length is not None and plan is not None:
            edge = place.station.value + place.length.value / 2
            one = _on_edge(rig, estimate, plan, name, edge)
            found += [one] if one.lift > 0 else []
    return tuple(found)


def _on_edge(rig: Rig, estimate: Estimate, plan: StagePlan, name: str, edge: float) -> Boarding:
    v = estimate.at_mean()
    kg, own, h, L = (
        float(np.ravel(v[key])[0])
        for key in (
            f"items.{name}.weight",
            f"items.{name}.station",
            "vehicle.overhang",
            "vehicle.wheelbase",
        )
    )
    group = float(np.ravel(group_station(rig, v))[0])
    tongue = float(loads(rig, v, (plan,)).tongue[0, 0]) / GRAVITY
    without = tongue - kg * (1.0 - own / group)
    lift = kg * (edge / group - 1.0)
    return Boarding(
        item=name,
        place=rig.items[name].place,
        weight=kg,
        lift=lift,
        ball=without - lift,
        rear=lift * (1.0 + h / L),
        stand=max(lift - without, 0.0) * group / (edge - group) if edge > group else 0.0,
    )
