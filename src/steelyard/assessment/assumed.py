"""What nobody stated, and what each such value does to the answers' spread."""

from collections.abc import Sequence
from typing import Final

import numpy as np

from steelyard.assessment.result import Assumption
from steelyard.estimate import Array, Estimate, explained, from_stencil
from steelyard.quantity import Z95
from steelyard.typical.sheet import Sheet, only_sways

NAMED: Final = 3
"""A tight limit names at most this many values that widen it."""
WORTH_NAMING: Final = 0.2
"""One is worth naming when it explains at least this part of the limit's spread."""


def at_stencil(answers: Array, estimate: Estimate, stage: int) -> Array:
    """One stage's answers at the stencil's 2p + 1 points, which stand first; (2p + 1,)."""
    points = 2 * len(estimate.names) + 1
    row = answers[stage] if answers.ndim > 1 and answers.shape[0] > stage else answers.ravel()
    return np.broadcast_to(row, (points,)) if row.size == 1 else np.asarray(row[:points])


def assumptions(sheet: Sheet, estimate: Estimate, share: Array) -> tuple[Assumption, ...]:
    """Every value nobody stated, biggest effect on the tongue share (worst stage) first."""
    rows = [at_stencil(share, estimate, stage) for stage in range(share.shape[0])]
    slopes = from_stencil(estimate, np.array(rows)).gradient
    parts = np.abs(explained(estimate, slopes))
    effect = dict(zip(estimate.names, parts.max(axis=0), strict=True))
    sd = dict(zip(estimate.names, _natural_sd(estimate), strict=True))
    values = estimate.at_mean()
    found = [
        Assumption(
            name=parameter.name,
            value=float(values[parameter.name]),
            sd=float(sd.get(parameter.name, 0.0)),
            dimension=parameter.dimension,
            basis=parameter.basis,
            source=parameter.source,
            effect=Z95 * float(effect.get(parameter.name, 0.0)),
            rigs=parameter.rigs,
        )
        for parameter in sheet.parameters.values()
        if parameter.basis == "assumed"
        and parameter.name in values
        and not only_sways(parameter.name)
    ]
    return tuple(sorted(found, key=lambda row: -row.effect))


def widened_by(answers: Sequence[Array], estimate: Estimate, stage: int) -> list[tuple[str, ...]]:
    """For each answer, the values, assumed or loosely stated, that widen it most, biggest first."""
    if not answers:
        return []
    rows = [at_stencil(np.atleast_1d(x), estimate, stage) for x in answers]
    linear = from_stencil(estimate, np.array(rows))
    parts = np.abs(explained(estimate, linear.gradient))
    return [_named(estimate, part, float(sd)) for part, sd in zip(parts, linear.sd, strict=True)]


def _named(estimate: Estimate, parts: Array, sd: float) -> tuple[str, ...]:
    places = np.flatnonzero(parts >= WORTH_NAMING * sd) if sd > 0 else np.array([], dtype=int)
    ranked = sorted(((parts[k], estimate.names[k]) for k in places), reverse=True)
    return tuple(name for _, name in ranked[:NAMED])


def _natural_sd(estimate: Estimate) -> Array:
    """Standard deviations in SI, first order: half the change over one sd up and down."""
    up, down = (estimate.natural(estimate.mean + sign * estimate.sd) for sign in (1.0, -1.0))
    return np.asarray((up - down) / 2)
