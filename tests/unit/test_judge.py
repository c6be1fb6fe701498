"""Judging a load against a rating or a band, from draws."""

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.estimate import Array, Moments, base_points
from steelyard.ratings.check import LIKELY, Check, LimitStatus, at_most
from steelyard.ratings.judge import SURE, above, judge, judgements, refuses, verdict, worst
from steelyard.words.assessed import chance, doubt, odds

POINTS = 4000


def drawn(mean: float, sd: float) -> Array:
    """Best estimate first, then draws, (1, 1 + n), as `assess` hands them over."""
    return np.concatenate([[mean], mean + sd * base_points(POINTS, 1, 0)[:, 0]])[None]


def against(mean: float, sd: float, high: float | None, low: float | None = None) -> LimitStatus:
    """A force N(mean, sd) judged against a rating, or a band."""
    force = drawn(mean, sd)
    whole = at_most("part's force", "x", "x", force, high, due="a label", measure="force")
    check = Check(
        **{
            **{name: getattr(whole, name) for name in whole.__slots__},
            "low": None if low is None else np.asarray(low),
        }
    )
    return judge(check, 0, 1, POINTS)


@pytest.mark.parametrize(
    ("sigmas", "verdict"),
    [
        (2.5, "within"),
        (2.0, "within"),
        (1.9, "tight"),
        (0.9, "tight"),
        (0.8, "cannot tell"),
        (-0.8, "cannot tell"),
        (-0.9, "exceeded"),
    ],
)
def test_verdict_by_chance(sigmas: float, verdict: str) -> None:
    """Tight from 2.5 % (1.96 sd of room), cannot tell from 20 to 80 % (0.84 sd either way), then
    exceeded: quantiles of the normal."""
    found = against(1000.0 - sigmas * 10, 10.0, 1000.0)
    assert found.verdict == verdict
    assert found.room == pytest.approx(sigmas, rel=0.02)


def test_likely_over_from_even_chances() -> None:
    """Where nobody can tell, from 50 % it is not towed until weighed, below that it is weighed."""
    assert against(1001.0, 10.0, 1000.0).likely_over
    assert against(1001.0, 10.0, 1000.0).refuses
    assert not against(999.0, 10.0, 1000.0).refuses
    assert not against(900.0, 10.0, 1000.0).likely_over
    assert refuses("cannot tell", 0.5)
    assert not refuses("cannot tell", 0.499)


@given(
    shape=st.floats(0.05, 1.5),
    rating=st.floats(0.2, 5.0),
    tips=st.integers(0, 400),
    seed=st.integers(0, 9),
)
def test_room_and_chance_never_disagree(shape: float, rating: float, tips: int, seed: int) -> None:
    """However skewed the draws, the number read is over its rating where most draws are, draws that
    tip among them."""
    draws = np.exp(shape * np.random.default_rng(seed).normal(size=501))
    draws[:tips] = np.nan
    value = np.concatenate([[1.0], draws])[None]
    found = judge(at_most("gross weight", "x", "x", value, rating, due=""), 0, 1, 501)
    assert (found.margin < 0) == (found.chance > 0.5)


def test_any_limit_failing() -> None:
    """Two limits that fail in the same draws fail together, in different draws apart: the chance of
    any is 10 and 20 %. Advice and unknown ratings have no part in it."""
    rows = np.zeros((3, 1001))
    rows[0, 1:101] = rows[1, 1:101] = rows[2, 101:201] = 2.0
    same, other, third = (
        at_most("gross weight", n, n, row[None], 1.0, due="")
        for n, row in zip("abc", rows, strict=True)
    )
    advice = at_most("gross weight", "d", "d", np.full((1, 1001), 2.0), 1.0, due="", advice=True)
    unknown = at_most("gross weight", "e", "e", rows[:1], None, due="")
    moments = Moments(1000)
    assert judgements([same, other, advice, unknown], 1, moments)[0].chance == pytest.approx(0.1)
    assert judgements([same, third], 1, moments)[0].chance == pytest.approx(0.2)


def test_what_is_alike_at_all_stages_counts_at_each() -> None:
    """A limit of one row fails in a tenth of the draws at both stages, one of two rows in another
    fifth at the second alone: 10 and 30 %. A rating may be drawn too: it is below a load of 1 in a
    tenth of the draws, and the best estimate is the first column."""
    rows = np.zeros((2, 1001))
    rows[1, 101:301] = 2.0
    alike = np.zeros((1, 1001))
    alike[0, 1:101] = 2.0
    moments = Moments(1000)
    one, two = (
        at_most("gross weight", n, n, x, 1.0, due="") for n, x in (("a", alike), ("b", rows))
    )
    chances = [found.chance for found in judgements([one, two], 2, moments)]
    assert chances == pytest.approx([0.1, 0.3])
    value, high = np.ones((1, 1001)), np.full((1, 1001), 3.0)
    value[0, 0], high[0, 0], high[0, -100:] = 0.5, 2.0, 0.9
    drawn_too = at_most("part's force", "c", "c", value, high, due="", measure="force")
    (found,) = judgements([drawn_too], 1, moments)[0].standings
    assert (found.best, found.value, found.rating) == (0.5, 1.0, 2.0)
    assert found.chance == pytest.approx(0.1)


def test_gravest_first() -> None:
    """A headline says exceeded before cannot tell, tight, unknown, within; of nothing, within."""
    assert worst(["unknown", "tight", "within"]) == "tight"
    assert worst(["cannot tell", "tight", "exceeded"]) == "exceeded"
    assert worst(["unknown", "within"]) == "unknown"
    assert worst([]) == "within"


