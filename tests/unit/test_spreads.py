"""Spreads and standings of all stages at once."""

from collections.abc import Callable

import numpy as np
import pytest

from steelyard.assessment.spreads import spreads
from steelyard.estimate import Array, Moments
from steelyard.ratings.check import Check, at_most
from steelyard.ratings.judge import judge, judgements


def rows(points: int, seed: int) -> Array:
    """Three stages: a best estimate, a stencil's two points, and draws, (3, 3 + points)."""
    return np.random.default_rng(seed).normal(5.0, 2.0, (3, 3 + points))


@pytest.mark.parametrize("points", [1, 2, 41, 99, 100, 101, 512, 4096])
def test_spread_is_numpys_percentile(points: int) -> None:
    """At any number of draws: numpy.percentile and numpy.std of the draws, by stage."""
    x = rows(points, points)
    found = spreads({0: (x, 1.0)}, 3, Moments(points))[0]
    low, high = np.percentile(x[:, -points:], [2.5, 97.5], axis=1)
    middle = np.percentile(x[:, -points:], 50, axis=1, method="inverted_cdf")
    assert [s.value for s in found] == list(middle)
    assert [s.best for s in found] == list(x[:, 0])
    assert [s.low for s in found] == pytest.approx(list(low), rel=1e-12)
    assert [s.high for s in found] == pytest.approx(list(high), rel=1e-12)
    assert [s.sd for s in found] == pytest.approx(list(np.std(x[:, -points:], axis=1)), rel=1e-12)


@pytest.mark.parametrize(
    "shape", [np.exp, np.round, lambda x: np.maximum(x, 7.0), lambda x: x**9, lambda x: 0 * x + 1]
)
def test_spread_of_draws_of_any_shape(shape: Callable[[Array], Array]) -> None:
    """Skewed, in steps, kinked, with long tails or all alike: numpy.percentile of them."""
    x = shape(rows(4096, 3))
    found = spreads({0: (x, 1.0)}, 3, Moments(4096))[0]
    low, high = np.percentile(x[:, -4096:], [2.5, 97.5], axis=1)
    middle = np.percentile(x[:, -4096:], 50, axis=1, method="inverted_cdf")
    assert [s.value for s in found] == list(middle)
    assert [s.low for s in found] == pytest.approx(list(low), rel=1e-12)
    assert [s.high for s in found] == pytest.approx(list(high), rel=1e-12)


@pytest.mark.parametrize("points", [400, 4096])
@pytest.mark.parametrize("part", [0.01, 0.1, 0.6])
def test_draws_that_tip_are_left_out(points: int, part: float) -> None:
    """A stage with NaN among its draws has the spread of the others; the other stages their own:
    numpy.percentile, and the judge's median is the middle of all, those that tip last."""
    x = rows(points, 0)
    x[1, 50 : 50 + int(part * points)] = np.nan
    found, moments = spreads({0: (x, 1.0)}, 3, Moments(points))[0], Moments(points)
    kept = x[1, -points:][~np.isnan(x[1, -points:])]
    assert found[1].low == pytest.approx(np.percentile(kept, 2.5))
    assert found[1].sd == pytest.approx(np.std(kept))
    assert found[2].high == pytest.approx(np.percentile(x[2, -points:], 97.5))
    middle = np.sort(x[1, -points:])[(points - 1) // 2]
    np.testing.assert_equal(moments.median(x)[1], middle)


def test_alike_at_all_stages() -> None:
    """What has no stage axis, or no spread at all, reads the same at every stage."""
    assert len({*spreads({0: (rows(50, 1)[0], 1.0)}, 4, Moments(50))[0]}) == 1
    plain = spreads({0: (np.array([[7.0]]), 1.0)}, 2, Moments(50))[0]
    assert [(s.value, s.sd, s.low, s.high) for s in plain] == [(7.0, 0.0, 7.0, 7.0)] * 2


def test_together_as_one_by_one() -> None:
    """A check judged with others at all stages has the counts of its own draws at its own stage."""
    x = rows(1000, 2)
    todo: list[Check] = [
        at_most("gross weight", "a", "a", x, 6.0, due=""),
        at_most("gross weight", "b", "b", x[0], 4.0, due=""),
        at_most("gross weight", "c", "c", x, np.array([[3.0], [5.0], [90.0]]), due=""),
        at_most("gross weight", "d", "d", np.array([2.0]), 3.0, due=""),
    ]
    found = [one.standings for one in judgements(todo, 3, Moments(1000))]
    for stage in range(3):
        for check, standing in zip(todo, found[stage], strict=True):
            assert standing == judge(check, stage, 3, 1000)
        assert found[stage][0].chance == np.mean(x[stage, -1000:] > 6.0)
        assert found[stage][2].chance == np.mean(x[stage, -1000:] > (3.0, 5.0, 90.0)[stage])
