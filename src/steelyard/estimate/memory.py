"""What was weighed, carried along with the belief it led to, so that draws reproduce it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from threading import Lock
from typing import Any, Final

import numpy as np

from steelyard.estimate.draws_as_read import Tangent, projected, tangent
from steelyard.estimate.estimate import Array, Estimate, Memory, Reading, Values, marginal

MOST: Final = 4
"""Sets of draws kept, 2 MB each of the usual size."""
THEN: Final = "as weighed "
"""Before the name of a parameter that the readings saw and that was stated anew since."""
_ONE_AT_A_TIME = Lock()


def remembered(memory: Memory, n: int, seed: int) -> Array:
    """(q, n) draws on the scales, read-only; the same for everyone who asks."""
    with _ONE_AT_A_TIME:
        if (n, seed) not in memory.made:
            found = projected(_tangent(memory), n, seed)
            found.flags.writeable = False
            for old in [key for key in memory.made if key is not None][: -(MOST - 1)]:
                del memory.made[old]
            memory.made[n, seed] = found
        return np.asarray(memory.made[n, seed])


def _tangent(memory: Memory) -> Tangent:
    if None not in memory.made:
        memory.made[None] = tangent(memory.prior, memory.readings, memory.posterior)
    found: Tangent = memory.made[None]
    return found


def beside(memory: Memory, estimate: Estimate) -> tuple[Estimate, tuple[Reading, ...]]:
    """The belief before the readings with what the estimate has beyond it, and the readings.

    Names that mean something else by now are set apart, by `THEN`.
    """
    prior, kept = memory.prior, set(memory.kept(estimate)[0])
    fresh = marginal(estimate, [n for i, n in enumerate(estimate.names) if i not in kept])
    taken = {
        *fresh.names,
        *(n for n, x in estimate.constants.items() if x != prior.constants.get(n)),
    }
    apart = {n: THEN + n for n in (*prior.names, *prior.constants) if n in taken}
    q, more = len(prior.names), len(fresh.names)
    cov = np.zeros((q + more, q + more))
    cov[:q, :q], cov[q:, q:] = prior.cov, fresh.cov
    then = {apart.get(name, name): x for name, x in prior.constants.items()}
    wider = Estimate(
        names=(*(apart.get(name, name) for name in prior.names), *fresh.names),
        scales=(*prior.scales, *fresh.scales),
        mean=np.concatenate([prior.mean, fresh.mean]),
        cov=cov,
        constants={**then, **estimate.constants},
    )
    return wider, _as_then(memory.readings, apart)


def remembering(prior: Estimate, readings: Sequence[Reading], posterior: Estimate) -> Estimate:
    """The posterior of readings with the memory of them."""
    bare = replace(posterior, memory=None)
    return replace(bare, memory=Memory(prior=prior, readings=tuple(readings), posterior=bare))


@dataclass(frozen=True, eq=False)
class _Then:
    """A prediction that sees parameters as they were called when it was weighed."""

    predict: Callable[[Values], Array]
    seen: "_Seen"

    def __call__(self, v: Values) -> Array:
        return self.predict(self.seen.at(v))


class _Seen:
    """Values by their names of then; the same mapping again for the same values."""

    def __init__(self, apart: Mapping[str, str]) -> None:
        self._apart = apart
        self._last: tuple[Values, Values] | None = None

    def at(self, v: Values) -> Values:
        """The values with those set apart under their own names."""
        last = self._last
        if last is None or last[0] is not v:
            last = v, {**v, **{name: v[other] for name, other in self._apart.items()}}
            self._last = last
        return last[1]

    def __getstate__(self) -> dict[str, Any]:
        return {"_apart": self._apart, "_last": None}


def _as_then(readings: tuple[Reading, ...], apart: Mapping[str, str]) -> tuple[Reading, ...]:
    if not apart:
        return readings
    seen = _Seen(apart)
    return tuple(replace(one, predict=_Then(one.predict, seen)) for one in readings)
