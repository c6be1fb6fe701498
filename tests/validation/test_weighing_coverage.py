"""A reconciliation's promises held to synthetic rigs whose truth is known.

Sources: W. Baarda, A Testing Procedure for Use in Geodetic Networks, Publications on Geodesy 2.5
(1968), for the smallest detectable error and its power; A. P. Dawid, JASA 77 (1982) 605-610, for
what it means that intervals are calibrated. Truths are drawn from the ticket's own prior, readings
from the statics with the stated noise: nothing here rests on an earlier answer of the package.
"""

import os
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pytest
from scipy.stats import binom, kstest
from tests import eight, weighings

from steelyard.estimate import Array, Estimate, linearise, propagate, root
from steelyard.quantity import Z95
from steelyard.weighing.laid_ticket import Weighed, lay
from steelyard.weighing.reconcile import Judged, Reconciled, judge

RIGS = 2000 if os.environ.get("STEELYARD_STUDY") == "1" else 200
"""Synthetic rigs over the three files together."""
LEAST, MOST = 0.93, 0.97
"""Coverage asked of a 95 % interval at full size."""
NAMES = tuple(weighings.ALL)


def bounds(trials: int, questions: int) -> tuple[float, float]:
    """Counts that a coverage of 93 to 97 % leaves but once in a thousand, at so many questions."""
    tail = 1e-3 / questions / 2
    return float(binom.ppf(tail, trials, LEAST)), float(binom.ppf(1 - tail, trials, MOST))


@dataclass(frozen=True, kw_only=True)
class Study:
    """For each truth: whether each answer and parameter was inside its interval, and the chance."""

    answers: Array
    parameters: Array
    names: tuple[str, ...]
    chances: Array


def weighed(name: str) -> Weighed:
    """The standard ticket on one of the rigs."""
    rig = weighings.rig(name)
    return lay(rig, weighings.three_passes(next(iter(rig.stages), None)))


