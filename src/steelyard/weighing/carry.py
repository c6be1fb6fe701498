"""A posterior carried to a rig that has changed since it was weighed."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Estimate
from steelyard.rig import Rig
from steelyard.scene import belief_of
from steelyard.typical.unlisted import is_unlisted

FAR: Final = 2.0
"""A stated value this many posterior sd away from what was weighed is reported."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """The belief on the changed rig, and what became of its parameters.

    `gone` were marginalised out; `new` enter with the changed rig's own prior, as do those stated
    anew; `restated` are the latter, `contradicted` those of them that lie far from what was
    weighed.
    """

    estimate: Estimate
    gone: tuple[str, ...]
    new: tuple[str, ...]
    contradicted: tuple[str, ...]
    restated: tuple[str, ...]


def carried(weighed: Rig, posterior: Estimate, changed: Rig) -> Carried:
    """Carry a posterior from the rig as weighed to the rig as it is now.

    A parameter whose prior is the same in both rigs keeps what was weighed; one that the changed
    rig states differently takes the new statement. What was weighed and what is new are taken
    independent. What nobody listed stays as weighed, whatever was listed since.
    """
    listed = {"everything_listed": weighed.everything_listed}
    changed = changed.model_copy(update=listed)
    old = belief_of(weighed)
    now = old if changed == weighed else belief_of(changed)
    shared = [name for name in now.names if name in posterior.index and name in old.index]
    alike = zip(shared, _alike(old, now, shared), strict=True)
    same = [name for name, as_before in alike if as_before or is_unlisted(name)]
    restated = [name for name in shared if name not in same]
    mean, cov = now.mean.copy(), now.cov.copy()
    to, of = [now.index[n] for n in same], [posterior.index[n] for n in same]
    others = [place for place in range(len(now.names)) if place not in set(to)]
    cov[np.ix_(to, others)] = 0.0
    cov[np.ix_(others, to)] = 0.0
    mean[to] = posterior.mean[of]
    cov[np.ix_(to, to)] = posterior.cov[np.ix_(of, of)]
    return Carried(
        estimate=replace(now, mean=mean, cov=cov, memory=posterior.memory),
        gone=tuple(name for name in posterior.names if name not in now.index),
        new=tuple(name for name in now.names if name not in posterior.index),
        restated=tuple(restated),
        contradicted=tuple(name for name in restated if _far(posterior, now, name)),
    )


def _alike(old: Estimate, now: Estimate, names: list[str]) -> NDArray[np.bool_]:
    """Which of some parameters are as they were."""
    i, j = ([one.index[name] for name in names] for one in (old, now))
    both = (old.mean[i], old.sd[i]), (now.mean[j], now.sd[j])
    return np.asarray(np.isclose(*both, rtol=1e-9, atol=1e-12).all(axis=0))


def _far(posterior: Estimate, now: Estimate, name: str) -> bool:
    i, j = posterior.index[name], now.index[name]
    return bool(abs(posterior.mean[i] - now.mean[j]) > FAR * posterior.sd[i])
