"""Mean and covariance: scales, conditioning, propagation, draws."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.optimize import minimize_scalar
from scipy.special import logit

from steelyard.estimate import (
    Estimate,
    Reading,
    base_points,
    condition,
    drawn,
    draws,
    explained,
    propagate,
    to_scale,
)
from steelyard.quantity import Z95
from steelyard.rig import Rig
from steelyard.statics.prior import prior


def two(cov: list[list[float]]) -> Estimate:
    """Two linear parameters a and b about 3 and 5, and a constant."""
    return Estimate(
        names=("a", "b"),
        scales=("linear", "linear"),
        mean=np.array([3.0, 5.0]),
        cov=np.array(cov),
        constants={"c": 2.0},
    )


def test_condition_is_the_normal_equations() -> None:
    """On a linear reading the posterior is that of the information form, solved here by hand."""
    belief = two([[4.0, 1.0], [1.0, 9.0]])
    slope = np.array([[1.0, -2.0]])
    found = condition(
        belief, [Reading(name="r", predict=lambda v: v["a"] - v["c"] * v["b"], value=-5.0, sd=0.5)]
    )
    information = np.linalg.inv(belief.cov) + slope.T @ slope / 0.25
    cov = np.linalg.inv(information)
    mean = belief.mean + cov @ slope.T @ np.array([-5.0 + 7.0]) / 0.25
    assert found.mean == pytest.approx(mean, rel=1e-9)
    assert found.cov == pytest.approx(cov, rel=1e-8)


def test_condition_finds_the_maximum_of_a_curved_posterior() -> None:
    """A reading of a product: the gradient of the log posterior vanishes where it lands."""
    belief = two([[0.25, 0.0], [0.0, 1.0]])
    found = condition(
        belief, [Reading(name="r", predict=lambda v: v["a"] * v["b"], value=20.0, sd=0.3)]
    )
    a, b = found.mean
    pull = (20.0 - a * b) / 0.09
    gradient = [pull * b - (a - 3) / 0.25, pull * a - (b - 5) / 1.0]
    assert gradient == pytest.approx([0, 0], abs=1e-5)


def test_rounds_are_no_more_than_asked_for() -> None:
    """One round on a square read as 4 from 1 +- 1: by hand, a slope of 2 and a gain of 2/5 of the 3
    that it is off; all rounds bring it near the root."""
    belief = replace(two([[1.0, 0.0], [0.0, 1.0]]), mean=np.array([1.0, 5.0]))
    square = Reading(name="r", predict=lambda v: v["a"] ** 2, value=4.0, sd=1.0)
    assert condition(belief, [square], rounds=1).mean[0] == pytest.approx(2.2, abs=1e-6)
    assert condition(belief, [square]).mean[0] < 2.0


def test_condition_stays_on_its_side_of_a_pole() -> None:
    """A trailer on its legs rests on its axles with W - T s/(s - leg): the first full step would
    put the legs behind the axles. What is found is the least of the same sum ahead of them, by
    scipy's bounded search."""

    def axles(leg: Any) -> Any:
        return 5459.0 - 999.4 * 5.08 / (5.08 - leg)

    def misfit(leg: float) -> float:
        return ((leg - 2.2) / 0.8) ** 2 + ((1500.0 - float(axles(leg))) / 3.5) ** 2

    belief = replace(two([[0.64, 0.0], [0.0, 1.0]]), mean=np.array([2.2, 5.0]))
    seen = Reading(name="axles", predict=lambda v: axles(v["a"]), value=1500.0, sd=3.5)
    right = minimize_scalar(misfit, bounds=(2.2, 5.0), method="bounded", options={"xatol": 1e-10})
    assert condition(belief, [seen]).mean == pytest.approx([right.x, 5.0], abs=1e-6)


def test_condition_ends_where_slopes_can_be_taken() -> None:
    """A rig that tips just beyond what is read, at 1.0004: no step ends where the next one could
    not be told, and what is found is as near as halves of steps come from below."""
    belief = replace(two([[1.0, 0.0], [0.0, 1.0]]), mean=np.array([0.0, 5.0]))
    seen = Reading(
        name="edge", predict=lambda v: np.where(v["a"] < 1.0004, v["a"], np.nan), value=1.0, sd=1e-3
    )
    found = condition(belief, [seen])
    assert found.mean == pytest.approx([1.0, 5.0], abs=0.02)
    assert found.mean[0] < 1.0
    assert found.sd == pytest.approx([1e-3, 1.0], rel=1e-3)


