"""A rig ready to be run in time: the combination with its grip, wind, friction and brakes."""

from dataclasses import dataclass, fields
from types import SimpleNamespace
from typing import Any, Final

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.quantity.constants import AIR
from steelyard.rig import Rig
from steelyard.statics.loads import Loads
from steelyard.swaying.linear.combination import NAMES, Combination, taken
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.time.motion import PARAMETERS
from steelyard.typical.outline import outside

BELLY: Final = 0.4
"""m above ground at which the sides of vehicle and trailer begin (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Machine:
    """A combination with what only matters in time; fields broadcast to (n,).

    front, rear, axles: N, load of each axle; grip: side over vertical force at the limit, dry road
    0.8 (assumed); friction: N m of dry friction at the coupling; areas: m2 of side, drag: side
    coefficient at 90 degrees (0.9-1.2 for a box, from memory); vehicle_pressure: m ahead of the
    vehicle's centre, trailer_pressure: m behind the coupling, where the wind acts; heights: m, of
    both centres of gravity and of the coupling; front_brakes: share of the vehicle's brake force in
    front; trailer_brakes: share of its own slowing that the trailer brakes itself.
    """

    combination: Combination
    front: Array
    rear: Array
    axles: tuple[Array, ...]
    grip: Any = 0.8
    friction: Any = 0.0
    vehicle_area: Any = 0.0
    trailer_area: Any = 0.0
    drag: Any = 1.0
    vehicle_pressure: Any = 0.0
    trailer_pressure: Any = 0.0
    vehicle_height: Any = 0.7
    trailer_height: Any = 0.9
    coupling_height: Any = 0.5
    front_brakes: Any = 0.65
    trailer_brakes: Any = 1.0


BRAKED: Final = ("own", "on_front", "on_rear", "off_axle", "by_front", "by_rear", "by_axle")
"""What `transfer` finds, by the names of `motion.PARAMETERS`."""
_OWN: Final = tuple(one.name for one in fields(Machine) if one.name not in ("combination", "axles"))


def parameters(machine: Machine) -> Array:
    """The kernel's numbers (39, n), n = 1 for one rig."""
    rows = _rows(_light(machine))
    if all(isinstance(row, float) for row in rows):
        return np.array(rows)[:, None]
    shape = np.broadcast_shapes((1,), *{np.shape(row) for row in rows})
    whole = np.empty((len(rows), *shape))
    for place, row in enumerate(rows):
        whole[place] = row
    return whole


def _light(machine: Machine) -> Any:
    """The same numbers, as plain floats where they are of one rig: a tenth of the time."""
    c = machine.combination
    own = {name: _float(getattr(machine, name)) for name in _OWN}
    parts = {name: _float(getattr(c, name)) for name in NAMES}
    parts["stations"] = tuple(_float(L) for L in c.stations)
    parts["stiffness"] = tuple(_float(C) for C in c.stiffness)
    axles = tuple(_float(load) for load in machine.axles)
    return SimpleNamespace(combination=SimpleNamespace(**parts), axles=axles, **own)


def _float(x: Any) -> Any:
    if isinstance(x, np.ndarray):
        return x.item() if x.size == 1 else x
    return float(x) if isinstance(x, int | float) else np.asarray(x, dtype=float)


def _rows(machine: Any) -> list[Any]:
    """The numbers of `PARAMETERS`, each a float or (n,)."""
    c = machine.combination
    half = 0.5 * AIR * machine.drag
    found = {
        "per_I1": 1.0 / c.I1,
        "per_J2": 1.0 / (c.I2 + c.m2 * c.e * c.e),
        "Nf": machine.front,
        "Nr": machine.rear,
        "grip": machine.grip,
        "friction": machine.friction,
        "front_quick": _quick(c.front_lag),
        "rear_quick": _quick(c.rear_lag),
        "trailer_quick": _quick(c.trailer_lag),
        "side1": half * machine.vehicle_area,
        "at1": machine.vehicle_pressure,
        "side2": half * machine.trailer_area,
        "at2": machine.trailer_pressure,
        **dict(zip(BRAKED, transfer(machine), strict=True)),
    }
    each = list(zip(c.stations, c.stiffness, machine.axles, strict=True))
    for number, (L, C, N) in enumerate([*each, *[(0.0, 0.0, 0.0)] * (3 - len(each))], start=1):
        found |= {f"L{number}": L, f"C{number}": C, f"N{number}": N}
    return [found[name] if name in found else getattr(c, name) for name in PARAMETERS]


def _quick(lag: Any) -> Any:
    """One over a relaxation length, 0 for none."""
    return (lag > 0) / (lag + (lag <= 0))


def transfer(machine: Any) -> tuple[Any, ...]:
    """What braking does, N per m/s2, by the statics of two bodies.

    Brake force of the trailer itself; load that comes on the front and on the rear axle and off
    each trailer axle; brake force at the front, at the rear and at each trailer axle.
    """
    c, count = machine.combination, len(machine.axles)
    own = machine.trailer_brakes * c.m2
    push = c.m2 - own
    station = sum(c.stations) / count
    nose = (c.m2 * machine.trailer_height - push * machine.coupling_height) / station
    lever = c.m1 * machine.vehicle_height + push * machine.coupling_height
    front = (lever - nose * (c.d - c.b)) / (c.a + c.b)
    held, share = c.m1 + push, machine.front_brakes
    found = (own, front, nose - front, nose / count, share * held, (1.0 - share) * held)
    return (*found, own / count)


def machine(rig: Rig, v: Values, found: Loads, stage: int = 0, **more: Any) -> Machine:
    """The rig at a stage as it runs in time, fields (n,): loads, heights and sides its own.

    more: other fields of `Machine`, such as grip, friction, drag or trailer_brakes. A trailer that
    is not said to have brakes is taken to have them.
    """
    whole = combination(rig, v, found)
    shape = whole.shape
    c = taken(whole, (stage, slice(None)))

    def here(x: Any) -> Array:
        return np.asarray(np.broadcast_to(x, shape)[stage])

    both = found.balance.vehicle, found.balance.trailer
    heights = [here(body.height / body.weight) for body in both]
    box = here(v["trailer.box_length"])
    fields = {
        "vehicle_area": _vehicle_side(rig, v),
        "trailer_area": box * (outside(rig, "trailer", "roof_height") - BELLY),
        "vehicle_pressure": c.a - 0.5 * (c.a + c.b),
        "trailer_pressure": here(v["trailer.box_start"]) + 0.5 * box,
        "vehicle_height": heights[0],
        "trailer_height": heights[1],
        "coupling_height": here(v["hitch.ball_height"]),
        "trailer_brakes": 0.0 if rig.trailer.brakes is False else 1.0,
    }
    return Machine(
        combination=c,
        front=here(found.front),
        rear=here(found.rear),
        axles=tuple(here(load) for load in found.trailer_axles),
        **{**fields, **more},
    )


def _vehicle_side(rig: Rig, v: Values) -> float:
    """Side of the vehicle, m2: its length between the bumpers and its height, a quarter of which
    is open over bonnet and bed (assumed)."""
    ends = sum(outside(rig, "vehicle", key) for key in ("front_overhang", "rear_overhang"))
    length = float(np.ravel(v["vehicle.wheelbase"])[0]) + ends
    return 0.75 * length * (outside(rig, "vehicle", "roof_height") - BELLY)
