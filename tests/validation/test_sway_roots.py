"""Roots followed by polynomials against eigenvalues of the state matrix by LAPACK.

Sources: numpy.linalg.eigvals (LAPACK's geev) of the state matrix, which is itself held to
python-control and SymPy in test_sway_independent.py; numpy.roots for the count of roots in a
sector.
"""

from dataclasses import replace

import numpy as np
import pytest
from tests.combinations import lagging, minivan
from tests.rigs import plain

from steelyard.swaying.linear.combination import Combination, flat, rebuilt, taken
from steelyard.swaying.linear.modes import oscillation, pieces
from steelyard.swaying.linear.roots import beyond, family, swung
from steelyard.swaying.linear.search import GRID, PAYS, across, limits, settled
from steelyard.swaying.stage_sway import glance, sway

RIGS = 200


def rigs(lag: float, damper: float = 0.0, seed: int = 0) -> Combination:
    """Rigs with every number within a fifth of a minivan's with a trailer, some unstable."""
    rng = np.random.default_rng(seed)
    c = lagging(2.75, lag or 0.5, m2=2000.0, stations=(2.6, 3.4), stiffness=(40e3, 40e3))
    parts = [np.asarray(x, dtype=float) * rng.uniform(0.8, 1.2, RIGS) for x in flat(c)]
    whole = rebuilt(c, parts)
    lags = np.full(RIGS, lag) * rng.uniform(0.8, 1.2, RIGS)
    return replace(
        whole, front_lag=lags, rear_lag=lags, trailer_lag=lags, damper=np.full(RIGS, damper)
    )


@pytest.mark.parametrize(("lag", "damper"), [(0.0, 0.0), (0.0, 900.0), (0.5, 0.0), (0.3, 900.0)])
def test_followed_roots_are_the_eigenvalues(lag: float, damper: float) -> None:
    """At 32 speeds and 200 rigs the least damped oscillation is LAPACK's: ratio and rate to
    1e-9, frequency; speeds between those of the grid too."""
    c = rigs(lag, damper)
    assert family(c) is not None
    assert RIGS >= PAYS
    for speeds in (GRID, GRID[:-1] + 0.7):
        found = across(c, speeds)
        want = [oscillation(c, u) for u in speeds]
        ratio = np.stack([one.ratio for one in want], axis=1)
        rate = np.stack([one.rate for one in want], axis=1)
        assert found.ratio == pytest.approx(ratio, abs=1e-9)
        assert found.rate == pytest.approx(rate, abs=1e-7, nan_ok=True)
        frequency = np.stack([one.frequency for one in want], axis=1)
        assert found.frequency == pytest.approx(frequency, abs=1e-6, nan_ok=True)


@pytest.mark.parametrize(("lag", "damper"), [(0.0, 900.0), (0.5, 0.0), (0.3, 900.0)])
def test_a_ratio_is_passed_where_the_eigenvalues_pass_it(lag: float, damper: float) -> None:
    """Where damping falls to a ratio, and where sway grows, the least damped of LAPACK's roots has
    that ratio to 1e-9, between the first speed of the grid below it and the one before; inf where
    none is."""
    c = rigs(lag, damper)
    ends, falls = limits(c, 0.1)
    on_grid = np.stack([oscillation(c, u).ratio for u in GRID], axis=1)
    for ratio, found in ((0.1, falls), (0.0, ends.oscillatory)):
        under = on_grid < ratio
        place = np.argmax(under, axis=1)
        assert np.array_equal(np.isfinite(found), under.any(axis=1))
        between = np.flatnonzero(np.isfinite(found) & (place > 0))
        assert between.size > 50
        speed, high = found[between], place[between]
        assert np.all((GRID[high - 1] < speed) & (speed <= GRID[high]))
        at = oscillation(taken(c, (between,)), speed).ratio
        assert at == pytest.approx(np.full(len(at), ratio), abs=1e-9)


