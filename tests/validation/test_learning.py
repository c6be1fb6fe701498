"""Learning from one's own rigs against published worked examples of the same model.

Sources: eight schools (Rubin 1981; Gelman et al., Bayesian Data Analysis, chapter 5), eighteen
batting averages (Efron and Morris, Scientific American 1977), thirteen trials of the BCG vaccine
(the test file of the R package metafor; rows 11 to 13 from memory), Hachemeister's five states
(output of the R package actuar for Buehlmann and Gisler's hierarchical estimator, 2005).
"""

import numpy as np
import pytest

from steelyard.learning.three_levels import Array, mean_of, sums

FLAT = np.array(1e12)
"""Variance of a mean of which nothing is known before."""
SCHOOLS = (
    np.array([28.0, 8.0, -3.0, 7.0, -1.0, 1.0, 18.0, 12.0]),
    np.array([15.0, 10.0, 16.0, 11.0, 9.0, 11.0, 10.0, 18.0]),
)
TRIALS = np.array(
    [
        [4, 119, 11, 128],
        [6, 300, 29, 274],
        [3, 228, 11, 209],
        [62, 13536, 248, 12619],
        [33, 5036, 47, 5761],
        [180, 1361, 372, 1079],
        [8, 2537, 10, 619],
        [505, 87886, 499, 87892],
        [29, 7470, 45, 7232],
        [17, 1699, 65, 1600],
        [186, 50448, 141, 27197],
        [5, 2493, 3, 2338],
        [27, 16886, 29, 17825],
    ],
    dtype=float,
)
"""Ill and well of the vaccinated, ill and well of the others."""
BATTING = np.array(
    [
        [0.400, 0.346],
        [0.378, 0.298],
        [0.356, 0.276],
        [0.333, 0.222],
        [0.311, 0.273],
        [0.311, 0.270],
        [0.289, 0.263],
        [0.267, 0.210],
        [0.244, 0.269],
        [0.244, 0.230],
        [0.222, 0.264],
        [0.222, 0.256],
        [0.222, 0.303],
        [0.222, 0.264],
        [0.222, 0.226],
        [0.200, 0.286],
        [0.178, 0.316],
        [0.156, 0.200],
    ]
)
"""Average after 45 at bats, and of the rest of the season."""


def pooled(y: Array, s: Array, tau: float) -> tuple[float, float]:
    """The mean and its variance at one tau, with nothing known of it before."""
    mean, variance, _ = mean_of(sums(y, s, np.array([tau])), np.zeros(1), FLAT)
    return float(mean[0]), float(variance[0])


def shrunk(y: Array, s: Array, tau: Array, mean: Array) -> Array:
    """What each of y (n,) is, given its group's mean, (n, T): the normal theory's formula."""
    B = s[:, None] ** 2 / (s[:, None] ** 2 + tau**2)
    return np.asarray(mean + (1.0 - B) * (y[:, None] - mean))


def likeliest(y: Array, s: Array, tau: Array) -> float:
    """The tau of the greatest likelihood with the mean integrated out: the REML estimate."""
    return float(tau[np.argmax(mean_of(sums(y, s, tau), np.zeros(1), FLAT)[2])])


def test_eight_schools_pooled() -> None:
    """Without scatter between schools the mean is 7.69 with variance 16.58; REML finds none."""
    mean, variance = pooled(*SCHOOLS, 0.0)
    assert mean == pytest.approx(7.69, abs=0.01)
    assert variance == pytest.approx(16.58, abs=0.01)
    assert likeliest(*SCHOOLS, np.linspace(0.0, 20.0, 2001)) == 0.0


def test_eight_schools_integrated_over_tau() -> None:
    """With a flat prior on tau the schools are drawn to the book's 11, 8, 6, 8, 5, 6, 11, 8."""
    y, s = SCHOOLS
    tau = (np.arange(400_000) + 0.5) / 400
    mean, _, log = mean_of(sums(y, s, tau), np.zeros(1), FLAT)
    weight = np.exp(log - log.max())
    weight /= weight.sum()
    found = shrunk(y, s, tau, mean) @ weight
    assert found == pytest.approx([11.40, 7.89, 6.13, 7.64, 5.13, 6.14, 10.67, 8.46], abs=0.02)
    assert tau[np.searchsorted(np.cumsum(weight), 0.5)] == pytest.approx(5.24, abs=0.02)
    assert tau @ weight == pytest.approx(6.57, abs=0.02)


