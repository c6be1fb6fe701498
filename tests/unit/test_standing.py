"""Judging a load against a rating or a band, from draws."""

import numpy as np
import pytest

from steelyard.estimate import Array, base_points
from steelyard.ratings.check import Check, at_most
from steelyard.ratings.standing import Standing, judge

POINTS = 4000


def drawn(mean: float, sd: float) -> Array:
    """Best estimate first, then draws, (1, 1 + n), as `assess` hands them over."""
    return np.concatenate([[mean], mean + sd * base_points(POINTS, 1, 0)[:, 0]])[None]


def against(mean: float, sd: float, high: float | None, low: float | None = None) -> Standing:
    """A load N(mean, sd) judged against a rating, or a band."""
    whole = at_most("x", "x", drawn(mean, sd), high, due="a label")
    check = Check(
        **{
            **{name: getattr(whole, name) for name in whole.__slots__},
            "low": None if low is None else np.asarray(low),
        }
    )
    return judge(check, 0, 1, POINTS)


@pytest.mark.parametrize(
    ("sigmas", "verdict"),
    [(2.5, "within"), (2.0, "within"), (1.9, "tight"), (0.1, "tight"), (-0.1, "exceeded")],
)
def test_verdict_by_chance(sigmas: float, verdict: str) -> None:
    """Tight from a chance of 2.5 % (1.96 sd of room), exceeded from 50 %; the chance is the
    normal tail's."""
    found = against(1000.0 - sigmas * 10, 10.0, 1000.0)
    assert found.verdict == verdict
    assert found.room == pytest.approx(sigmas, rel=0.02)


def test_may_be_over_from_20_percent() -> None:
    """At 0.80 sd of room (21 %) a person should weigh; at 0.90 sd (18 %) not yet."""
    assert against(992.0, 10.0, 1000.0).may_be_over
    assert not against(991.0, 10.0, 1000.0).may_be_over


def test_unknown_rating_is_unknown() -> None:
    """Without a rating nothing is within, and its room decides nothing."""
    found = against(1.0, 0.1, None)
    assert found.verdict == "unknown"
    assert np.isnan(found.chance)
    assert found.room == float("inf")


def test_without_spread_it_is_yes_or_no() -> None:
    """A certain load is within at its rating, exceeded above it."""
    assert against(1000.0, 0.0, 1000.0).verdict == "within"
    assert against(1000.1, 0.0, 1000.0).verdict == "exceeded"


def test_band_has_two_sides() -> None:
    """Near the floor of a band it says under, near the ceiling over, with the margin to it."""
    under, over = against(0.105, 0.004, 0.15, 0.10), against(0.146, 0.004, 0.15, 0.10)
    assert (under.side, over.side) == ("under", "over")
    assert (under.margin, over.margin) == pytest.approx((0.005, 0.004))
    assert against(0.09, 0.004, 0.15, 0.10).verdict == "exceeded"


def test_no_balance_counts_as_over() -> None:
    """Draws that found no balance are not within: 10 % of NaN is a chance of 10 % at least."""
    value = drawn(900.0, 1.0)
    value[0, -POINTS // 10 :] = np.nan
    found = judge(at_most("x", "x", value, 1000.0, due="a label"), 0, 1, POINTS)
    assert found.chance == pytest.approx(0.1)
    assert found.verdict == "tight"


def test_each_stage_is_judged_by_its_own_row() -> None:
    """Stages are rows: a rating that holds for all, a load that grows."""
    value = np.concatenate([drawn(900.0, 5.0), drawn(1100.0, 5.0)])
    check = at_most("x", "x", value, 1000.0, due="a label")
    assert [judge(check, s, 2, POINTS).verdict for s in (0, 1)] == ["within", "exceeded"]
