"""Draws that reproduce what was weighed, and the memory that everything carries along."""

import pickle
from dataclasses import dataclass, replace

import numpy as np
import pytest
from tests import weighings

from steelyard.estimate import (
    Array,
    Estimate,
    Reading,
    Values,
    condition,
    drawn,
    draws,
    extended,
    marginal,
    remembering,
)
from steelyard.rig import Rig
from steelyard.weighing.carry import carried
from steelyard.weighing.laid_ticket import lay
from steelyard.weighing.reconcile import judge

N = 4096


@dataclass(frozen=True)
class Sum:
    """The sum of some parameters."""

    names: tuple[str, ...]

    def __call__(self, v: Values) -> Array:
        """Arrays (n,) at values (n,)."""
        return np.asarray(sum(v[name] for name in self.names))


def two() -> Estimate:
    """Two masses of about 1,000 and 500, each known to a factor, and a third that nobody weighs."""
    return Estimate(
        names=("a", "b", "c"),
        scales=("log", "log", "log"),
        mean=np.log([1000.0, 500.0, 200.0]),
        cov=np.diag([0.2, 0.3, 0.2]) ** 2,
        constants={},
    )


def weighed(total: float = 1700.0, sd: float = 5.0) -> Estimate:
    """The two weighed together."""
    readings = [Reading(name="sum", predict=Sum(("a", "b")), value=total, sd=sd)]
    return remembering(two(), readings, condition(two(), readings))


def grid(total: float, sd: float) -> tuple[Array, Array, Array]:
    """The two masses and their posterior's weights by plain quadrature on a fine grid."""
    a = np.exp(np.linspace(-5, 5, 2001) * 0.2) * 1000.0
    s = total + np.linspace(-6, 6, 241) * sd
    first, both = np.meshgrid(a, s, indexing="ij")
    second = both - first
    with np.errstate(all="ignore"):
        z = (np.log(first / 1000.0) / 0.2, np.log(second / 500.0) / 0.3, (both - total) / sd)
        log = -0.5 * sum(np.square(x) for x in z) - np.log(second)  # da/a on the grid, db/b
    weight = np.where(second > 0, np.exp(log), 0.0)
    return first, second, weight / weight.sum()


@pytest.mark.parametrize(("total", "sd"), [(1700.0, 5.0), (1700.0, 50.0), (1100.0, 10.0)])
def test_draws_are_the_posterior(total: float, sd: float) -> None:
    """Mean and sd of the sum, and of each part, are those of the exact posterior by quadrature:
    within 0.05 sd and 3 %."""
    v = drawn(weighed(total, sd), N, 0, weighed(total, sd).mean[None])
    first, second, weight = grid(total, sd)
    for exact, found in (
        (first + second, v["a"] + v["b"]),
        (first, v["a"]),
        (second, v["b"]),
    ):
        mean = np.sum(weight * exact)
        spread = np.sqrt(np.sum(weight * (exact - mean) ** 2))
        assert np.mean(found[1:]) == pytest.approx(mean, abs=0.05 * spread)
        assert np.std(found[1:]) == pytest.approx(spread, rel=0.03)


def test_without_memory_the_sum_is_lost() -> None:
    """The same mean and covariance drawn on the scales alone lose it: that is what this is for."""
    points = draws(replace(weighed(), memory=None), N, 0)
    assert np.std(np.sum(np.exp(points[:, :2]), axis=1)) > 5 * 5.0


def test_a_reading_that_nothing_foretells_moves_no_draw() -> None:
    """Where a prediction is no number, the draws are those of mean and covariance, every one."""
    lost = Reading(name="lost", predict=lambda v: np.log(-v["a"]), value=7.0, sd=1.0)
    with np.errstate(invalid="ignore"):
        found = draws(remembering(two(), [lost], two()), N, 0)
    assert found == pytest.approx(draws(two(), N, 0), rel=1e-12)


def test_the_same_draws_for_everyone() -> None:
    """One seed gives the same draws of a parameter, whichever others are asked for with it."""
    whole = weighed()
    points = draws(whole, N, 3)
    assert np.array_equal(draws(weighed(), N, 3), points)
    assert not np.array_equal(draws(whole, N, 4), points)
    assert np.array_equal(draws(marginal(whole, ["b", "c"]), N, 3), points[:, 1:])
    wider = extended(whole, [("d", "linear", 3.0, 1.0)])
    assert np.array_equal(draws(wider, N, 3)[:, :3], points)
    assert np.array_equal(draws(pickle.loads(pickle.dumps(whole)), N, 3), points)


