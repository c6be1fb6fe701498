"""Where the cargo rides against speed: damping over a grid, and the tongue share along it."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from steelyard.estimate import Array, Estimate
from steelyard.quantity import parse
from steelyard.rig import Item, Place, Rig
from steelyard.statics import loads
from steelyard.sway.advice import asked
from steelyard.sway.answers import SPEEDS
from steelyard.sway.combination import taken
from steelyard.sway.modes import across
from steelyard.sway.rig import combination
from steelyard.trip import StagePlan

CARGO: Final = "all the cargo"
STATIONS: Final = 33


@dataclass(frozen=True, slots=True, kw_only=True)
class CargoChart:
    """Damping ratio (speeds, stations) with the trailer's cargo, `kg`, as one weight at each of
    `stations` (m aft of the ball); `share` of the tongue there; `now` is where it rides now with
    its spread `now_sd`; speeds in m/s."""

    stations: Array
    speeds: Array
    damping: Array
    share: Array
    kg: float
    now: float
    now_sd: float


def cargo_chart(
    rig: Rig,
    estimate: Estimate | None = None,
    stage: str | None = None,
    speeds: tuple[float, ...] = SPEEDS,
    *,
    relaxation: bool = True,
) -> CargoChart:
    """The chart at one stage, at the best estimate. Raises ValueError for a trailer with no cargo.

    The cargo is moved as a whole, so its own spread along the trailer does not enter: the chart
    shows where its centre should be, not how it should be strung out.
    """
    rig, plan, belief, _ = asked(rig, estimate, stage, None)
    v = belief.at_mean()
    cargo = [n for n in plan.items if rig.places[rig.items[n].place].on == "trailer"]
    kg = sum(float(v[f"items.{name}.weight"]) for name in cargo)
    if not kg > 0:
        raise ValueError(f"{plan.title}: expected cargo in the trailer to move, found none")
    now = sum(float(v[f"items.{n}.weight"]) * float(v[f"items.{n}.station"]) for n in cargo) / kg
    start, length = float(v["trailer.box_start"]), float(v["trailer.box_length"])
    stations = np.linspace(max(start, 0.1), start + length, STATIONS)
    moved, boarded = _as_one(rig, plan, cargo)
    values = {name: np.broadcast_to(x, (STATIONS,)) for name, x in v.items()}
    values[f"items.{CARGO}.weight"] = np.full(STATIONS, kg)
    values[f"items.{CARGO}.station"] = stations
    found = loads(moved, values, (boarded,))
    whole = combination(moved, values, found, relaxation=relaxation)
    c = taken(whole, (0, slice(None)))
    return CargoChart(
        stations=stations,
        speeds=np.asarray(speeds),
        damping=across(c, np.asarray(speeds)).ratio.T,
        share=np.broadcast_to(found.share, (1, STATIONS))[0],
        kg=kg,
        now=now,
        now_sd=_spread(belief, cargo, kg),
    )


def _as_one(rig: Rig, plan: StagePlan, cargo: list[str]) -> tuple[Rig, StagePlan]:
    """The rig with the trailer's cargo as one item, and the stage with it aboard."""
    place = Place(on="trailer", station=parse("1 m", "length"))
    item = Item(weight=parse("1 kg", "mass"), place=CARGO)
    one = rig.model_copy(
        update={"places": {**rig.places, CARGO: place}, "items": {**rig.items, CARGO: item}}
    )
    aboard = (plan.items - frozenset(cargo)) | {CARGO}
    boarded = StagePlan(
        key=plan.key, title=plan.title, people=plan.people, items=aboard, grade=plan.grade
    )
    return one, boarded


def _spread(belief: Estimate, cargo: list[str], kg: float) -> float:
    """One sd of the cargo's common centre, from the stations' own spreads."""
    v = belief.at_mean()
    parts = [
        float(v[f"items.{n}.weight"]) / kg * float(belief.sd[belief.index[f"items.{n}.station"]])
        for n in cargo
        if f"items.{n}.station" in belief.index
    ]
    return float(np.linalg.norm(parts))