@pytest.mark.parametrize("lag", [0.0, 0.5])
def test_the_polynomial_has_the_eigenvalues_for_roots(lag: float) -> None:
    """Every eigenvalue of the state matrix makes the polynomial vanish, relative to its terms, but
    for the slip of a second axle that no force feels."""
    c = rigs(lag, 500.0)
    polynomials = family(c)
    assert polynomials is not None
    speed = np.full(RIGS, 24.0)
    poly, rate = polynomials.at(speed), polynomials.rate(speed)
    roots = np.linalg.eigvals(pieces(c).at(24.0)).astype(complex) / rate[:, None]
    for k in range(RIGS):
        mine = np.roots(poly[:, k])
        for one in mine:
            near = float(np.min(np.abs(roots[k] - one)))
            # a double root is known to the square root of rounding only
            assert near < 1e-5 * max(1.0, float(np.max(np.abs(mine))))


def test_count_in_a_sector() -> None:
    """Sturm's count of the roots beyond a ray is the count of numpy.roots, wherever it is clear."""
    rng = np.random.default_rng(2)
    poly = np.concatenate([np.ones((1, 400)), rng.normal(size=(7, 400))])
    ratio = rng.uniform(-0.9, 0.9, 400)
    found, clear = beyond(poly, ratio)
    assert np.mean(clear) > 0.95
    turn = np.exp(1j * (np.arccos(-ratio) - np.pi / 2))
    want = [
        np.count_nonzero((np.roots(poly[:, k]) / turn[k]).real > 0) for k in range(poly.shape[1])
    ]
    assert np.array_equal(found[clear], np.array(want)[clear])


def test_another_root_is_never_taken_for_the_least_damped() -> None:
    """Started at every root in turn, only the least damped pair is called sure."""
    c = rigs(0.5, seed=4)
    polynomials = family(c)
    assert polynomials is not None
    for u in (12.0, 24.0, 40.0):
        poly = polynomials.at(np.full(RIGS, u))
        least = oscillation(c, u)
        every = np.array([np.roots(poly[:, k]) for k in range(RIGS)])
        for k in range(every.shape[1]):
            z, sure = swung(poly, every[:, k])
            ratio = -z.real / np.abs(z)
            assert ratio[sure] == pytest.approx(least.ratio[sure], abs=2e-7)


def test_a_swing_that_has_become_two_growing_roots_still_grows() -> None:
    """A swing that LAPACK finds growing at 6 m/s is by 8 m/s two real roots that grow: wagging
    starts there or lower, and is not called never."""
    c = lagging(
        5.53, 0.46, m1=3090, I1=6900, a=1.41, b=1.52, d=3.05, Cf=115e3, Cr=12e3,
        m2=6840, I2=22.5e3, stations=(4.9,), stiffness=(215e3,),
    )  # fmt: skip
    grown = np.linalg.eigvals(pieces(c).at(GRID[0]))
    assert oscillation(c, 6.0).rate > 0
    assert np.count_nonzero((grown.real > 0) & (grown.imag == 0)) == 2
    assert float(settled(c).oscillatory) == GRID[0]
    assert settled(c).again == np.inf


def test_tyres_that_lag_each_their_own_way() -> None:
    """Where lags differ from axle to axle the eigenvalues answer, and say what LAPACK says."""
    c = replace(rigs(0.5), front_lag=np.full(RIGS, 0.2))
    assert family(c) is None
    assert across(c, np.array([25.0])).ratio[:, 0] == pytest.approx(oscillation(c, 25.0).ratio)
    for axle in ("front_lag", "rear_lag", "trailer_lag"):
        alone = minivan(2.9, **{axle: 0.5})
        start = float(settled(alone).oscillatory)
        assert float(oscillation(alone, start).ratio) == pytest.approx(0.0, abs=1e-6)


def test_a_glance_is_the_answer() -> None:
    """The light call's best estimate is that of the whole answer, by the same eigenvalues."""
    whole, light = sway(plain(), samples=50)[0], glance(plain())
    assert float(light.at_damping.best) == pytest.approx(float(whole.at_damping.best), abs=1e-9)
    assert light.wagging.value == pytest.approx(whole.wagging.value, rel=1e-9)
    assert float(light.at_damping.best) == pytest.approx(
        float(oscillation(whole.combination, whole.chosen_speed).ratio), abs=1e-9
    )
