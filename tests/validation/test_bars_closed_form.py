"""Spring bars: the closed form of one contact on a linear system, against the contact kernel.

Source: exact linear algebra (Sherman-Morrison): with K the stiffness of a rig without bars, u0 its
balance, c the opening of the hitch and k the bars' rate,
B = max(0, (preset + c.u0)/(1/k + c.K^-1 c)) and u = u0 - K^-1 c B. NumPy solves it here.
"""

import numpy as np
import pytest
from tests.rigs import one, plain, solved, values
from tests.springs import Case, draw, single

from steelyard.estimate import Array
from steelyard.statics.contact import settle


def closed_form(case: Case) -> tuple[float, Array]:
    """Bar moment and displacements of one case; its last spring is the bars."""
    a, k, g, f = case
    A, c = a[:-1], a[-1]
    K = A.T @ (k[:-1, None] * A)
    u0 = np.linalg.solve(K, f - A.T @ (k[:-1] * g[:-1]))
    free = np.linalg.solve(K, c)
    moment = max(0.0, (g[-1] + c @ u0) / (1 / k[-1] + c @ free))
    return moment, u0 - free * moment


def linear_cases() -> list[Case]:
    """Random rigs on which every spring but the bars stays pressed, with the bars and without."""
    found = []
    for case in draw(400, seed=3):
        a, k, g, _ = case
        moment, u = closed_form(case)
        loose = np.linalg.solve(a[:-1].T @ (k[:-1, None] * a[:-1]), a[-1]) * moment + u
        if min((a[:-1] @ u + g[:-1]).min(), (a[:-1] @ loose + g[:-1]).min()) > 0:
            found.append(case)
    return found


def test_kernel_is_the_closed_form() -> None:
    """`settle` and the closed form agree to 1e-9, on rigs whose bars pull and on rigs where not."""
    cases = linear_cases()
    pulling = 0
    for case in cases:
        moment, u = closed_form(case)
        found = settle(*single(case))
        scale = max(moment, 100.0)
        assert float(found.force[-1]) == pytest.approx(moment, abs=1e-9 * scale)
        assert np.array(found.u, dtype=float) == pytest.approx(u, abs=1e-9)
        pulling += moment > 0
    assert 50 < pulling < len(cases) - 20


def test_clipping_a_bars_on_solution_is_another_answer() -> None:
    """Solving with the bars in, then clipping a pulling-in moment at zero, leaves wrong loads."""
    a, k, g, f = next(c for c in linear_cases() if closed_form(c)[0] == 0)
    K = a.T @ (k[:, None] * a)
    clipped = np.linalg.solve(K, f - a.T @ (k * g))
    assert a[-1] @ clipped + g[-1] < 0
    right = settle(*single((a, k, g, f)))
    assert abs(k[0] * (a[0] @ clipped + g[0]) - float(right.force[0])) > 1.0


def test_whole_rig_is_the_closed_form() -> None:
    """`loads` of a rig with bars: the same from its bars-off balance and its springs."""
    bars = {"arm": 0.7, "tip_rate": 90e3, "preset": 0.05}
    rig = plain(axles=(4.6, 5.5), suspension="independent", bars=bars, coupler=0.6)
    found = solved(rig)
    link = found.balance.link
    a = np.array([[float(np.ravel(x)[0]) for x in d] for d in link.springs.direction])
    k = np.array([float(np.ravel(x)[0]) for x in link.springs.rate])
    c = np.array([float(x) for x in link.bar])
    u0 = np.array([one(x) for x in found.balance.off.u])
    free = np.linalg.solve(a.T @ (k[:, None] * a), c)
    moment = (0.05 + c @ u0) / (1 / (90e3 * 0.7**2) + c @ free)
    assert one(found.bar_moment) == pytest.approx(moment, rel=1e-9)
    assert [one(x) for x in found.balance.driven.u] == pytest.approx(u0 - free * moment, abs=1e-12)
    assert values(rig)["hitch.bars.preset"] == pytest.approx(0.05)