def test_thirteen_trials() -> None:
    """Log relative risks: fixed, DerSimonian and Laird's and REML's, as metafor prints them."""
    ill, well, ill_other, well_other = TRIALS.T
    of, of_other = ill + well, ill_other + well_other
    y = np.log(ill / of / (ill_other / of_other))
    s = np.sqrt(1 / ill - 1 / of + 1 / ill_other - 1 / of_other)
    mean, variance = pooled(y, s, 0.0)
    ends = mean + np.array([-1.959964, 1.959964]) * np.sqrt(variance)
    assert [mean, *ends] == pytest.approx([-0.4303, -0.5097, -0.3509], abs=1e-4)
    assert mean / np.sqrt(variance) == pytest.approx(-10.6247, abs=1e-4)
    mean, variance = pooled(y, s, np.sqrt(0.3088))
    ends = mean + np.array([-1.959964, 1.959964]) * np.sqrt(variance)
    assert [mean, *ends] == pytest.approx([-0.7141, -1.0644, -0.3638], abs=1e-4)
    tau = likeliest(y, s, np.sqrt(np.linspace(0.25, 0.40, 15_001)))
    assert tau**2 == pytest.approx(0.3132, abs=1e-4)
    assert pooled(y, s, tau)[0] == pytest.approx(-0.7145, abs=1e-4)


def test_eighteen_batting_averages() -> None:
    """At James and Stein's shrinkage (0.212) the averages printed for Clemente and Alvis come out,
    nearer the season's for 16 of 18 players, and the squared errors are 3.5 times smaller."""
    y, season = BATTING.T
    variance = y.mean() * (1 - y.mean()) / 45
    c = 1 - (len(y) - 3) * variance / np.sum((y - y.mean()) ** 2)
    assert c == pytest.approx(0.2124, abs=0.0005)
    s, tau = np.full(len(y), np.sqrt(variance)), np.sqrt(variance * c / (1 - c))
    found = shrunk(y, s, np.array([tau]), np.array([pooled(y, s, tau)[0]]))[:, 0]
    assert found[[0, -1]] == pytest.approx([0.294, 0.242], abs=0.0005)
    before, after = np.abs(y - season), np.abs(found - season)
    assert np.sum(after < before) == 16
    assert np.sum(before**2) / np.sum(after**2) == pytest.approx(3.5, abs=0.05)


def test_credibility_of_five_states_in_two_cohorts() -> None:
    """States within cohorts, at actuar's components: credibilities and premiums to its digits."""
    w = np.array([100155.0, 19895.0, 13735.0, 4152.0, 36110.0])
    y = np.array([2060.921, 1511.224, 1805.843, 1352.976, 1599.829])
    s, tau, omega, centre = np.sqrt(139120026.0 / w), np.sqrt(13414.84), 87263.7, 1742.22
    z = 1.0 / (1.0 + s**2 / tau**2)
    printed = [0.9061701, 0.6573469, 0.5697845, 0.2858991, 0.7768832]
    assert z == pytest.approx(printed, rel=1e-6)
    premiums = np.zeros(5)
    for cohort, weight, premium in (
        ([0, 2], 0.9056702, 1941.675),
        ([1, 3, 4], 0.9179619, 1542.765),
    ):
        found = sums(y[cohort], s[cohort], np.array([tau]))
        mean, variance, _ = mean_of(found, np.array([centre]), np.array(omega))
        assert 1.0 - variance[0] / omega == pytest.approx(weight, rel=1e-6)
        assert mean[0] == pytest.approx(premium, rel=1e-6)
        premiums[cohort] = shrunk(y[cohort], s[cohort], np.array([tau]), mean)[:, 0]
    s2, whole = 139120026.0, np.sqrt(89638.7)
    middle, _ = pooled(y, np.sqrt(s2 / w), float(whole))
    assert middle == pytest.approx(1683.7, abs=0.06)
    one_level = shrunk(y, np.sqrt(s2 / w), np.array([whole]), np.array([middle]))[:, 0]
    assert one_level == pytest.approx([2055.2, 1523.7, 1793.4, 1443.0, 1603.3], abs=0.06)
    assert premiums == pytest.approx([2049.7, 1522.0, 1864.3, 1488.5, 1587.1], abs=0.06)
