"""What moves the edge: slopes by every parameter of the rig, and concrete moves with their size."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from steelyard.estimate import Array, Estimate, Values
from steelyard.rig import Rig
from steelyard.scene import Opening, opened
from steelyard.statics import loads
from steelyard.swaying.combination import Combination, flat, labels, rebuilt, taken
from steelyard.swaying.gradient import damping_slope, divergence_slope, speed_slope
from steelyard.swaying.modes import oscillation
from steelyard.swaying.rig import combination
from steelyard.swaying.search import falling_to, limits, settled
from steelyard.swaying.stage_sway import RATIO, asked_speed, require_speeds
from steelyard.travel import StagePlan

STEP: Final = 1e-3
"""Step of the five-point stencil from rig to model, over the larger of a value and its sd."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensitivity:
    """Change per SI unit of one parameter of the rig, all else kept.

    damping: of the ratio at the speed asked about; falls, wagging, jackknife: m/s, of the speeds of
    `StageSway`, NaN where that speed is never reached. sd: of the parameter, SI, for ranking.
    """

    name: str
    value: float
    sd: float
    damping: float
    falls: float
    wagging: float
    jackknife: float


def sensitivities(
    rig: Rig | Opening,
    estimate: Estimate | None = None,
    stage: str | None = None,
    ratio: float = RATIO,
    speed: float | None = None,
    *,
    relaxation: bool = True,
) -> tuple[Sensitivity, ...]:
    """Slopes by every parameter of the rig at one stage (the first unless named), largest first.

    From rig to model by a five-point stencil in one batch, from model to answer by eigenvector and
    complex step; together they agree with central differences of the whole to 1e-6.
    """
    rig, plan, belief, chosen = asked(rig, estimate, stage, speed)
    centre = belief.at_mean()
    names = [name for name in centre if _counts(name, plan)]
    sds = dict(zip(belief.names, _natural_sd(belief), strict=True))
    steps = {n: STEP * max(abs(float(centre[n])), float(sds.get(n, 0.0)), 1e-3) for n in names}
    c = _model(rig, plan, _stencil(centre, names, steps), relaxation=relaxation)
    best, change = taken(c, 0), _changes(c, names, steps)
    slopes = _model_slopes(best, ratio, chosen)
    found = [
        Sensitivity(
            name=name,
            value=float(centre[name]),
            sd=float(sds.get(name, 0.0)),
            **{key: _chained(slope, change[name]) for key, slope in slopes.items()},
        )
        for name in names
    ]
    return tuple(sorted(found, key=lambda one: -abs(one.damping) * max(one.sd, 1e-12)))


def asked(
    rig: Rig | Opening, estimate: Estimate | None, stage: str | None, speed: float | None
) -> tuple[Rig, StagePlan, Estimate, float]:
    """The rig as opened, one stage, the belief and the speed, each as asked or by default."""
    scene = opened(rig, estimate, None if stage is None else (stage,), draws=1)
    chosen = asked_speed(scene.rig, speed)
    require_speeds([chosen])
    return scene.rig, scene.stages[0], scene.estimate, chosen


def _counts(name: str, plan: StagePlan) -> bool:
    """Whether a parameter can matter at this stage: tank levels of the others cannot."""
    return not name.startswith("stages.") or name.startswith(f"stages.{plan.key}.")


def _natural_sd(belief: Estimate) -> Array:
    up, down = (belief.natural(belief.mean + sign * belief.sd) for sign in (1.0, -1.0))
    return np.asarray((up - down) / 2)


def _stencil(centre: Values, names: list[str], steps: Mapping[str, float]) -> Values:
    """Values at the centre and at -2, -1, 1, 2 steps of each parameter, (1 + 4 p,)."""
    n = 1 + 4 * len(names)
    values = {name: np.full(n, float(x)) for name, x in centre.items()}
    for place, name in enumerate(names):
        first = 1 + 4 * place
        values[name][first : first + 4] += steps[name] * np.array([-2.0, -1.0, 1.0, 2.0])
    return values


def _model(rig: Rig, plan: StagePlan, v: Values, *, relaxation: bool) -> Combination:
    """The combination (n,) at one stage."""
    whole = combination(rig, v, loads(rig, v, (plan,)), relaxation=relaxation)
    return taken(whole, (0, slice(None)))


def _changes(
    c: Combination, names: list[str], steps: Mapping[str, float]
) -> dict[str, dict[str, float]]:
    """Change of every field of the combination per unit of every parameter."""
    rows = dict(zip(labels(c), flat(c), strict=True))
    weights = np.array([1.0, -8.0, 8.0, -1.0]) / 12.0
    found = {}
    for place, name in enumerate(names):
        part = slice(1 + 4 * place, 5 + 4 * place)
        found[name] = {key: float(weights @ row[part]) / steps[name] for key, row in rows.items()}
    return found


def _model_slopes(best: Combination, ratio: float, chosen: float) -> dict[str, dict[str, float]]:
    """Slopes of the four answers by the fields of the model; empty where there is no such speed."""
    ends, falls = settled(best), float(falling_to(best, ratio))
    wag, fold = float(ends.oscillatory), float(ends.divergent)
    try:
        damping = dict(damping_slope(best, chosen).ratio)
    except ValueError:
        damping = {}
    return {
        "damping": damping,
        "falls": speed_slope(best, falls, ratio) if np.isfinite(falls) else {},
        "wagging": speed_slope(best, wag) if np.isfinite(wag) else {},
        "jackknife": divergence_slope(best, fold) if np.isfinite(fold) else {},
    }


def _chained(slope: Mapping[str, float], change: Mapping[str, float]) -> float:
    """Chain rule over the fields; NaN where the answer does not exist."""
    if not slope:
        return float("nan")
    return float(sum(part * change[name] for name, part in slope.items()))


def single(c: Combination) -> Combination:
    """One combination with fields of shape ()."""
    return rebuilt(c, [np.asarray(np.ravel(part)[0]) for part in flat(c)])


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """Where one rig stands: damping ratio at the speed asked about, and the three speeds, m/s."""

    damping: float
    falls: float
    wagging: float
    jackknife: float


def edges(c: Combination, ratio: float, speed: Array | float) -> list[Edge]:
    """Edges of n combinations (n,)."""
    ends, falls = limits(c, ratio)
    here = np.broadcast_to(oscillation(c, speed).ratio, c.shape)
    rows = zip(here, falls, ends.oscillatory, ends.divergent, strict=True)
    return [
        Edge(damping=float(a), falls=float(b), wagging=float(w), jackknife=float(j))
        for a, b, w, j in rows
    ]
