"""Linear propagation of an estimate through any answer, and what each parameter adds to it."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from steelyard.estimate.estimate import Array, Estimate, Values
from steelyard.estimate.linearise import STEP


@dataclass(frozen=True, slots=True, kw_only=True)
class Linear:
    """An answer to first order: its mean (...), sd (...) and gradient (..., p) on the scales."""

    mean: Array
    sd: Array
    gradient: Array


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
    variance = np.einsum("...i,ij,...j->...", gradient, estimate.cov, gradient)
    return Linear(mean=answers[..., 0], sd=np.sqrt(np.maximum(variance, 0.0)), gradient=gradient)


def propagate(estimate: Estimate, answer: Callable[[Values], Array]) -> Linear:
    """First-order mean and sd of `answer`, which maps values (n,) to (..., n)."""
    return from_stencil(estimate, np.asarray(answer(estimate.values(stencil(estimate)))))


def explained(estimate: Estimate, gradient: Array) -> Array:
    """(p,) part of the answer's sd that knowing each parameter exactly would explain, signed.

    |covariance of answer and parameter| / sd of the parameter: what to measure next.
    """
    shared = estimate.cov @ gradient
    return np.asarray(shared / np.where(estimate.sd > 0, estimate.sd, 1.0))
