"""The contact kernel: where springs that can only push come to rest."""

import os
from typing import Any

import numpy as np
import pytest
from scipy.optimize import minimize, nnls
from tests.springs import Case, absurd, batch, draw

from steelyard.estimate import Array
from steelyard.statics import contact
from steelyard.statics.contact import Springs, energy, settle, solve, solve_symmetric

CASES = 10000 if os.environ.get("STEELYARD_STUDY") == "1" else 1000


def brute(case: Case) -> tuple[Array, float]:
    """Displacements of least energy by a general minimiser, and that energy."""
    a, k, g, f = case

    def cost(x: Array) -> tuple[float, Array]:
        pressed = np.maximum(a @ (x * 0.01) + g, 0.0)
        value = 0.5 * np.sum(k * pressed**2) - f @ x * 0.01
        return value, (a.T @ (k * pressed) - f) * 0.01

    options = {"gtol": 1e-9, "maxiter": 3000}
    found = minimize(cost, np.zeros(3), jac=True, method="BFGS", options=options)
    return found.x * 0.01, float(found.fun)


def test_equals_brute_force_minimisation() -> None:
    """On 1,000 random rigs the balance is the minimum of spring energy less work of the weights.

    Bars hang slack in many, an axle lifts in many, and both at once in some.
    """
    cases = draw(CASES, seed=0)
    found = settle(*batch(cases))
    slack = np.logical_not(found.touching[4])
    lifted = np.logical_not(np.logical_and(found.touching[2], found.touching[3]))
    assert slack.mean() > 0.04
    assert lifted.mean() > 0.04
    assert (slack & lifted).sum() >= 5
    for number, case in enumerate(cases):
        u, least = brute(case)
        settled = np.array([x[number] for x in found.u])
        a, k, g, f = case
        ours = 0.5 * np.sum(k * np.maximum(a @ settled + g, 0.0) ** 2) - f @ settled
        assert ours <= least + 1e-9 * abs(least)
        assert settled == pytest.approx(u, abs=2e-6)


def test_finds_every_balance_there_is() -> None:
    """Of absurd rigs just those find no balance that have none. By Farkas' lemma the energy is
    bounded below, and its minimum taken, exactly where the weights are a sum of the springs'
    directions with no negative force; SciPy's non-negative least squares says whether they are."""
    cases = absurd(CASES, seed=0)
    found = np.isfinite(settle(*batch(cases)).u[0])
    there = [nnls(a.T, f / np.abs(f).max())[1] < 1e-9 for a, _, _, f in cases]
    assert 0.02 < 1 - np.mean(there) < 0.5
    assert found.tolist() == there


def test_forces_balance_and_never_pull() -> None:
    """No spring pulls, and forces times directions are the weights, to 1e-9."""
    springs, load = batch(draw(2000, seed=5))
    found = settle(springs, load)
    assert min(float(np.min(force)) for force in found.force) >= 0
    for p in range(3):
        pressed = sum(n * a[p] for n, a in zip(found.force, springs.direction, strict=True))
        assert np.max(np.abs(pressed - load[p])) < 1e-9 * np.max(np.abs(load[p]))


def test_batch_is_each_alone() -> None:
    """A case settles the same alone as among others."""
    cases = draw(40, seed=7)
    together = settle(*batch(cases))
    for number, case in enumerate(cases):
        alone = settle(*batch([case]))
        assert [float(x) for x in alone.u] == pytest.approx(
            [x[number] for x in together.u], abs=1e-12
        )


def test_no_balance_is_nan() -> None:
    """A trailer whose weight lies so far behind its axle that it lifts the vehicle's rear axle
    right off finds no balance: its answer is NaN, not a number."""
    one = np.asarray(1.0)
    springs = Springs(
        direction=(
            (one, 0 * one, 0 * one),
            (0 * one, one, 0 * one),
            (-0.4 * one, 1.4 * one, -5 * one),
        ),
        rate=(8e4 * one, 8e4 * one, 2e5 * one),
        offset=(0.15 * one, 0.15 * one, 0.05 * one),
    )
    assert np.isnan(settle(springs, (-5e5 * one, -5e5 * one, -1e5 * one)).u[0])


