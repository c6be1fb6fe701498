"""Uncertainty, least squares and data reconciliation against published examples.

Sources: JCGM 100:2008 (GUM) sections 4.3.7, 5.1.2 and example H.1; NIST/ITL StRD, Norris data set;
S. Narasimhan & C. Jordache, Data Reconciliation and Gross Error Detection (2000), chapters 1 and 7;
VDI 2048-1, steam circuit example; how-to pages on weighing a tongue with a beam.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import cast

import numpy as np
import pytest
from scipy.stats import chi2

from steelyard.estimate import (
    Array,
    Estimate,
    Reading,
    Values,
    condition,
    draws,
    linearise,
    propagate,
    unread,
)
from steelyard.quantity import Z95, Scale
from steelyard.rig import Rig
from steelyard.statics import lever
from steelyard.statics.linkage import group_station
from steelyard.statics.prior import prior
from steelyard.typical import fill

pytestmark = pytest.mark.seen


def normal(means: dict[str, float], cov: Array) -> Estimate:
    """A belief on linear scales."""
    return Estimate(
        names=tuple(means),
        scales=cast("tuple[Scale, ...]", ("linear",) * len(means)),
        mean=np.array(list(means.values())),
        cov=cov,
        constants={},
    )


class TestTickets:
    """A platform scale with graduation d = 20 lb (ME-3), and a beam (ME-4)."""

    @pytest.mark.parametrize(
        ("answer", "expected"),
        [
            (lambda v: v["a"], 5.774),
            (lambda v: v["a"] - v["b"], 8.165),
            (lambda v: v["a"] - (v["b"] - v["c"]), 10.0),
        ],
    )
    def test_rounding(self, answer: Callable[[Values], Array], expected: float) -> None:
        """One ticket carries d/sqrt(12) = 5.77 lb; two 8.17; tongue weight from three 10.0 lb."""
        tickets = normal({"a": 1e4, "b": 9e3, "c": 5e3}, np.eye(3) * 20**2 / 12)
        assert propagate(tickets, answer).sd == pytest.approx(expected, abs=0.001)

    @pytest.mark.parametrize(("beyond", "times"), [(2, 3), (3, 4)])
    def test_beam(self, beyond: float, times: float) -> None:
        """Jack 1 ft from the support and the scale so far beyond: reading x 3 at 2 ft, x 4 at 3 ft
        (one page says three at 3 to 4 ft; it errs)."""
        _, reading = lever.axle_loads(900, 900 * 1, 1 + beyond)
        assert 900 / reading == pytest.approx(times)


class TestEndGauge:
    """GUM H.1 (ME-5): length of a gauge against a standard, in nm, 1/K and K."""

    NAMES = ("ls", "d", "as", "t", "da", "dt")
    MEANS = (50000623.0, 215.0, 11.5e-6, -0.1, 0.0, 0.0)
    UNCERTAINTIES = (25.0, 9.7, 1.2e-6, 0.41, 0.58e-6, 0.029)

    def _gauge(self) -> Estimate:
        means = dict(zip(self.NAMES, self.MEANS, strict=True))
        return normal(means, np.diag(np.square(self.UNCERTAINTIES)))

    @staticmethod
    def _length(v: Values) -> Array:
        return v["ls"] + v["d"] - v["ls"] * (v["da"] * v["t"] + v["as"] * v["dt"])

    def test_linear(self) -> None:
        """l = 50.000838 mm, u_c = 32 nm; parts 25, 9.7, 2.9 and 16.6 nm, none of as and t."""
        linear = propagate(self._gauge(), self._length)
        assert linear.mean == pytest.approx(50000838, abs=0.5)
        assert linear.sd == pytest.approx(31.71, abs=0.01)
        assert linear.sd == pytest.approx(32, abs=0.5)
        parts = np.abs(linear.gradient * self.UNCERTAINTIES)
        assert parts == pytest.approx([25, 9.7, 0, 0, 2.9, 16.6], abs=0.1)

    def test_draws_see_the_second_order(self) -> None:
        """Draws give 34 nm: the product of da and t, which a linear step cannot see."""
        gauge = self._gauge()
        length = self._length(gauge.values(draws(gauge, 32768, seed=1)))
        assert np.std(length) == pytest.approx(34, abs=0.5)


class TestNorris:
    """NIST StRD Norris (ME-6): certified straight line, through `condition` with a vague prior.

    The prior is 1e4 times wider than the certified spreads: it pulls by 1e-8 of the distance to it,
    which is 2,300 spreads away. A wider one pulls less, but costs digits in the 36 x 36 gain.
    """

    Y = (
        0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3,
        0.1, 778.1, 668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3,
        0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
    )  # fmt: skip
    X = (
        0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4,
        0.6, 775.5, 666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3,
        0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
    )  # fmt: skip
    BETA = np.array([-0.262323073774029, 1.00211681802045])
    SPREAD = np.array([0.232818234301152, 0.429796848199937e-3])
    RESIDUAL = 0.884796396144373

    def test_certified(self) -> None:
        """Both coefficients to 3e-5 of their spread (the slope to 1e-8), both spreads to 1e-7."""
        vague = normal({"b0": 0.0, "b1": 0.0}, np.diag(np.square(1e4 * self.SPREAD)))
        readings = [
            Reading(
                name=str(x),
                predict=lambda v, x=x: v["b0"] + v["b1"] * x,  # type: ignore[misc]
                value=y,
                sd=self.RESIDUAL,
            )
            for x, y in zip(self.X, self.Y, strict=True)
        ]
        found = condition(vague, readings)
        assert (found.mean - self.BETA) / self.SPREAD == pytest.approx([0, 0], abs=3e-5)
        assert found.mean[1] == pytest.approx(self.BETA[1], rel=1.1e-8)
        assert found.sd == pytest.approx(self.SPREAD, rel=1e-7)


def reconciled(
    y: Sequence[float], cov: Array, balances: Array, tiny: float
) -> tuple[Estimate, float]:
    """Measurements as the prior, balances as readings of zero: posterior and chi-square."""
    believed = normal({str(i): value for i, value in enumerate(y)}, cov)
    readings = [
        Reading(
            name=f"balance {row}",
            predict=lambda v, row=row: sum(  # type: ignore[misc]
                a * v[str(i)] for i, a in enumerate(row)
            ),
            value=0.0,
            sd=tiny,
        )
        for row in balances
    ]
    off, slope = linearise(believed, readings, believed.mean)
    gamma = off @ np.linalg.solve(slope @ cov @ slope.T, off)
    return condition(believed, readings), float(gamma)


class TestBypassFromMemory:
    """Narasimhan & Jordache, heat exchanger with bypass (DR-1, DR-2): data read, answers from
    memory and recomputed."""

    A = np.array(
        [[1, -1, -1, 0, 0, 0], [0, 1, 0, -1, 0, 0], [0, 0, 1, 0, -1, 0], [0, 0, 0, 1, 1, -1]],
        dtype=float,
    )
    Y = (101.91, 64.45, 34.65, 64.20, 36.44, 98.88)

    def test_without_gross_error_from_memory(self) -> None:
        """DR-1: 100.22, 64.50, 35.72 and so on; chi-square 6.4075 is below 9.488."""
        found, gamma = reconciled(self.Y, np.eye(6), self.A, 1e-6)
        expected = [100.22, 64.50, 35.72, 64.50, 35.72, 100.22]
        assert found.mean == pytest.approx(expected, abs=0.005)
        assert gamma == pytest.approx(6.4075, abs=1e-4)
        assert gamma < chi2.ppf(0.95, 4)

    def test_with_gross_error_from_memory(self) -> None:
        """DR-2: 4 more on stream 2; chi-square 16.674 is above 9.488."""
        y = np.array(self.Y) + 4 * np.eye(6)[1]
        found, gamma = reconciled(list(y), np.eye(6), self.A, 1e-6)
        expected = [100.887, 65.833, 35.053, 65.833, 35.053, 100.887]
        assert found.mean == pytest.approx(expected, abs=0.005)
        assert gamma == pytest.approx(16.674, abs=1e-3)
        assert gamma > chi2.ppf(0.95, 4)


class TestSteamCircuit:
    """VDI 2048-1 (DR-3): eleven correlated measurements, three balances; kg/s."""

    Y = (46.241, 45.668, 44.575, 44.319, 0.525, 69.978, 10.364, 3.744, 4.391, 18.498, 2.092)
    HALF = (0.800, 0.790, 0.535, 0.532, 0.105, 0.854, 0.168, 0.058, 0.058, 0.205, 0.272)
    A = np.array(
        [
            [1, 1, -1, -1, 0.4, 0, 0, 0, 0, 0, 0],
            [0, 0, 1, 1, -1, -1, -1, -1, -1, 0, 0],
            [0, 0, 0, 0, 0, 0, 1, 1, 1, -1, 0],
        ]
    )
    VALUES = (
        44.964489, 44.417972, 44.925904, 44.667096, 0.526348, 70.553061, 10.375783, 3.745404,
        4.392404, 18.513592, 2.092,
    )  # fmt: skip
    HALVES = (
        0.575627, 0.572818, 0.404463, 0.402919, 0.104623, 0.559873, 0.133003, 0.056695,
        0.056695, 0.137103, 0.272,
    )  # fmt: skip

    def _cov(self) -> Array:
        sd = np.array(self.HALF) / 1.96
        correlation = np.eye(11)
        for i, j, rho in ((0, 1, 0.2), (2, 3, 0.4)):
            correlation[i, j] = correlation[j, i] = rho
        return np.asarray(correlation * np.outer(sd, sd))

    def test_reconciled(self) -> None:
        """Values and 95 % half-widths to 1e-6, the common flow 89.277192."""
        found, _ = reconciled(self.Y, self._cov(), self.A, 1e-9)
        assert found.mean == pytest.approx(self.VALUES, abs=1e-6)
        assert 1.96 * found.sd == pytest.approx(self.HALVES, abs=1e-6)
        condensate = found.mean[2] + found.mean[3] - 0.4 * found.mean[4]
        assert found.mean[0] + found.mean[1] == pytest.approx(condensate, abs=1e-7)

    def test_gross_error_computed(self) -> None:
        """The example holds a gross error: chi-square 20.31 of three balances, above 7.815."""
        _, gamma = reconciled(self.Y, self._cov(), self.A, 1e-9)
        assert gamma == pytest.approx(20.31, abs=0.01)
        assert gamma > chi2.ppf(0.95, 3)


def test_chi_square_quantiles_from_memory() -> None:
    """DR-8: the 95 % points for 1 to 4 degrees are 3.841, 5.991, 7.815 and 9.488."""
    assert chi2.ppf(0.95, [1, 2, 3, 4]) == pytest.approx([3.841, 5.991, 7.815, 9.488], abs=5e-4)


class TestTongueSticker:
    """A stated tongue weight read on a typical prior, against the delta method (GUM 5.1.2).

    Empty weight W, tongue weight T and axle place S are stated with a spread; the centre of gravity
    then is S (1 - T/W), and its derivatives by S, T and W are 1 - T/W, -S/W and S T/W^2.
    """

    W, T, S = 3000.0, 360.0, 5.1
    SD_W, SD_T, SD_S = 30.0, 15.0, 0.01

    def _rig(self) -> Rig:
        return Rig.model_validate(
            {
                "vehicle": {"class": "half-ton-crew-cab"},
                "trailer": {
                    "style": "rear-living",
                    "empty": {
                        "weight": f"{self.W} kg +- {Z95 * self.SD_W} kg",
                        "tongue_weight": f"{self.T} kg +- {Z95 * self.SD_T} kg",
                    },
                    "axles": {"count": 2, "station": f"{self.S} m +- {Z95 * self.SD_S} m"},
                },
            }
        )

    def _expected(self) -> tuple[float, float]:
        share = self.T / self.W
        parts = (
            (1 - share) * self.SD_S,
            self.S / self.W * self.SD_T,
            self.S * share / self.W * self.SD_W,
        )
        return self.S * (1 - share), float(np.linalg.norm(parts))

    def _centre(self, found: Estimate) -> tuple[float, float]:
        place = found.index["trailer.empty.cg"]  # held on a log scale
        centre = float(np.exp(found.mean[place]))
        return centre, centre * float(found.sd[place])

    def test_posterior_computed(self) -> None:
        """Mean and sd of the centre of gravity are those of the delta method, to 1 %."""
        found = self._centre(prior(self._rig()).estimate)
        mean, sd = self._expected()
        assert found[0] == pytest.approx(mean, abs=0.01 * sd)
        assert found[1] == pytest.approx(sd, rel=0.01)

    def test_a_wider_prior_hardly_matters_computed(self) -> None:
        """With a typical spread of the centre twice as wide, it moves by under 1 % of its sd."""
        rig = self._rig()
        narrow = unread(fill(rig))
        wide = replace(narrow, cov=self._widened(narrow))
        sticker = Reading(
            name="tongue",
            predict=lambda v: lever.tongue_weight(
                v["trailer.empty.weight"],
                v["trailer.empty.weight"] * v["trailer.empty.cg"],
                group_station(rig, v),
            ),
            value=self.T,
            sd=self.SD_T,
        )
        a, b = (self._centre(condition(belief, [sticker])) for belief in (narrow, wide))
        assert self._centre(prior(rig).estimate) == pytest.approx(a, rel=1e-4)
        assert abs(a[0] - b[0]) < 0.01 * a[1]
        assert b[1] == pytest.approx(a[1], rel=0.01)

    @staticmethod
    def _widened(belief: Estimate) -> Array:
        cov = belief.cov.copy()
        place = belief.index["trailer.empty.cg"]
        cov[place, place] *= 4
        return cov