def test_what_comes_after_is_independent() -> None:
    """A parameter added, or stated anew, is drawn with its own spread and tied to nothing."""
    wider = extended(weighed(), [("d", "linear", 3.0, 1.0)])
    mean, cov = wider.mean.copy(), wider.cov.copy()
    mean[2], cov[2], cov[:, 2] = np.log(300.0), 0.0, 0.0
    cov[2, 2] = 0.1**2
    points = draws(replace(wider, mean=mean, cov=cov), N, 0)
    assert points[:, 2:].mean(axis=0) == pytest.approx([np.log(300.0), 3.0], abs=0.02)
    assert points[:, 2:].std(axis=0) == pytest.approx([0.1, 1.0], rel=0.02)
    tied = np.corrcoef(points.T) - np.eye(4)
    assert np.abs(tied[2:]).max() < 0.06


def test_read_again_is_read_together() -> None:
    """A later reading on a remembered belief ends where both at once would: same mean, same draws
    of the sum; a parameter stated anew in between counts as the new one, not as the weighed."""
    first = Reading(name="sum", predict=Sum(("a", "b")), value=1700.0, sd=5.0)
    second = Reading(name="more", predict=Sum(("b", "c")), value=900.0, sd=30.0)
    after = condition(weighed(), [second])
    together = condition(two(), [first, second])
    assert (after.mean - together.mean) / together.sd == pytest.approx(0, abs=1e-6)
    v = after.values(draws(after, N, 0))
    assert np.std(v["a"] + v["b"]) == pytest.approx(5.0, rel=0.05)
    before = weighed()
    mean, cov = before.mean.copy(), before.cov.copy()
    mean[1], cov[1], cov[:, 1], cov[1, 1] = np.log(50.0), 0.0, 0.0, 0.01**2
    swapped = condition(replace(before, mean=mean, cov=cov), [replace(second, value=260.0)])
    assert np.exp(swapped.mean[1]) == pytest.approx(50.0, rel=0.02)
    assert swapped.mean[0] == pytest.approx(before.mean[0], abs=1e-6)


def test_what_was_weighed_was_weighed_with_the_number_of_then() -> None:
    """A sum of a mass and a jack of 100 kg, stated as 300 kg since: what the readings said of the
    mass stays said, and a later reading of another adds nothing to it."""
    prior = replace(two(), constants={"jack": 100.0, "wheel": 20.0})
    seen = [Reading(name="sum", predict=Sum(("a", "jack", "wheel")), value=1150.0, sd=1.0)]
    weighed = remembering(prior, seen, condition(prior, seen))
    assert np.exp(weighed.mean[0]) == pytest.approx(1030.0, abs=0.1)
    since = replace(weighed, constants={"jack": 300.0, "wheel": 20.0})
    other = Reading(name="c", predict=Sum(("c", "jack")), value=510.0, sd=1.0)
    found = condition(since, [other])
    assert np.exp(found.mean[[0, 2]]) == pytest.approx([1030.0, 210.0], abs=0.1)
    assert found.constants == since.constants


def test_gross_errors_leave_numbers() -> None:
    """A reading that no such thing could give leaves draws that are finite and positive."""
    for total in (400.0, 5000.0):
        v = drawn(weighed(total, 0.01), 512, 0, two().mean[None])
        assert all(np.isfinite(x).all() and (x > 0).all() for x in v.values())
        assert np.std(np.log(v["a"])) > 0.05


@pytest.fixture(scope="module")
def posterior() -> tuple[Rig, Estimate]:
    """Give the camper's posterior after the standard weighing, with a truth off the prior."""
    laid = lay(weighings.rig("camper"), weighings.three_passes("leave"))
    _, seen = weighings.truths(laid, 1, seed=3)
    return laid.rig, judge(weighings.reading(laid, seen[:, 0])).posterior


def test_a_rigs_posterior_can_be_sent(posterior: tuple[Rig, Estimate]) -> None:
    """Another process makes the very same draws of it."""
    sent = pickle.loads(pickle.dumps(posterior[1]))
    assert np.array_equal(draws(sent, 64, 1), draws(posterior[1], 64, 1))


def test_carried_along(posterior: tuple[Rig, Estimate]) -> None:
    """On a changed rig what is still there is drawn as before; what is new, on its own."""
    rig, known = posterior
    data = {**weighings.CAMPER, "items": {**weighings.CAMPER["items"]}}
    data["items"] = {
        "bikes": {"weight": "250 lb", "place": "bed"},
        "tools": data["items"]["tools"],
        "tent": {"weight": "40 lb", "place": "front"},
    }
    now = carried(rig, known, Rig.model_validate(data)).estimate
    before, after = (one.values(draws(one, N, 0)) for one in (known, now))
    for name in ("trailer.empty.weight", "items.tools.weight", "vehicle.cg"):
        assert np.array_equal(before[name], after[name])
    assert np.median(after["items.bikes.weight"]) * 2.20462 == pytest.approx(250, rel=0.01)
    assert np.median(after["items.tent.weight"]) * 2.20462 == pytest.approx(40, rel=0.01)
