"""What to weigh next: how much each reading that could be taken would sharpen the answer."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np

from steelyard.assessment import DEFAULT_REGION
from steelyard.estimate import Array, Estimate, from_stencil, linearise, stencil
from steelyard.ratings import Case, checks, load_rulebook
from steelyard.rig import Rig
from steelyard.statics import loads
from steelyard.trip import crewed, plan_stages
from steelyard.typical import axle_count
from steelyard.weighing.chance import normal_below
from steelyard.weighing.plan import lay
from steelyard.weighing.ticket import Ticket

GEAR: Final = (
    "hitch-scale",
    "platform",
    "wheel",
    "tongue-scale",
    "lever",
    "tape",
    "tank-gauge",
)
"""What a person may have at hand."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """One thing to read next: what, with which gear, and what it would do.

    `share_sd` is the tongue share's sd now and then; `wrong` the chance that some verdict is on
    the wrong side of its limit, now and (expected) then.
    """

    what: str
    gear: str
    share_sd_now: float
    share_sd_then: float
    wrong_now: float
    wrong_then: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Option:
    what: str
    gear: str
    passes: tuple[dict[str, Any], ...]


def next_readings(
    rig: Rig, estimate: Estimate, gear: tuple[str, ...] = GEAR, stage: str | None = None
) -> tuple[Advice, ...]:
    """Every reading that could be taken with `gear` at a stage, best first.

    Preposterior analysis on the linearised problem: the spread that would remain is known before
    the number is (Raiffa & Schlaifer, Applied Statistical Decision Theory, 1961, ch. 5).
    """
    rig = crewed(rig)
    plan = next(p for p in plan_stages(rig) if stage in (None, p.key))
    options = [option for option in _options(rig) if option.gear in gear]
    if not options:
        return ()
    slopes, noise, groups, belief = _linear(rig, estimate, options, plan.key)
    share, margins, sizes = _answers(rig, estimate, plan.key, belief)
    rows = []
    for option, group in zip(options, groups, strict=True):
        gain = _gain(belief.cov, slopes[group], noise[group])
        now, then = _sd(share, belief.cov), _sd(share, gain)
        rows.append(
            Advice(
                what=option.what,
                gear=option.gear,
                share_sd_now=now,
                share_sd_then=then,
                wrong_now=_wrong(margins, sizes, belief.cov, belief.cov),
                wrong_then=_wrong(margins, sizes, belief.cov, gain),
            )
        )
    return tuple(sorted(rows, key=lambda row: (row.share_sd_then, row.wrong_then)))


def _options(rig: Rig) -> Iterator[_Option]:
    weight, bars = "1000 kg", rig.hitch.bars is not None
    states = [("bars off", {"bars": "off"})] + ([("bars on", {"bars": "on"})] if bars else [])
    for words, state in states:
        yield _one(
            f"hitch scale, {words}",
            "hitch-scale",
            state,
            {"kind": "hitch-scale", "cell": "shank", "weight": weight},
        )
    for words, state in states:
        for pad in ("front", "rear", "trailer", "all"):
            yield _one(
                f"platform under {_pad(pad)}, {words}",
                "platform",
                state,
                {"kind": "platform", "axles": [pad], "weight": weight},
            )
    alone = {"arrangement": "vehicle-alone"}
    for pad in ("front", "rear"):
        yield _one(
            f"platform under the {pad} axle, vehicle alone",
            "platform",
            alone,
            {"kind": "platform", "axles": [pad], "weight": weight},
        )
    apart = {"arrangement": "trailer-alone"}
    yield _one(
        "scale under the coupler, trailer alone",
        "tongue-scale",
        apart,
        {"kind": "tongue-scale", "station": "0 m", "weight": weight},
    )
    yield _one(
        "bathroom scale and plank under the coupler",
        "lever",
        apart,
        {
            "kind": "lever",
            "station": "0 m",
            "support_to_tongue": "0.3 m",
            "tongue_to_scale": "0.9 m",
            "weight": weight,
        },
    )
    for axle in ("front", "rear", *(f"trailer-{i + 1}" for i in range(axle_count(rig)))):
        readings = [
            {"kind": "wheel", "axle": axle, "side": side, "weight": weight}
            for side in ("left", "right")
        ]
        yield _one(
            f"wheel scales under both sides of {axle.replace('-', ' axle ')}",
            "wheel",
            states[0][1],
            *readings,
        )
    for end in ("front", "rear"):
        reading = {"kind": "fender-height", "at": end, "height": "0.9 m"}
        yield _Option(
            what=f"{end} fender height, before and after coupling",
            gear="tape",
            passes=({**alone, "readings": [reading]}, {**states[0][1], "readings": [reading]}),
        )
    for tank in rig.trailer.tanks:
        yield _one(
            f"{tank} tank gauge",
            "tank-gauge",
            states[0][1],
            {"kind": "tank-gauge", "tank": tank, "level": "50 %"},
        )


def _pad(pad: str) -> str:
    return {"all": "the whole rig", "trailer": "the trailer's axles"}.get(pad, f"the {pad} axle")


def _one(what: str, gear: str, state: dict[str, Any], *readings: dict[str, Any]) -> _Option:
    return _Option(what=what, gear=gear, passes=({**state, "readings": list(readings)},))


def _linear(
    rig: Rig, estimate: Estimate, options: list[_Option], stage: str
) -> tuple[Array, Array, list[list[int]], Estimate]:
    """Slopes (m, p) and noise variances (m,) of all options' readings, each option's rows, and the
    belief over the rig's parameters and those that readings bring."""
    passes, groups, row = {}, [], 0
    known = stage if stage in rig.stages else None
    for number, option in enumerate(options):
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
    rig: Rig, estimate: Estimate, stage: str, belief: Estimate
) -> tuple[Array, Array, Array]:
    """Gradients over `belief` of the tongue share (p,) and of every known margin (k, p), and the
    margins themselves (k,)."""
    plans = tuple(plan for plan in plan_stages(rig) if plan.key == stage)
    values = estimate.values(stencil(estimate))
    found = loads(rig, values, plans)
    case = Case(
        rig=rig,
        loads=found,
        values=values,
        stages=plans,
        rulebook=load_rulebook(rig.region or DEFAULT_REGION),
    )
    points = 2 * len(estimate.names) + 1
    rows = [found.share]
    for check in checks(case):
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
    moved = np.sqrt(max(before**2 - after**2, 0.0))
    if after <= 0:
        return 0.0
    nodes, weights = np.polynomial.hermite_e.hermegauss(15)
    means = margin + moved * nodes
    chances = np.array([normal_below(-abs(mean) / after) for mean in means])
    return float(weights @ chances / weights.sum())