@cache
def rights(name: str) -> tuple[Array, Array, tuple[Reconciled, ...]]:
    """A third of all synthetic rigs, each drawn from the prior of one file: points (n, p), right
    readings (m, n), and each rig reconciled."""
    laid = weighed(name)
    points, seen = weighings.truths(laid, RIGS // len(NAMES), seed=10 + NAMES.index(name))
    return points, seen, tuple(judge(weighings.reading(laid, one)) for one in seen.T)


@cache
def study(name: str) -> Study:
    """What each of those rigs was answered, held against its truth."""
    laid = weighed(name)
    points, _, each = rights(name)
    right = weighings.answers(laid, laid.prior.values(points))
    inside, own, chances = [], [], []
    for k, found in enumerate(each):
        told = propagate(found.full, lambda v: weighings.answers(laid, v))
        inside.append(np.abs(right[:, k] - told.mean) < Z95 * told.sd)
        at = [found.full.index[name] for name in laid.prior.names]
        own.append(np.abs(points[k] - found.full.mean[at]) < Z95 * found.full.sd[at])
        chances.append(found.whole.chance)
    return Study(
        answers=np.array(inside),
        parameters=np.array(own),
        names=laid.prior.names,
        chances=np.array(chances),
    )


class TestCoverage:
    """95 % intervals hold the truth 95 times in 100."""

    @pytest.mark.parametrize("which", [0, 1, 2], ids=["share", "tongue", "trailer"])
    def test_answers(self, which: int) -> None:
        """Tongue share, tongue weight and whole trailer at the load of the ticket: 93 to 97 %."""
        inside = np.concatenate([study(name).answers[:, which] for name in NAMES])
        low, high = bounds(len(inside), 3)
        assert low <= inside.sum() <= high

    @pytest.mark.parametrize("name", NAMES)
    def test_parameters(self, name: str) -> None:
        """So does the interval of each parameter taken alone."""
        found = study(name)
        low, high = bounds(len(found.parameters), len(found.names))
        counts = found.parameters.sum(axis=0)
        outside = {n: c for n, c in zip(found.names, counts, strict=True) if not low <= c <= high}
        assert outside == {}

    def test_chances_are_uniform(self) -> None:
        """With nothing wrong the chi-square's chance is uniform: Kolmogorov-Smirnov p > 0.01."""
        chances = np.concatenate([study(name).chances for name in NAMES])
        assert kstest(chances, "uniform").pvalue > 0.01


def confusable(one: Judged) -> set[str]:
    """A reading and those whose error would look the same."""
    return {one.name, *one.alike}


@dataclass(frozen=True, kw_only=True)
class Misread:
    """A ticket with one wrong reading: which, whether it can be told apart, what was found."""

    name: str
    apart: bool
    found: Reconciled


@cache
def misread(name: str) -> tuple[Misread, ...]:
    """One reading in every other ticket wrong by 1.5 times the least detectable error, either
    way."""
    laid = weighed(name)
    _, seen, each = rights(name)
    rng = np.random.default_rng(50)
    rows = []
    for k in range(0, len(each) // 2 * 2, 2):
        which = int(rng.integers(len(seen)))
        one = each[k].readings[which]
        wrong = seen[:, k].copy()
        wrong[which] += rng.choice([-1.5, 1.5]) * one.detectable
        found = judge(weighings.reading(laid, wrong))
        rows.append(Misread(name=one.name, apart=not found.readings[which].alike, found=found))
    return tuple(rows)


class TestGrossError:
    """The reading that does not belong is named."""

    def _all(self, *, apart: bool) -> list[Misread]:
        return [one for name in NAMES for one in misread(name) if one.apart is apart]

    def test_named(self) -> None:
        """Where no other test correlates above 0.8, in nine cases of ten the reading itself."""
        cases = self._all(apart=True)
        named = [one.found.suspect and one.found.suspect.name == one.name for one in cases]
        assert len(cases) > 5
        assert np.mean([bool(hit) for hit in named]) >= 0.9

    def test_confusable_set_named(self) -> None:
        """Above that, in nine of ten the set of readings that would look the same holds it."""
        cases = self._all(apart=False)
        named = [
            one.found.suspect is not None and one.name in confusable(one.found.suspect)
            for one in cases
        ]
        assert len(cases) > 10
        assert np.mean(named) >= 0.9

    def test_answer_without_it(self) -> None:
        """With one reading 200 kg off, the answer without the suspect holds the true trailer, and
        so does the one with it, which takes errors as large as the miss and is much wider.

        (Of a rig that lists all: else cargo nobody listed may be what one of two passes shows, and
        none of them is the odd one.)
        """
        rig = weighings.rig("camper").model_copy(update={"everything_listed": True})
        laid = lay(rig, weighings.three_passes("leave"))
        points, seen = weighings.truths(laid, 20, seed=60)
        right = weighings.answers(laid, laid.prior.values(points))[2]
        wrong = seen + 200 * np.eye(len(seen))[:, [2]]
        inside, wide = [], []
        for k in range(20):
            found = judge(weighings.reading(laid, wrong[:, k]))
            for full in (found.full, found.without):
                assert full is not None
                told = propagate(_whole(laid, full), lambda v: weighings.answers(laid, v))
                inside.append(abs(right[k] - told.mean[2]) < Z95 * told.sd[2])
                wide.append(told.sd[2])
        assert np.mean(inside[0::2]) >= binom.ppf(1e-3, 20, LEAST) / 20
        assert np.mean(inside[1::2]) >= binom.ppf(1e-3, 20, LEAST) / 20
        assert np.median(wide[0::2]) > 2 * np.median(wide[1::2])


EACH = 20 if os.environ.get("STEELYARD_STUDY") == "1" else 2
"""Tickets of each rig, ticket and kind of truth."""
FOUR = 4.0
"""Leave-one-out sd by which a wrong reading is wrong."""


@cache
def tickets(truth: str) -> tuple[tuple[Weighed, Array], ...]:
    """Tickets of right readings on every rig of the eight, with their numbers (m,)."""
    rng = np.random.default_rng(70)
    found = []
    for name in eight.RIGS:
        for kind in ("pads", "parts", "total", "wheels"):
            laid = eight.laid(name, kind)
            shape = (EACH, len(laid.prior.names))
            z = {
                "as told": rng.standard_normal(shape),
                "wider": 1.5 * rng.standard_normal(shape),
                "heavy": rng.standard_t(4, shape),
            }[truth]
            v = laid.prior.values(laid.prior.mean + z @ root(laid.prior.cov).T)
            sd = np.array([one.sd for one in laid.readings])[:, None]
            seen = weighings.shown(laid, v) + sd * rng.standard_normal((len(sd), EACH))
            found += [(laid, y) for y in seen.T if np.isfinite(y).all()]
    return tuple(found)


class TestSuspects:
    """A right reading is seldom called wrong, even where the file is; a wrong one is found."""

    @pytest.mark.parametrize("truth", ["as told", "wider", "heavy"])
    def test_right_readings(self, truth: str) -> None:
        """With truths as the file tells, 1.5 times as wide, or heavy of tail (t with four degrees),
        a reading is named, or a slip asked of, in at most 5 % of tickets in which all are right."""
        found = [judge(weighings.reading(*one)) for one in tickets(truth)]
        named = [one.suspect is not None or one.slips != () for one in found]
        assert sum(named) <= binom.ppf(0.99, len(named), 0.05)

    def test_wrong_reading(self) -> None:
        """One wrong by four sd of leaving it out, by the file as it is, is named, or one whose
        error looks the same, in 70 % of tickets; one wrong by six in 90 %."""
        rng, hits = np.random.default_rng(71), {FOUR: list[bool](), 1.5 * FOUR: list[bool]()}
        for laid, right in tickets("as told"):
            sd = left_out(laid)
            for size, found in hits.items():
                which = int(rng.integers(len(right)))
                wrong = right.copy()
                wrong[which] += rng.choice([-size, size]) * sd[which]
                suspect = judge(weighings.reading(laid, wrong)).suspect
                name = laid.lines[which].name
                found.append(suspect is not None and name in confusable(suspect))
        for size, least in ((FOUR, 0.7), (1.5 * FOUR, 0.9)):
            assert sum(hits[size]) >= binom.ppf(0.01, len(hits[size]), least)


def left_out(laid: Weighed) -> Array:
    """One sd (m,) of each reading about what the file and all the others say, to first order."""
    prior, sd = laid.prior, [one.sd for one in laid.readings]
    _, slope = linearise(prior, list(laid.readings), prior.mean)
    spread = slope @ prior.cov @ slope.T + np.diag(np.square(sd))
    return np.asarray(1.0 / np.sqrt(np.diag(np.linalg.inv(spread))))


def _whole(laid: Weighed, own: Estimate) -> Estimate:
    """A belief of the rig's own parameters with the ticket's own from the prior beside it."""
    mean, cov = laid.prior.mean.copy(), laid.prior.cov.copy()
    known = [name for name in own.names if name in laid.prior.index]
    at, of = ([one.index[name] for name in known] for one in (laid.prior, own))
    mean[at], cov[np.ix_(at, at)] = own.mean[of], own.cov[np.ix_(of, of)]
    return replace(laid.prior, mean=mean, cov=cov)
