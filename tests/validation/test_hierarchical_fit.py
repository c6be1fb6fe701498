"""The sampler that fits typical values against a textbook's analysis of variance.

Source: the dyestuff yields of Davies and Goldsmith, Statistical Methods in Research and Production
(1972), six batches of five; restricted maximum likelihood as the handbook of the R package lme4
prints it (both from memory; the sums of squares below are worked out here).
"""

import numpy as np
import pytest
from tools.hierarchy import fit, sample

YIELDS = (
    (1545, 1440, 1440, 1520, 1580),
    (1540, 1555, 1490, 1560, 1495),
    (1595, 1550, 1605, 1510, 1560),
    (1445, 1440, 1595, 1465, 1545),
    (1595, 1630, 1515, 1635, 1625),
    (1520, 1455, 1450, 1480, 1445),
)
MEAN, BETWEEN, WITHIN = 1527.5, 42.00, 49.51


def test_yields_are_those_of_the_book() -> None:
    """Their mean squares give the printed mean and standard deviations."""
    y = np.array(YIELDS, dtype=float)
    within = np.sum((y - y.mean(axis=1, keepdims=True)) ** 2) / 24
    between = (5 * np.sum((y.mean(axis=1) - y.mean()) ** 2) / 5 - within) / 5
    assert (y.mean(), between**0.5, within**0.5) == pytest.approx((MEAN, BETWEEN, WITHIN), abs=0.01)


def test_makers_as_batches() -> None:
    """One style, six makers: means and both scatters near restricted maximum likelihood.

    A scatter with tails is told as a normal's: t_v has variance v/(v - 2). Six batches say little
    about the scatter between them, so its posterior median is held to 35 %.
    """
    y = np.array(YIELDS, dtype=float).ravel()
    batch = np.repeat(np.arange(6), 5)
    draws = sample(y, np.zeros(30, dtype=np.intp), batch, alone=np.array([True]))
    within = draws.within[:, 0] * np.sqrt(draws.tail / (draws.tail - 2))
    assert np.median(draws.mean) == pytest.approx(MEAN, abs=4.0)
    assert np.median(within) == pytest.approx(WITHIN, rel=0.12)
    assert np.median(draws.between) == pytest.approx(BETWEEN, rel=0.35)


def test_few_rows_are_told_wide() -> None:
    """A style of two rows has a wider interval than one of twenty with the same scatter, and one
    maker's rows alone a wider one than many makers'."""
    rng = np.random.default_rng(1)
    y = rng.normal(0.12, 0.015, 42)
    style = ["many"] * 20 + ["few"] * 2 + ["other"] * 20
    found = fit(list(y), style, [f"maker {n % 6}" for n in range(42)], alone=())
    assert found["few"].half_width > 1.1 * found["many"].half_width
    assert found["few"].mean_half_width > 1.5 * found["many"].mean_half_width
    assert (found["few"].rows, found["many"].makers) == (2, 6)


def test_makers_that_differ_widen_the_band() -> None:
    """Where makers differ by twice what their own rows scatter, the interval for a maker nobody has
    asked is wider than four times the rows' own sd, as it must be to hold 95 %."""
    rng = np.random.default_rng(2)
    own = np.repeat(rng.normal(0.0, 0.02, 8), 6)
    y = 0.19 + own + rng.normal(0.0, 0.01, 48)
    makers = [f"maker {n // 6}" for n in range(48)]
    (found,) = fit(list(y), ["one"] * 48, makers, alone={"one"}).values()
    assert found.half_width > 0.04
