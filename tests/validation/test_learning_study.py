"""One owner's rigs, unlike the shipped style, and the next one foretold; truths known.

Source of what is asked: intervals hold what they say (A. P. Dawid, JASA 77 (1982) 605-610, for what
calibrated means). Truths are drawn from the rig files' belief, but for the owner's tongue share;
readings from the statics with the scales' noise: nothing rests on an earlier answer.
"""

import os
from functools import cache

import numpy as np
import pytest
from scipy.stats import binom
from tests import owners, weighings

from steelyard.estimate import Array, draws
from steelyard.learning import Learnt, learn
from steelyard.rig import Own, Owned
from steelyard.weighing.laid_ticket import lay

OWNERS = 20 if os.environ.get("STEELYARD_STUDY") == "1" else 2
WEIGHED, NEXT = 40, 30
"""Rigs weighed, and rigs foretold, of each owner."""


def bounds(trials: int) -> tuple[float, float]:
    """Counts that a coverage of 93 to 97 % leaves but once in a thousand."""
    return float(binom.ppf(5e-4, trials, 0.93)), float(binom.ppf(1 - 5e-4, trials, 0.97))


@cache
def learnt(owner: int) -> tuple[Learnt, ...]:
    """From forty rigs, each weighed once."""
    return learn([owners.taught(10_000 * owner + k) for k in range(WEIGHED)])


def owned(rows: tuple[Learnt, ...]) -> Owned:
    """As a rig takes it along."""
    styles: dict[str, dict[str, Own]] = {}
    for row in rows:
        own = Own(value=row.value, sd=row.sd, rigs=row.rigs)
        styles.setdefault(row.style, {})[row.name] = own
    return styles


@cache
def foretold() -> tuple[Array, Array]:
    """Errors of tongue share and tongue weight, and whether inside 95 %, (rigs, 2, 2): of every
    next rig before it is weighed, as shipped and as learned."""
    errors, inside = [], []
    for k in (10_000 * owner + 500 + n for owner in range(OWNERS) for n in range(NEXT)):
        truth = owners.truth(k)
        right = weighings.answers(truth.laid, truth.values, "coupled")[:2, 0]
        pairs = []
        for own in ({}, owned(learnt(k // 10_000))):
            laid = lay(owners.rig(k).owning(own), owners.TICKET)
            drawn = draws(laid.prior, 256, 0)
            answers = weighings.answers(laid, laid.prior.values(drawn), "coupled")[:2]
            low, middle, high = np.quantile(answers, [0.025, 0.5, 0.975], axis=1)
            pairs.append((np.abs(middle - right), (low <= right) & (right <= high)))
        errors.append([pair[0] for pair in pairs])
        inside.append([pair[1] for pair in pairs])
    return np.array(errors), np.array(inside)


@pytest.mark.parametrize("answer", [0, 1], ids=["tongue share", "tongue weight"])
def test_the_next_rig_is_foretold_better(answer: int) -> None:
    """Forty rigs of a style two sd off lower the median error of the next by 40 % or more."""
    shipped, own = np.median(foretold()[0], axis=0)[:, answer]
    assert own <= 0.6 * shipped


@pytest.mark.parametrize("answer", [0, 1], ids=["tongue share", "tongue weight"])
def test_the_next_rig_is_inside_its_interval(answer: int) -> None:
    """Intervals of 95 % hold 93 to 97 % of the next rigs, where the shipped ones did not."""
    inside = foretold()[1][:, :, answer]
    low, high = bounds(len(inside))
    assert low <= inside[:, 1].sum() <= high
    assert inside[:, 0].sum() < low


def test_evidence_has_the_error_it_claims() -> None:
    """What a weighing says of its rig's tongue share lies about the truth by as much as it says."""
    from steelyard.learning.evidence import alone, shipped

    off = []
    for k in range(WEIGHED):
        one = owners.taught(k).evidence[0]
        base = {name: shipped(one.part, one.style, name) for name in one.names}
        said = alone(one, "tongue_share", {n: (b.value, b.sd) for n, b in base.items()})
        assert said is not None
        off.append((said[0] - owners.truth(k).share) / said[1])
    assert abs(np.mean(off)) < 3.3 / np.sqrt(WEIGHED)
    assert 0.6 < np.std(off) < 1.5
