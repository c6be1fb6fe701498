"""What the readings cannot tell, in words."""

from typing import Final

import numpy as np

from steelyard.estimate import Array, Estimate
from steelyard.typical.sheet import kind_of
from steelyard.weighing.reconcile import Reconciled

TIED: Final = -0.6
"""Posterior correlation below which only the sum of two weights is known."""
LEARNT: Final = 0.7
"""A parameter whose sd fell below this part of its prior's was learnt."""
MOST: Final = 4


def unobservable(found: Reconciled) -> tuple[str, ...]:
    """Pairs of weights that the readings know only together, and tanks they say nothing about."""
    prior, posterior = found.weighed.prior, found.full
    names = [name for name in posterior.names if _is_weight(name)]
    places = [posterior.index[name] for name in names]
    sd = posterior.sd[places]
    correlation = posterior.cov[np.ix_(places, places)] / np.outer(sd, sd)
    learnt = sd / prior.sd[places]
    words = [
        f"these readings cannot tell {_plain(names[i])} from {_plain(names[j])}"
        for i, j in _pairs(correlation, learnt)
    ]
    return tuple(words[:MOST]) + _untold(prior, posterior)


def _is_weight(name: str) -> bool:
    known = kind_of(name)
    level = name.startswith("stages.ticket #") and ".tanks." in name
    return level or (known is not None and known.weighs)


def _pairs(correlation: Array, learnt: Array) -> list[tuple[int, int]]:
    """Strongly tied pairs of which neither was learnt, most tied first."""
    found: list[tuple[float, int, int]] = []
    for i in range(len(learnt)):
        found += [
            (float(correlation[i, j]), j, i)
            for j in range(i)
            if correlation[i, j] < TIED and min(learnt[i], learnt[j]) > 0.3
        ]
    return [(i, j) for _, i, j in sorted(found)]


def _untold(prior: Estimate, posterior: Estimate) -> tuple[str, ...]:
    """Tank levels of the weighing itself that stayed as uncertain as they were."""
    names = [n for n in prior.names if n.startswith("stages.ticket #") and ".tanks." in n]
    left = [
        n for n in names if posterior.sd[posterior.index[n]] > LEARNT * prior.sd[prior.index[n]]
    ]
    if not left:
        return ()
    tanks = ", ".join(dict.fromkeys(n.rsplit(".", 1)[1] for n in left))
    return (f"these readings say little of how full these tanks were: {tanks}",)


def _plain(name: str) -> str:
    """`items.bikes.weight` as a person would say it."""
    parts = name.split(".")
    if parts[0] in ("items", "people"):
        return parts[1]
    if parts[0] == "stages":
        return f"what is in the {parts[-1]} tank"
    known = kind_of(name)
    plain = name.removesuffix(".weight").replace(".", " ").replace("_", " ")
    return (known.told if known else "") or plain