@pytest.mark.parametrize("z", [-3.0, -1.0, 0.0, 0.5, 2.0, 8.0])
def test_normal_tail(z: float) -> None:
    """The chance above zero of a normal z sd above it: the standard library's distribution."""
    found = above(np.array([3.0 * z]), np.array([3.0]), np.array([100.0]))
    assert found[0] == pytest.approx(NormalDist().cdf(z), abs=1e-9)


def test_normal_tail_without_spread() -> None:
    """What has no spread is above its edge or not; what is not a number counts as above."""
    excess, sd = np.array([1.0, -1.0, 0.0, np.nan]), np.array([0.0, 0.0, 0.0, np.nan])
    assert list(above(excess, sd, np.full(4, 100.0))) == [1.0, 0.0, 0.0, 1.0]
    assert verdict(0.3) == "cannot tell"


def test_unknown_rating_is_unknown() -> None:
    """Without a rating nothing is within, and its room decides nothing."""
    found = against(1.0, 0.1, None)
    assert found.verdict == "unknown"
    assert np.isnan(found.chance)
    assert found.room == float("inf")


def test_without_spread_it_is_yes_or_no() -> None:
    """A certain load is within at its rating, where it decides nothing; exceeded above it, where it
    decides before any that has a spread."""
    at, over = against(1000.0, 0.0, 1000.0), against(1000.1, 0.0, 1000.0)
    assert (at.verdict, at.room) == ("within", float("inf"))
    assert (over.verdict, over.room) == ("exceeded", float("-inf"))


@pytest.mark.parametrize("number", range(40))
def test_parts_that_sum_up_to_the_rating_reach_it(number: int) -> None:
    """Tenths of a pound that make up a rating exactly are within it, in whatever order and however
    their sum in newtons is rounded; a gram in a tonne more is over it."""
    parts = np.random.default_rng(number).integers(50, 900, 7)
    newtons = [float(f"{part / 10}") * 0.45359237 * 9.80665 for part in parts]
    rating = float(f"{parts.sum() / 10}") * (0.45359237 * 9.80665)
    found = against(sum(newtons), 0.0, rating, low=rating)
    assert (found.verdict, found.chance, found.margin) == ("within", 0.0, 0.0)
    assert against(sum(newtons) * (1.0 + 1e-6), 0.0, rating).verdict == "exceeded"


def test_band_has_two_sides() -> None:
    """Near the floor of a band it says under, near the ceiling over, with the margin to it."""
    under, over = against(0.105, 0.004, 0.15, 0.10), against(0.146, 0.004, 0.15, 0.10)
    assert (under.side, over.side) == ("under", "over")
    assert (under.margin, over.margin) == pytest.approx((0.005, 0.004), abs=1e-5)
    assert against(0.09, 0.004, 0.15, 0.10).verdict == "exceeded"


def test_band_is_exceeded_on_one_side_alone() -> None:
    """A spread that leaves a narrow band on both sides, 45 % each, exceeds neither: weigh."""
    found = against(0.125, 0.2, 0.15, 0.10)
    assert found.chance == pytest.approx(0.9, abs=0.01)
    assert found.verdict == "cannot tell"
    assert found.likely_over


def test_a_band_left_by_either_side_says_both() -> None:
    """Spread wider than the band, nobody can tell: both chances are printed, not their
    sum; well to one side of it one number is enough."""
    wide = against(1010.0, 100.0, 1030.0, 970.0)
    assert wide.verdict == "cannot tell"
    assert wide.chance > SURE - 0.1
    assert wide.one_side < LIKELY
    assert odds(wide) == "42 % above, 34 % below"  # Phi(-0.2), Phi(-0.4)
    assert odds(against(1025.0, 5.0, 1030.0, 970.0)) == "16 %"
    assert doubt(wide) == "chance of not holding 42 % above, 34 % below"
    assert odds(against(1000.0, 10.0, 1000.0, 0.0)) == "50 %"


def test_no_balance_counts_as_over() -> None:
    """Draws that found no balance are not within: 10 % of NaN is a chance of 10 % at least."""
    value = drawn(900.0, 1.0)
    value[0, -POINTS // 10 :] = np.nan
    found = judge(at_most("gross weight", "x", "x", value, 1000.0, due="a label"), 0, 1, POINTS)
    assert found.chance == pytest.approx(0.1)
    assert found.verdict == "tight"


def test_each_stage_is_judged_by_its_own_row() -> None:
    """Stages are rows: a rating that holds for all, a load that grows."""
    value = np.concatenate([drawn(900.0, 5.0), drawn(1100.0, 5.0)])
    check = at_most("gross weight", "x", "x", value, 1000.0, due="a label")
    assert [judge(check, s, 2, POINTS).verdict for s in (0, 1)] == ["within", "exceeded"]


@pytest.mark.parametrize("tight", [0.025, 0.01, 0.033, 0.1])
def test_a_printed_chance_has_its_own_verdict(tight: float) -> None:
    """The number a person reads gives, by the table of verdicts, the verdict that stands beside it,
    and even chances alike: 79.7 % is not told as 80 % beside `cannot tell`."""
    for p in np.linspace(0.0012, 0.9948, 9937):
        told = float(chance(float(p), tight).removesuffix(" %")) / 100
        assert verdict(told + 1e-12, tight) == verdict(float(p), tight), p
        assert (told + 1e-12 >= LIKELY) == (p >= LIKELY)
        assert abs(told - p) <= (0.001 if p < 0.09 else 0.01) + 1e-12
    assert chance(0.797) == "79 %"
    assert chance(0.0249) == "2.4 %"
