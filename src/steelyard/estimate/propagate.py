"""Slopes of readings and answers by each parameter, and linear propagation of an estimate."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from operator import is_

import numpy as np

from steelyard.estimate.estimate import Array, Estimate, Reading, Values

STEP = 1e-3
"""Central-difference step, in standard deviations of the parameter."""
MOST = 16
"""Points at which an estimate keeps what was last seen."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Linear:
    """An answer to first order: its mean (...), sd (...) and gradient (..., p) on the scales."""

    mean: Array
    sd: Array
    gradient: Array


def linearise(estimate: Estimate, readings: Sequence[Reading], point: Array) -> tuple[Array, Array]:
    """Predictions (m,) and their slopes (m, p) at a point (p,) on the scales, in one batch call.

    Read-only: asked once more of the same predictions at the same point, they are the same arrays.
    """
    predicts = [reading.predict for reading in readings]
    for then, at, *seen in estimate.seen:
        if len(then) == len(predicts) and all(map(is_, then, predicts)) and (at == point).all():
            return seen[0], seen[1]
    p = len(estimate.names)
    steps = np.diag(STEP * estimate.sd)
    values = estimate.values(np.concatenate([point[None], point + steps, point - steps]))
    shape = (2 * p + 1,)
    shown = np.array([np.broadcast_to(predict(values), shape) for predict in predicts])
    width = np.where(estimate.sd > 0, 2 * STEP * estimate.sd, 1.0)
    there, slope = shown[:, 0].copy(), (shown[:, 1 : p + 1] - shown[:, p + 1 :]) / width
    there.flags.writeable = slope.flags.writeable = False
    estimate.seen[:] = [*estimate.seen[1 - MOST :], (predicts, point.copy(), there, slope)]
    return there, slope


def stencil(estimate: Estimate) -> Array:
    """(2p + 1, p) points: the mean, then each parameter a step up, then each a step down."""
    steps = np.diag(STEP * estimate.sd)
    return np.concatenate([estimate.mean[None], estimate.mean + steps, estimate.mean - steps])


def from_stencil(estimate: Estimate, answers: Array) -> Linear:
    """First-order propagation from answers (..., 2p + 1) at the stencil's points.

    Law of propagation of uncertainty, JCGM 100:2008 section 5.2.2.
    """
    p = len(estimate.names)
    width = np.where(estimate.sd > 0, 2 * STEP * estimate.sd, 1.0)
    gradient = (answers[..., 1 : p + 1] - answers[..., p + 1 : 2 * p + 1]) / width
    variance = np.sum(gradient @ estimate.cov * gradient, axis=-1)
    return Linear(mean=answers[..., 0], sd=np.sqrt(np.maximum(variance, 0.0)), gradient=gradient)


def propagate(estimate: Estimate, answer: Callable[[Values], Array]) -> Linear:
    """First-order mean and sd of `answer`, which maps values (n,) to (..., n)."""
    return from_stencil(estimate, np.asarray(answer(estimate.values(stencil(estimate)))))


def explained(estimate: Estimate, gradient: Array) -> Array:
    """(..., p) part of each answer's sd that knowing each parameter exactly would explain, signed.

    |covariance of answer and parameter| / sd of the parameter: what to measure next.
    """
    shared = gradient @ estimate.cov
    return np.asarray(shared / np.where(estimate.sd > 0, estimate.sd, 1.0))