@pytest.mark.parametrize(
    ("value", "sd", "edge"),
    [(0.5, 0.1, None), (0.3, 0.1, None), (0.1, 0.2, 0.492), (0.0, 0.1, 0.216), (0.5, 0.4, 0.005)],
)
def test_a_level_on_its_scale_by_hand(value: float, sd: float, edge: float | None) -> None:
    """By SciPy's logit, its slope 1/(p (1 - p)); where 1.96 sd would leave the interval, the edge
    on the side with room is met, a level being 2 % from either end at least and an edge half of one
    (both assumed). What is empty is as far from full as what is full from empty."""
    inside = max(value, 0.02)
    own = sd / (inside * (1 - inside)) if edge is None else abs(logit(edge) - logit(inside)) / Z95
    assert to_scale(value, sd, "logit") == pytest.approx((logit(inside), own), rel=2e-3)
    assert to_scale(1 - value, sd, "logit") == pytest.approx((-logit(inside), own), rel=2e-3)


def test_scales_of_sure_numbers() -> None:
    """ln 2,000 and 1 %; a number as it is."""
    assert to_scale(2000.0, 20.0, "log") == pytest.approx((np.log(2000.0), 0.01))
    assert to_scale(3.0, 0.5, "linear") == (3.0, 0.5)


def test_readings_in_any_order_or_one_by_one() -> None:
    """Linear readings give the same posterior together, in turn, and in the other order."""
    first = Reading(name="a", predict=lambda v: v["a"] + v["b"], value=9.0, sd=0.7)
    second = Reading(name="b", predict=lambda v: v["b"], value=4.0, sd=0.2)
    belief = two([[4.0, 1.0], [1.0, 9.0]])
    together = condition(belief, [first, second])
    for found in (
        condition(belief, [second, first]),
        condition(condition(belief, [first]), [second]),
    ):
        assert found.mean == pytest.approx(together.mean, rel=1e-8)
        assert found.cov == pytest.approx(together.cov, rel=1e-7)


def test_nothing_read_changes_nothing() -> None:
    """Without readings the estimate is the very same."""
    belief = two([[4.0, 1.0], [1.0, 9.0]])
    assert condition(belief, []) is belief


def test_draws_have_the_mean_and_covariance() -> None:
    """Draws keep the mean to 1e-3 sd and the covariance to 3 %; strata are one each."""
    belief = two([[4.0, 3.0], [3.0, 9.0]])
    points = draws(belief, 4096, seed=2)
    assert points.mean(axis=0) == pytest.approx(belief.mean, abs=3e-3)
    assert np.cov(points.T) == pytest.approx(belief.cov, rel=0.03)
    ranks = np.argsort(np.argsort(base_points(64, 3, 0), axis=0), axis=0)
    assert np.array_equal(np.sort(ranks, axis=0), np.tile(np.arange(64)[:, None], (1, 3)))


def test_same_seed_same_draws() -> None:
    """One seed gives the same draws twice, another seed gives others; nobody can write to them."""
    assert np.array_equal(base_points(32, 4, 7), base_points(32, 4, 7))
    assert not np.array_equal(base_points(32, 4, 7), base_points(32, 4, 8))
    with pytest.raises(ValueError, match="read-only"):
        base_points(32, 4, 7)[0, 0] = 1.0


def test_draws_of_a_singular_covariance() -> None:
    """Two parameters that are one stay one in every draw."""
    points = draws(two([[4.0, 6.0], [6.0, 9.0]]), 512, seed=0)
    assert points[:, 1] - 5 == pytest.approx(1.5 * (points[:, 0] - 3), abs=1e-4)


def test_draws_beside_what_is_barely_a_covariance() -> None:
    """Three parameters that are one but for rounding, which Cholesky refuses, take no spread from
    two others that know nothing of them: sd 2 of each, by construction."""
    cov = np.diag([4.0] * 5)
    cov[1:4, 1:4] = 4.0
    cov[1, 2] = cov[2, 1] = 4.0 * (1.0 - 1e-9)
    with pytest.raises(np.linalg.LinAlgError):
        np.linalg.cholesky(cov / 4.0 + 1e-12 * np.eye(5))
    names = tuple("abcde")
    belief = Estimate(names=names, scales=("linear",) * 5, mean=np.zeros(5), cov=cov, constants={})
    found = drawn(belief, 4096, 0, belief.mean[None])
    assert [np.std(found[name][1:]) for name in names] == pytest.approx([2.0] * 5, rel=0.01)
    assert found["b"][1:] == pytest.approx(found["d"][1:], abs=1e-3)


