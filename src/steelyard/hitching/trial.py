"""The rig tried at several ball heights and settings at once."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from steelyard.assessment import Spread
from steelyard.assessment.spreads import spreads
from steelyard.estimate import Array, Estimate, Moments, Values, drawn, extended, marginal
from steelyard.quantity import Value
from steelyard.rig import Rig
from steelyard.scene import Scene, beyond
from steelyard.statics.loads import Loads
from steelyard.travel import StagePlan
from steelyard.typical.sheet import only_sways
from steelyard.typical.shipped_tables import default_sd

BALL = "hitch.ball_height"


def tapes(rig: Rig) -> dict[str, Value]:
    """Lengths and angles that no load depends on but a fit does, by path; the stated ones only."""
    vehicle, trailer, hitch = rig.vehicle, rig.trailer, rig.hitch
    known: dict[str, Value | None] = {
        "vehicle.width": vehicle.width,
        "vehicle.rear_overhang": vehicle.rear_overhang,
        "vehicle.cab_to_axle": vehicle.cab_to_axle,
        "vehicle.bed_rail_height": vehicle.bed_rail_height,
        "vehicle.overhang": vehicle.overhang,
        "hitch.clearance": hitch.clearance,
        "trailer.width": trailer.width,
        "trailer.front_width": trailer.front_width or trailer.width,
        "trailer.frame_angle": trailer.frame_angle,
        "trailer.nose_underside": trailer.nose_underside,
        "trailer.rear_clearance": trailer.rear_clearance,
        "trailer.length": trailer.length,
        "trailer.box_start": trailer.box_start,
        "trailer.axles.station": trailer.axles.station,
    }
    if hitch.jack is not None:
        for key in ("station", "flange", "retracted", "travel", "drop_leg", "blocks"):
            known[f"hitch.jack.{key}"] = getattr(hitch.jack, key)
    return {path: value for path, value in known.items() if value is not None}


def grown(estimate: Estimate, rig: Rig, more: Mapping[str, tuple[float, float]]) -> Estimate:
    """The belief with whatever this rig has beyond it: parts supposed, tapes, `more` (value, sd).

    What bears on sway alone is left out.
    """
    kept = marginal(estimate, [name for name in estimate.names if not only_sways(name)])
    have = {*estimate.names, *estimate.constants}
    new = {
        p.name: (p.scale, p.value, p.sd) for p in beyond(estimate, rig) if not only_sways(p.name)
    }
    for path, value in tapes(rig).items():
        if path not in have and path not in new:
            new[path] = ("linear", value.value, _sd(path, value))
    new |= {name: ("linear", value, sd) for name, (value, sd) in more.items()}
    loose = [(name, *row) for name, row in new.items() if row[2] > 0]
    fixed = {name: row[1] for name, row in new.items() if row[2] <= 0}
    whole = extended(kept, loose)
    return replace(whole, constants={**whole.constants, **fixed})


def _sd(path: str, value: Value) -> float:
    if value.sd is not None:
        return value.sd
    angle = path == "trailer.frame_angle"
    return default_sd("angle" if angle else "tape", value.value, "angle" if angle else "length")


@dataclass(frozen=True, kw_only=True)
class Trial:
    """A rig with drawn values: column 0 is the best estimate, `draws` columns follow.

    `settings` replace values of the bars: `hitch.bars.restoration`, or none.
    """

    rig: Rig
    plans: tuple[StagePlan, ...]
    values: Values
    draws: int

    @property
    def columns(self) -> int:
        """Best estimate and draws."""
        return self.draws + 1

    def row(self, name: str) -> Array:
        """A parameter at every column, (m,)."""
        return np.broadcast_to(self.values[name], (self.columns,))

    def at(self, heights: Array) -> "Tried":
        """The rig at K ball heights (K, m), all in one batch."""
        count = len(heights)
        v = {name: np.tile(x, count) if np.size(x) > 1 else x for name, x in self.values.items()}
        v[BALL] = np.ascontiguousarray(heights).ravel()
        return Tried(
            trial=self, scene=Scene(rig=self.rig, stages=self.plans, values=v), count=count
        )

    def spread(self, x: Array, size: float = 1.0) -> Spread:
        """The spread of one row (m,), in units of `size`."""
        whole = np.broadcast_to(x, (self.columns,))
        return spreads({"": (whole, size)}, 1, Moments(self.draws))[""][0]


@dataclass(frozen=True, kw_only=True)
class Tried:
    """Loads at K ball heights; arrays come as (S, K, m)."""

    trial: Trial
    scene: Scene
    count: int

    @property
    def values(self) -> Values:
        """Every parameter at every height and column, (K m,)."""
        return self.scene.values

    @property
    def loads(self) -> Loads:
        """Loads, (S, K m)."""
        return self.scene.loads

    def split(self, x: Array) -> Array:
        """Something (S, K m), or broadcasting to it, as (S, K, m)."""
        stages, columns = len(self.trial.plans), self.trial.columns
        whole = np.broadcast_to(x, (stages, self.count * columns))
        return whole.reshape(stages, self.count, columns)


def drawn_values(estimate: Estimate, draws: int, seed: int) -> dict[str, Array]:
    """Every parameter at its best estimate and at `draws` draws after it."""
    return dict(drawn(estimate, draws, seed, estimate.mean[None]))
