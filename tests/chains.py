"""Long Markov chains of a weighed rig's posterior, to hold its draws against.

Random-walk Metropolis (Metropolis et al., J. Chem. Phys. 21 (1953) 1087-1092) with many walkers at
once, its step adapted to their spread while they burn in (Haario, Saksman & Tamminen, Bernoulli 7
(2001) 223-242) and fixed after. It knows the prior, the readings and their noise; of the package's
own posterior it uses the mean and covariance to start from, nothing to end on.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array, Estimate, Reading, linearise, root

BURN = 0.5
"""Part of the steps in which the walkers find their way and their step."""


@dataclass(frozen=True, kw_only=True)
class Target:
    """A posterior's density over the parameters that readings look at, in whitened coordinates."""

    prior: Estimate
    readings: tuple[Reading, ...]
    used: NDArray[np.intp]
    factor: Array

    def points(self, z: Array) -> Array:
        """(n, d) on the scales from whitened (n, d)."""
        return np.asarray(self.prior.mean[self.used] + z @ self.factor.T)

    def log(self, z: Array) -> Array:
        """Log density (n,), a constant apart; where no rig could stand, none."""
        some = self.prior.mean + np.zeros((len(z), 1))
        some[:, self.used] = self.points(z)
        v = self.prior.values(some)
        with np.errstate(all="ignore"):
            off = [(one.predict(v) - one.value) / one.sd for one in self.readings]
            found = -0.5 * (
                np.sum(z**2, axis=1) + sum(np.broadcast_to(x, len(z)) ** 2 for x in off)
            )
        return np.where(np.isfinite(found), found, -np.inf)


def target(prior: Estimate, readings: tuple[Reading, ...], at: Array) -> Target:
    """The density; `at` (p,) is where the readings are asked which parameters they look at."""
    _, slope = linearise(prior, list(readings), at)
    used = np.flatnonzero(np.any(slope != 0, axis=0))
    return Target(
        prior=prior, readings=readings, used=used, factor=root(prior.cov[np.ix_(used, used)])
    )


def chain(
    prior: Estimate,
    readings: tuple[Reading, ...],
    posterior: Estimate,
    *,
    walkers: int,
    steps: int,
    seed: int,
) -> Array:
    """Points (n, p) of the posterior on the scales: every walker at eight late steps."""
    goal = target(prior, readings, posterior.mean)
    rng, d = np.random.default_rng(seed), len(goal.used)
    inverse = np.linalg.inv(goal.factor)
    spread = inverse @ posterior.cov[np.ix_(goal.used, goal.used)] @ inverse.T
    start = inverse @ (posterior.mean - prior.mean)[goal.used]
    z = start + rng.standard_normal((walkers, d)) @ root(spread).T
    step, size, kept = root(spread), 2.4 / np.sqrt(d), []
    level = goal.log(z)
    burn = int(BURN * steps)
    for number in range(steps):
        moved = z + size * rng.standard_normal((walkers, d)) @ step.T
        there = goal.log(moved)
        taken = np.log(rng.random(walkers)) < there - level
        z, level = np.where(taken[:, None], moved, z), np.where(taken, there, level)
        if number < burn:
            size *= np.exp(0.2 * (np.mean(taken) - 0.234))
            if number % 100 == 99:
                step = root(np.cov(z.T) + 1e-9 * np.eye(d))
        elif (steps - 1 - number) % max((steps - burn) // 8, 1) == 0:
            kept.append(goal.points(z))
    return _completed(goal, np.concatenate(kept), rng)


def _completed(goal: Target, points: Array, rng: np.random.Generator) -> Array:
    """The points with the parameters no reading looks at, drawn from the prior given the others."""
    prior, used = goal.prior, goal.used
    rest = np.setdiff1d(np.arange(len(prior.names)), used)
    cross = prior.cov[np.ix_(rest, used)]
    gain = np.linalg.solve(prior.cov[np.ix_(used, used)], cross.T).T
    left = root(prior.cov[np.ix_(rest, rest)] - gain @ cross.T)
    whole = np.empty((len(points), len(prior.names)))
    whole[:, used] = points
    whole[:, rest] = (
        prior.mean[rest]
        + (points - prior.mean[used]) @ gain.T
        + rng.standard_normal((len(points), len(rest))) @ left.T
    )
    return whole
