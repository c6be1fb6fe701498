"""What to weigh next: how much each reading that could be taken would sharpen the answer."""

import math
from dataclasses import dataclass, replace
from typing import Annotated, Any

import numpy as np

from steelyard.estimate import Array, Estimate, Moments, from_stencil, linearise, stencil
from steelyard.estimate.tails import normal_below
from steelyard.quantity import reported
from steelyard.ratings import checks
from steelyard.rig import Rig
from steelyard.scene import Scene, opened
from steelyard.travel import StagePlan
from steelyard.weighing.laid_ticket import lay
from steelyard.weighing.options import GEAR, Option, options
from steelyard.weighing.ticket import Ticket

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(24)


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One thing to read next: what, with which gear, as passes of a ticket, and what it would do.

    `share_sd` is the tongue share's sd now, as every answer draws it, and then; `wrong` the chance
    that some verdict is on the wrong side of its limit, now and (expected) then.
    """

    what: str
    gear: str
    passes: Annotated[tuple[dict[str, Any], ...], reported.UNREPORTED]
    share_sd_now: float
    share_sd_then: float
    wrong_now: Annotated[float, reported.Key("wrong_verdict_now")]
    wrong_then: Annotated[float, reported.Key("wrong_verdict_then")]


def next_readings(
    rig: Rig, estimate: Estimate, gear: tuple[str, ...] = GEAR, stage: str | None = None
) -> tuple[Advice, ...]:
    """Every reading that could be taken with `gear` at a stage, best first.

    Preposterior analysis on the linearised problem: the spread that would remain is known before
    the number is (Raiffa & Schlaifer, Applied Statistical Decision Theory, 1961, ch. 5); by as much
    as the draws' spread of the share is wider now, it is told wider then. Raises FaultError for a
    stage that the rig does not have.
    """
    scene = opened(rig, estimate, None if stage is None else (stage,))
    rig, plan = scene.rig, scene.stages[0]
    possible = [option for option in options(rig) if option.gear in gear]
    if not possible:
        return ()
    slopes, noise, groups, belief = _linear(rig, estimate, possible, plan.key)
    share, margins, sizes = _answers(rig, estimate, plan, belief)
    now = _sd(share, belief.cov)
    shown = float(Moments(scene.draws).sd(scene.only(plan.key).loads.share)[0])
    wider = shown / now if now > 0 and math.isfinite(shown) else 1.0
    rows = []
    for option, group in zip(possible, groups, strict=True):
        gain = _gain(belief.cov, slopes[group], noise[group])
        rows.append(
            Advice(
                what=option.what,
                gear=option.gear,
                passes=option.passes,
                share_sd_now=now * wider,
                share_sd_then=_sd(share, gain) * wider,
                wrong_now=_wrong(margins, sizes, belief.cov, belief.cov),
                wrong_then=_wrong(margins, sizes, belief.cov, gain),
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.share_sd_then, row.wrong_then)))


def _linear(
    rig: Rig, estimate: Estimate, possible: list[Option], stage: str
) -> tuple[Array, Array, list[list[int]], Estimate]:
    """Slopes (m, p) and noise variances (m,) of all options' readings, each option's rows, and the
    belief over the rig's parameters and those that readings bring."""
    passes, groups, row = {}, [], 0
    known = stage if stage in rig.stages else None
    for number, option in enumerate(possible):
        mine: list[int] = []
        for part, one in enumerate(option.passes):
            passes[f"option {number} {part}"] = {**one, **({"stage": known} if known else {})}
            mine += range(row, row + len(one["readings"]))
            row += len(one["readings"])
        groups.append(mine)
    weighed = lay(rig, Ticket.model_validate({"passes": passes}))
    belief = _believed(weighed.prior, estimate)
    readings = list(weighed.readings)
    _, slopes = linearise(belief, readings, belief.mean)
    return slopes, np.array([reading.sd**2 for reading in readings]), groups, belief


def _believed(wider: Estimate, estimate: Estimate) -> Estimate:
    """The wider prior with what is believed of the rig's own parameters put in."""
    mean, cov = wider.mean.copy(), wider.cov.copy()
    shared = [name for name in wider.names if name in estimate.index]
    to, of = [wider.index[n] for n in shared], [estimate.index[n] for n in shared]
    mean[to] = estimate.mean[of]
    cov[np.ix_(to, to)] = estimate.cov[np.ix_(of, of)]
    return replace(wider, mean=mean, cov=cov)


def _answers(
    rig: Rig, estimate: Estimate, plan: StagePlan, belief: Estimate
) -> tuple[Array, Array, Array]:
    """Gradients over `belief` of the tongue share (p,) and of every known margin (k, p), and the
    margins themselves (k,)."""
    values = estimate.values(stencil(estimate))
    scene = Scene(rig=rig, stages=(plan,), values=values)
    points = 2 * len(estimate.names) + 1
    rows = [scene.loads.share]
    for check in checks(scene):
        rows += [] if check.high is None else [check.high - check.value]
        rows += [] if check.low is None else [check.value - check.low]
    stacked = np.array([np.broadcast_to(np.ravel(row), (points,)) for row in rows])
    linear = from_stencil(estimate, stacked)
    gradient = np.zeros((len(rows), len(belief.names)))
    shared = [name for name in belief.names if name in estimate.index]
    gradient[:, [belief.index[n] for n in shared]] = linear.gradient[
        :, [estimate.index[n] for n in shared]
    ]
    return gradient[0], gradient[1:], linear.mean[1:]


def _gain(cov: Array, slopes: Array, noise: Array) -> Array:
    """Covariance that would remain after readings with these slopes (m, p) and noise (m,)."""
    seen = slopes @ cov
    spread = seen @ slopes.T + np.diag(noise)
    return np.asarray(cov - seen.T @ np.linalg.solve(spread, seen))


def _sd(gradient: Array, cov: Array) -> float:
    return math.sqrt(max(float(gradient @ cov @ gradient), 0.0))


def _wrong(margins: Array, sizes: Array, now: Array, then: Array) -> float:
    """Expected chance that at least one limit is called on the wrong side, limits taken apart.

    The margin's mean will move with sd sqrt(now - then) before it is judged with sd `then`.
    """
    right = 1.0
    for gradient, margin in zip(margins, sizes, strict=True):
        before, after = _sd(gradient, now), _sd(gradient, then)
        if before > 0:
            right *= 1.0 - _misjudged(float(margin), before, min(after, before))
    return 1.0 - right


def _misjudged(margin: float, before: float, after: float) -> float:
    """Chance that truth and the mean it is judged by end on two sides of the limit.

    Both are normal about `margin`, sd `before` and the root of before^2 - after^2, their covariance
    the latter's square: a bivariate normal by Plackett's integral over the correlation (Biometrika
    41 (1954) 351-360; Gauss nodes as Drezner & Wesolowsky, J. Stat. Comput. Simul. 35 (1990)).
    """
    if after <= 0:
        return 0.0
    moved = math.sqrt(max(before**2 - after**2, 0.0))
    if moved <= 1e-6 * before:
        return normal_below(-abs(margin) / before)
    h, k = margin / before, margin / moved
    top = math.asin(moved / before)
    angle = 0.5 * top * (_NODES + 1.0)
    inside = np.exp(-(h * h + k * k - 2 * h * k * np.sin(angle)) / (2 * np.cos(angle) ** 2))
    low, judged_low = normal_below(-h), normal_below(-k)
    both = low * judged_low + 0.5 * top * float(_WEIGHTS @ inside) / (2 * math.pi)
    return min(max(low + judged_low - 2 * both, 0.0), 1.0)