def test_rounding_does_not_balance_a_rig_that_tips() -> None:
    """A stone so far behind the axle that the rear wheels leave the ground: two springs are left
    for three weights. Their exact matrix is singular (front and axle alone cannot balance moments),
    yet rounding lets it be solved, into metres by the trillion. No force is then known, also not
    that of the wheels in the air: 0 would pass for a light load. Weights of a case that was met.
    """
    lever, station = 0.4521730212062165, 2.6013390332708375
    rows = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (-lever, 1.0 + lever, -station))
    f = (4958.022901929263, 20134.500943016083, -36885.18523585744)
    axle = -f[2] / station
    assert f[1] - (1.0 + lever) * axle < 0  # moments about the ball leave the rear wheels a pull
    whole = [tuple(np.full(1, x) for x in row) for row in rows]
    springs = Springs(
        direction=tuple((a, b, c) for a, b, c in whole),
        rate=tuple(
            np.full(1, k) for k in (36239.80997781238, 46820.074921938096, 207184.1302742857)
        ),
        offset=tuple(np.full(1, g) for g in (0.2531975619023985, 0.11139197497654174, -0.01979057)),
    )
    found = settle(springs, tuple(np.full(1, x) for x in f))  # type: ignore[arg-type]
    assert all(np.isnan(x).all() for x in (*found.u, *found.force))


def test_one_rig_alone_settles_as_among_others() -> None:
    """Springs and weights without an axis, in which a spring hangs free: the same balance."""
    springs, load = batch(draw(200, seed=3))
    whole = settle(springs, load)
    hangs = np.flatnonzero(~np.logical_and.reduce(whole.touching) & np.isfinite(whole.u[0]))
    for at in hangs[:5]:
        one = Springs(
            direction=tuple((x[at], y[at], z[at]) for x, y, z in springs.direction),
            rate=tuple(np.asarray(k)[..., at] for k in springs.rate),
            offset=tuple(np.asarray(g)[..., at] for g in springs.offset),
        )
        found = settle(one, tuple(f[at] for f in load))
        assert np.allclose([float(np.squeeze(x)) for x in found.u], [x[at] for x in whole.u])


def test_energy_is_least_at_the_balance() -> None:
    """Any step away from the balance costs energy."""
    springs, load = batch(draw(200, seed=9))
    u = settle(springs, load).u
    rest = energy(springs, load, u)
    for p in range(3):
        for step in (-1e-3, 1e-3):
            moved = tuple(x + step * (i == p) for i, x in enumerate(u))
            assert np.all(energy(springs, load, (moved[0], moved[1], moved[2])) > rest)


def test_solve_symmetric_is_numpys() -> None:
    """The eliminated 3 by 3 is `numpy.linalg.solve` on random positive definite matrices."""
    rng = np.random.default_rng(1)
    root = rng.normal(size=(100, 3, 3))
    matrix = root @ root.transpose(0, 2, 1) + np.eye(3)
    right = rng.normal(size=(100, 3))
    upper = [matrix[:, p, q] for p, q in ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2))]
    found = solve_symmetric(upper, (right[:, 0], right[:, 1], right[:, 2]))
    expected = np.linalg.solve(matrix, right[..., None])[..., 0]
    assert np.stack(found, axis=-1) == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_weights_that_are_no_numbers_are_not_turned_over(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of rigs that tipped already none is sought any further: their neighbours settle as without
    them, and all of them together cost as many turns as one that stands."""
    springs, load = batch(draw(60, seed=3))
    known = settle(springs, load)
    turns = []

    def counted(*args: Any) -> Any:
        turns.append(1)
        return solve(*args)

    monkeypatch.setattr(contact, "solve", counted)
    lost = np.arange(60) % 2 == 0
    half = settle(springs, (np.where(lost, np.nan, load[0]), *load[1:]))
    for due, found in zip(known.u, half.u, strict=True):
        assert np.isnan(found[lost]).all()
        assert found[~lost] == pytest.approx(due[~lost])
    turns.clear()
    assert np.isnan(settle(springs, (load[0] * np.nan, *load[1:])).u[0]).all()
    assert len(turns) <= 3
