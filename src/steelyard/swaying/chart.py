"""Where the cargo rides against speed: damping over a grid, and the tongue share along it."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from steelyard.estimate import Array, Estimate
from steelyard.rig import Rig
from steelyard.scene import Opening
from steelyard.statics.loads import loads
from steelyard.swaying.linear.combination import taken
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.linear.search import across
from steelyard.swaying.stage_sway import SPEEDS, asked

STATIONS: Final = 33


@dataclass(frozen=True, slots=True, kw_only=True)
class CargoChart:
    """Damping ratio (speeds, stations) with the centre of the trailer's cargo, `kg`, at each of
    `stations` (m aft of the ball, rising, `now` among them); `share` of the tongue there; `now` is
    where it rides now with its spread `now_sd`; speeds in m/s."""

    stations: Array
    speeds: Array
    damping: Array
    share: Array
    kg: float
    now: float
    now_sd: float


def cargo_chart(
    rig: Rig | Opening,
    estimate: Estimate | None = None,
    stage: str | None = None,
    speeds: tuple[float, ...] = SPEEDS,
) -> CargoChart:
    """The chart at one stage, at the best estimate. Raises ValueError for a trailer with no cargo.

    The cargo is moved as a whole: its own spread along the trailer, and so its part of the yaw
    inertia, stays as it is, and the chart at `now` is the answer for the rig as it is packed.
    """
    rig, plan, belief, _ = asked(rig, estimate, stage, None)
    v = belief.at_mean()
    cargo = [n for n in plan.items if rig.places[rig.items[n].place].on == "trailer"]
    kg = sum(float(v[f"items.{name}.weight"]) for name in cargo)
    if not kg > 0:
        raise ValueError(f"{plan.title}: expected cargo in the trailer to move, found none")
    now = sum(float(v[f"items.{n}.weight"]) * float(v[f"items.{n}.station"]) for n in cargo) / kg
    start, length = float(v["trailer.box_start"]), float(v["trailer.box_length"])
    stations = np.union1d(np.linspace(max(start, 0.1), start + length, STATIONS), [now])
    values = {name: np.broadcast_to(x, stations.shape) for name, x in v.items()}
    for name in cargo:
        path = f"items.{name}.station"
        values[path] = v[path] + stations - now
    found = loads(rig, values, (plan,))
    whole = combination(rig, values, found)
    c = taken(whole, (0, slice(None)))
    return CargoChart(
        stations=stations,
        speeds=np.asarray(speeds),
        damping=across(c, np.asarray(speeds)).ratio.T,
        share=np.broadcast_to(found.share, (1, len(stations)))[0],
        kg=kg,
        now=now,
        now_sd=_spread(belief, cargo, kg),
    )


def _spread(belief: Estimate, cargo: list[str], kg: float) -> float:
    """One sd of the cargo's common centre, from the stations' own spreads."""
    v = belief.at_mean()
    parts = [
        float(v[f"items.{n}.weight"]) / kg * float(belief.sd[belief.index[f"items.{n}.station"]])
        for n in cargo
        if f"items.{n}.station" in belief.index
    ]
    return float(np.linalg.norm(parts))