def test_scales_keep_draws_possible() -> None:
    """Log parameters stay positive, logit ones between 0 and 1, however wide their spread."""
    belief = Estimate(
        names=("weight", "level"),
        scales=("log", "logit"),
        mean=np.array([0.0, 0.0]),
        cov=np.diag([9.0, 9.0]),
        constants={},
    )
    v = belief.values(draws(belief, 4096, seed=0))
    assert v["weight"].min() > 0
    assert 0 < v["level"].min() < v["level"].max() < 1


@pytest.mark.parametrize(("value", "sd"), [(0.5, 0.05), (0.3, 0.04), (0.8, 0.04)])
def test_logit_scale_first_order(value: float, sd: float) -> None:
    """In the middle of its range a level on its scale has the stated sd, to 5 %."""
    mean, spread = to_scale(value, sd, "logit")
    points = mean + spread * base_points(4096, 1, 0)[:, 0]
    assert np.std(1 / (1 + np.exp(-points))) == pytest.approx(sd, rel=0.05)


@pytest.mark.parametrize("text", ["100 %", "0 %", "97 % +- 10 %", "5 %"])
def test_a_stated_level_near_an_end_stays_near_it(text: str) -> None:
    """A tank stated full or empty, with the gauge's default spread of 19 points, is not half full:
    19 draws in 20 lie within 25 points of what was said."""
    tank = {"content": "fresh", "capacity": "40 gal", "station": "2 m"}
    rig = Rig.model_validate(
        {
            "vehicle": {"class": "half-ton-crew-cab"},
            "trailer": {
                "style": "rear-living",
                "empty": {"weight": "6000 lb"},
                "tanks": {"fresh": tank},
            },
            "stages": {"go": {"tanks": {"fresh": text}}},
        }
    )
    belief = prior(rig).estimate
    level = belief.values(draws(belief, 4096, seed=0))["stages.go.tanks.fresh"]
    stated = float(text.split("%")[0]) / 100
    assert np.mean(np.abs(level - stated) <= 0.25) >= 0.95


def test_propagation_is_exact_on_a_linear_answer() -> None:
    """Mean, sd and gradient of 2 a - b are those of the algebra."""
    linear = propagate(two([[4.0, 1.0], [1.0, 9.0]]), lambda v: v["c"] * v["a"] - v["b"])
    assert float(linear.mean) == pytest.approx(1.0)
    assert float(linear.sd) == pytest.approx((4 * 4 - 4 * 1 + 9) ** 0.5)
    assert linear.gradient == pytest.approx([2.0, -1.0])


def test_explained_is_what_knowing_takes_off() -> None:
    """An answer's variance less the part explained squared is its variance once that is known."""
    belief = two([[4.0, 1.0], [1.0, 9.0]])
    part = explained(belief, np.array([2.0, -1.0]))[0]
    known = condition(belief, [Reading(name="a", predict=lambda v: v["a"], value=3.0, sd=1e-7)])
    left = propagate(known, lambda v: v["c"] * v["a"] - v["b"]).sd
    assert 21 - part**2 == pytest.approx(float(left) ** 2, rel=1e-6)


def test_written_spread_is_what_the_prior_holds() -> None:
    """A spread written in the file comes back from the prior: half-width over 1.96."""
    rig = Rig.model_validate(
        {
            "vehicle": {"class": "half-ton-crew-cab", "wheelbase": "3.70 m +- 0.02 m"},
            "trailer": {"style": "rear-living", "empty": {"weight": "3000 kg +- 90 kg"}},
        }
    )
    belief = prior(rig).estimate
    sd = dict(zip(belief.names, belief.sd, strict=True))
    assert sd["vehicle.wheelbase"] == pytest.approx(0.02 / Z95, rel=0.02)
    assert sd["trailer.empty.weight"] == pytest.approx(0.03 / Z95, rel=0.02)


@pytest.mark.parametrize("tied", [0, 2, 6])
def test_drawn_in_one_piece_is_draws(tied: int) -> None:
    """Whether no parameters, few or all depend on each other, the same draws as by the matrix."""
    names = tuple(f"p{k}" for k in range(6))
    cov = np.diag(np.arange(1.0, 7.0)) / 100
    cov[:tied, :tied] += 0.01
    estimate = Estimate(
        names=names,
        scales=("linear", "log", "logit") * 2,
        mean=np.arange(6.0),
        cov=cov,
        constants={},
    )
    first = estimate.mean[None] + [[0.0], [0.1]]
    found = drawn(estimate, 300, 3, first)
    whole = estimate.values(np.concatenate([first, draws(estimate, 300, 3)]))
    for name in names:
        np.testing.assert_allclose(found[name], whole[name], rtol=1e-12, atol=1e-12)
