"""What a sweep can give: numbers of a scene, (S, n) each. A new one is a new entry here."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np

from steelyard.estimate import Array
from steelyard.fault import FaultError, missing
from steelyard.quantity import GRAVITY
from steelyard.quantity.columns import Floats
from steelyard.ratings import Check, checks
from steelyard.scene import Scene
from steelyard.swaying.linear.combination import Combination
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.linear.search import ratio_at, settled
from steelyard.swaying.stage_sway import SPEED


@dataclass(frozen=True, kw_only=True)
class Seen:
    """A scene with what several figures look at, worked out once."""

    scene: Scene[Floats]

    @cached_property
    def limits(self) -> dict[str, Check]:
        """Limits that decide, by name, those without a rating left out."""
        found = checks(self.scene, ())
        return {one.name: one for one in found if not one.advice and one.high is not None}

    @cached_property
    def whole(self) -> Combination:
        """What sway looks at."""
        return combination(self.scene.rig, self.scene.values, self.scene.loads)

    @cached_property
    def rooms(self) -> Array:
        """kg to each weight rating, (K, S, n)."""
        found = [room(one) for one in self.limits.values() if one.measure == "weight"]
        shape = np.broadcast_shapes(self.scene.loads.trailer.shape, *(x.shape for x in found))
        none = np.full(shape, np.nan)
        return np.stack([np.broadcast_to(x, shape) for x in found]) if found else none[None]


def room(check: Check) -> Array:
    """Room to a limit, or to the nearer edge of a band, in kg where it weighs something."""
    left = np.asarray(check.high) - check.value
    if check.low is not None:
        left = np.minimum(left, check.value - check.low)
    return np.atleast_2d(left / check.size)


def _speed(scene: Scene[Floats]) -> Array:
    return np.asarray(SPEED if scene.rig.speed is None else scene.rig.speed.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number of a scene: its column's name behind `best_`, with its unit, and in words."""

    column: str
    title: str
    of: Callable[[Seen], Array]


def _weight(column: str, title: str, of: Callable[[Scene[Floats]], Array]) -> Figure:
    return Figure(column=f"{column}_kg", title=f"{title}, kg", of=lambda s: of(s.scene) / GRAVITY)


FIGURES: Final[Mapping[str, Figure]] = {
    "trailer": _weight("trailer", "trailer", lambda s: s.loads.trailer),
    "vehicle": _weight("vehicle", "vehicle", lambda s: s.loads.vehicle),
    "tongue": _weight("tongue", "tongue weight, bars off", lambda s: s.loads.tongue),
    "share": Figure(column="share", title="tongue share", of=lambda s: s.scene.loads.share),
    "front": _weight("front", "front axle", lambda s: s.loads.front),
    "rear": _weight("rear", "rear axle", lambda s: s.loads.rear),
    "axles": _weight("axles", "trailer axles together", lambda s: sum(s.loads.trailer_axles)),  # type: ignore[arg-type, return-value]
    "bars": Figure(
        column="bar_moment_nm", title="spring bars, N m", of=lambda s: s.scene.loads.bar_moment
    ),
    "ball": Figure(
        column="ball_height_m", title="ball height, m", of=lambda s: s.scene.loads.heights.ball
    ),
    "room": Figure(
        column="room_kg",
        title="least room to a weight rating, kg",
        of=lambda s: s.rooms.min(axis=0),
    ),
    "damping": Figure(
        column="damping_ratio",
        title="damping ratio of the sway",
        of=lambda s: ratio_at(s.whole, _speed(s.scene)),
    ),
    "wags": Figure(
        column="swing_grows_from_mps",
        title="speed from which a swing grows, m/s",
        of=lambda s: settled(s.whole).oscillatory,
    ),
}
"""By the name they are asked for. Beside them any limit by its name: the room to it."""


def require_figures(asked: Sequence[str], limits: Sequence[str]) -> None:
    """FaultError for what is neither a figure nor one of these limits."""
    for name in asked:
        if name not in FIGURES and name not in limits:
            raise FaultError(
                missing("figures or limits", name, [*FIGURES, *limits], argument="give")
            )


def figure(name: str) -> Figure:
    """A figure by its name, or the room to the limit of that name."""
    if name in FIGURES:
        return FIGURES[name]
    return Figure(
        column=f"room_{name}", title=f"room: {name}", of=lambda seen: room(seen.limits[name])
    )
