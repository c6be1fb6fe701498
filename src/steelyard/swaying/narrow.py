"""What would narrow the answer: how wide damping would still be once something were looked at.

Over the draws, damping y and what would be seen, x with noise R, vary together; looked at, x leaves
var(y) - cov(y, x) (var(x) + R)^-1 cov(x, y): the conditional variance of jointly normal numbers,
and of any others the least that a straight line through x can leave (Rao, Linear Statistical
Inference, 4g, from memory). What bends is not counted as a gain. Spurious fit is taken off as in
the adjusted R^2.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import Annotated, Final, Literal

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array, Estimate, to_scale
from steelyard.quantity import GRAVITY, Scale, reported
from steelyard.rig import Rig
from steelyard.scene import DRAWS, Opening, opened
from steelyard.swaying.felt_damping import tellings, weights
from steelyard.swaying.linear.combination import taken
from steelyard.swaying.linear.rig import combination, require_load
from steelyard.swaying.linear.search import across, standing
from steelyard.swaying.stage_sway import asked_speed, require_speeds
from steelyard.typical.sheet import kind_of, only_sways
from steelyard.typical.shipped_tables import default_sd

Look = Literal[
    "trailer tyres",
    "vehicle tyres",
    "axle place",
    "trailer lengths",
    "vehicle lengths",
    "heights",
    "stations",
    "weights",
    "levels",
    "bars",
    "scale",
]
LOOKS: Final[dict[Look, tuple[str, ...]]] = {
    "trailer tyres": tuple(
        f"trailer.axles.{end}" for end in ("tyre_load", "pressure", "rated_pressure")
    ),
    "vehicle tyres": tuple(
        f"vehicle.{axle}.{end}"
        for axle in ("front", "rear")
        for end in ("tyre_load", "pressure", "rated_pressure")
    ),
    "axle place": ("trailer.axles.station", "trailer.axles.spacing", "trailer.axles.*.station"),
    "trailer lengths": ("trailer.box_start", "trailer.box_length"),
    "vehicle lengths": ("vehicle.wheelbase", "vehicle.overhang"),
    "heights": ("trailer.coupler_height", "hitch.ball_height", "trailer.hub_height"),
    "stations": ("items.*.station", "trailer.tanks.*.station", "trailer.*_station"),
    "weights": ("items.*.weight", "people.*.weight", "trailer.equipment.*.weight"),
    "levels": ("stages.*",),
    "bars": ("hitch.bars.restoration", "hitch.bars.preset"),
    "scale": (),
}
"""What can be looked at, and the parameters that it shows; the scale shows loads."""
WORDS: Final = {
    "pressure": "gauge-pressure",
    "rated_pressure": "gauge-pressure",
    "tyre_load": "scale",
    "weight": "item-weighed",
    "restoration": "restoration",
    "preset": "angle",
}
"""By whose word a parameter is then known, by the end of its name; by tape where it isn't here."""
Shown = tuple[Array, float]
"""What is seen over the draws (n,), and the sd with which it is."""
WORTH: Final = 0.02
"""Part of the width that a look must take off to be named."""
UNSEEN: Final = 3
"""Parameters named of those that nothing here sees."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Narrowing:
    """One look, and the half-width of the 95 % interval of damping that it would leave."""

    look: Look
    half: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Unseen:
    """A parameter that no tape, gauge or scale sees, and the half-width if it were known."""

    name: str
    half: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Narrowings:
    """At one stage and speed, m/s: half-width of damping now, with each look, the best first, and
    with all of them together; those that hardly help; and what is then left wide, the widest first.
    """

    stage: str
    speed: Annotated[float, reported.SPEED]
    half: float
    looks: tuple[Narrowing, ...]
    idle: tuple[Look, ...]
    together: float
    unseen: tuple[Unseen, ...]


def left(answer: Array, seen: Array, noise: Array, weights: Array | None = None) -> float:
    """Part of the variance of an answer (n,) that is left once `seen` (k, n) is read with `noise`
    (k,), one sd each; weights (n,) of the draws, alike if unsaid."""
    w = np.ones_like(answer) if weights is None else weights
    w = w / w.sum()
    y = answer - answer @ w
    x = seen - (seen @ w)[:, None]
    size = np.sqrt(x**2 @ w)
    moving = size > 1e-9 * (1.0 + np.abs(seen @ w))
    x, noise, size = x[moving], noise[moving], size[moving]
    k, n = len(x), 1.0 / float(w @ w)
    if not k:
        return 1.0
    x = x / size[:, None]
    crossed, noisy = (x * w) @ y, np.diag((noise / size) ** 2)
    told = crossed @ np.linalg.solve((x * w) @ x.T + noisy, crossed)
    share = max(1.0 - float(told / (y**2 @ w)), 0.0)
    return min(share * (n - 1.0) / max(n - k - 1.0, 1.0), 1.0)


def narrowings(
    rig: Rig | Opening,
    estimate: Estimate | None = None,
    stage: str | None = None,
    speed: float | None = None,
    *,
    samples: int = DRAWS,
) -> Narrowings:
    """What would narrow damping at one stage (the first unless named) and speed."""
    scene = opened(rig, estimate, None if stage is None else (stage,), samples)
    chosen = asked_speed(scene.rig, speed)
    require_speeds([chosen])
    require_load(scene.loads)
    columns = scene.few(samples)
    w = weights(tuple(tellings(scene, columns)))
    whole = combination(scene.rig, scene.values, scene.loads)
    drawn = taken(whole, (0, columns[1:]))
    there = standing(drawn)
    ratio = across(taken(drawn, there), np.array([chosen])).ratio[:, 0]
    w = None if w is None else w[there] / w[there].sum()
    return _ranked(scene, chosen, _Width(ratio, w), columns[1:][there])


class _Width:
    """Half-width of the 95 % interval of draws (n,), and what is left of it."""

    def __init__(self, ratio: Array, w: Array | None) -> None:
        low, high = np.quantile(ratio, (0.025, 0.975), method="inverted_cdf", weights=w)
        self.ratio, self.w, self.half = ratio, w, float(high - low) / 2.0

    def after(self, rows: Sequence[Shown]) -> float:
        """The half-width once these are seen."""
        if not rows:
            return self.half
        seen, noise = np.array([row for row, _ in rows]), np.array([sd for _, sd in rows])
        return self.half * float(np.sqrt(left(self.ratio, seen, noise, self.w)))


def _ranked(scene: Opening, speed: float, width: _Width, columns: NDArray[np.intp]) -> Narrowings:
    shown = {look: list(_shown(scene, look, columns)) for look in LOOKS}
    every = [row for rows in shown.values() for row in rows]
    after = {look: width.after(rows) for look, rows in shown.items() if rows}
    helps = {look: x for look, x in after.items() if x < (1.0 - WORTH) * width.half}
    return Narrowings(
        stage=scene.stages[0].key,
        speed=speed,
        half=width.half,
        looks=tuple(
            Narrowing(look=look, half=x)
            for look, x in sorted(helps.items(), key=lambda one: one[1])
        ),
        idle=tuple(look for look in after if look not in helps),
        together=width.after(every),
        unseen=_unseen(scene, width, columns),
    )


def _unseen(scene: Opening, width: _Width, columns: NDArray[np.intp]) -> tuple[Unseen, ...]:
    """Parameters that bear on how the rig yaws and on no load, and that nothing looked at shows."""
    looked = [pattern for patterns in LOOKS.values() for pattern in patterns]
    found = []
    for name, scale in zip(scene.estimate.names, scene.estimate.scales, strict=True):
        if only_sways(name) and not any(fnmatchcase(name, one) for one in looked):
            row = _on_scale(scene.values[name][columns], scale)
            found.append(Unseen(name=name, half=width.after([(row, 0.0)])))
    wide = [one for one in found if one.half < (1.0 - WORTH) * width.half]
    return tuple(sorted(wide, key=lambda one: one.half)[:UNSEEN])


def _shown(scene: Opening, look: Look, columns: NDArray[np.intp]) -> Iterator[Shown]:
    if look == "scale":
        yield from _scales(scene, columns)
    plan, belief = scene.stages[0], scene.estimate
    for name, scale in zip(belief.names, belief.scales, strict=True):
        other = name.startswith("stages.") and not name.startswith(f"stages.{plan.key}.")
        if other or not any(fnmatchcase(name, pattern) for pattern in LOOKS[look]):
            continue
        value = scene.values[name]
        yield _on_scale(value[columns], scale), _sd(name, float(value[0]), scale)


def _on_scale(x: Array, scale: Scale) -> Array:
    if scale == "log":
        return np.log(x)
    return np.log(x / (1.0 - x)) if scale == "logit" else x


def _sd(name: str, value: float, scale: Scale) -> float:
    """One sd on its scale of what is read."""
    known = kind_of(name)
    assert known is not None
    word = "tank-level" if name.startswith("stages.") else WORDS.get(name.split(".")[-1], "tape")
    natural = default_sd(word, value, known.dimension)
    return to_scale(value, natural, scale)[1]


def _scales(scene: Opening, columns: NDArray[np.intp]) -> Iterator[Shown]:
    """Tongue, axles of the vehicle and the trailer's axles on scales, N."""
    found = scene.loads
    axles = np.sum([np.broadcast_to(x, found.front.shape) for x in found.trailer_axles], axis=0)
    for load in (found.tongue, found.front, found.rear, axles):
        row = np.broadcast_to(load, found.front.shape)[0][columns]
        sd = default_sd("scale", float(row.mean()) / GRAVITY, "mass")
        yield row, sd * GRAVITY
