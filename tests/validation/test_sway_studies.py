"""Directions that published parameter studies found; sizes are computed, for regression.

Sources: Darling, Tilley & Gao, Proc IMechE D 223 (2009) 471-484; Collins & Wong, ASME J. Dyn. Sys.
96 (1974) 236; Bevan, Smith & Ashley, IMechE C132/83; Klein & Szostak, DOT HS-803 248 (1977); Sharp
& Fernandez, Proc IMechE C (2002), all by their abstracts.
"""

import numpy as np
import pytest
from tests.combinations import lagging, minivan
from tests.rigs import plain, solved, values

from steelyard.swaying.linear.closed_forms import critical_speeds, understeer
from steelyard.swaying.linear.friction import growing_amplitude
from steelyard.swaying.linear.modes import oscillation
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.linear.search import settled

pytestmark = pytest.mark.seen

SHARES = (0.0, 0.02, 0.04, 0.06, 0.08, 0.10, 0.12, 0.15)


def _ratio(c: object, speed: float = 25.0) -> float:
    return float(oscillation(c, speed).ratio)  # type: ignore[arg-type]


def _first(share: float) -> float:
    found = critical_speeds(minivan(3.0 * (1 - share)))
    return 3.6 * min(float(found.oscillatory), float(found.divergent))


def test_nose_weight_damps() -> None:
    """RULE-1: more nose weight, more damping (Darling; Collins & Wong)."""
    found = [_ratio(minivan(3.0 * (1 - share))) for share in SHARES]
    want = [-0.196, -0.151, -0.097, -0.034, 0.035, 0.101, 0.155, 0.204]
    assert found == pytest.approx(want, abs=1e-3)
    assert found == sorted(found)


def test_nose_weight_has_an_optimum() -> None:
    """RULE-1: it wags below and folds above it (Klein & Szostak), so one share is best."""
    found = [_first(share) for share in SHARES]
    want = [57.5, 62.1, 68.8, 79.9, 111.1, 133.1, 111.7, 93.1]
    assert found == pytest.approx(want, abs=0.1)
    kinds = [np.isfinite(critical_speeds(minivan(3.0 * (1 - s))).oscillatory) for s in SHARES]
    assert kinds == [True] * 5 + [False] * 3


def test_yaw_inertia_of_the_trailer_rules() -> None:
    """RULE-2: the dominant factor (Darling)."""
    found = [_ratio(minivan(I2=I2)) for I2 in (1500.0, 3000.0, 4500.0, 6000.0)]
    assert found == pytest.approx([0.243, 0.101, -0.029, -0.150], abs=1e-3)
    speeds = [3.6 * float(critical_speeds(minivan(I2=I2)).oscillatory) for I2 in (4500.0, 6000.0)]
    assert speeds == pytest.approx([77.2, 56.1], abs=0.1)


def test_a_long_drawbar_helps() -> None:
    """RULE-3 (Bevan)."""
    lengths = (2.5, 3.0, 3.5, 4.0, 5.0)
    found = [_ratio(minivan(0.9 * L, stations=(L,))) for L in lengths]
    assert found == pytest.approx([-0.002, 0.101, 0.187, 0.259, 0.373], abs=1e-3)


def test_damping_falls_with_speed() -> None:
    """RULE-4 (all)."""
    found = [_ratio(minivan(), u) for u in (10.0, 15.0, 20.0, 25.0, 30.0, 35.0)]
    assert found == pytest.approx([0.4252, 0.2328, 0.1456, 0.1014, 0.0772, 0.0629], abs=1e-4)


def test_mass_alone_is_not_dramatic() -> None:
    """RULE-5: where tyres grow with the load mass hardly matters (Darling); 5b: else it does."""
    masses = (1000.0, 1500.0, 2000.0, 2500.0)
    scaled = [_ratio(minivan(m2=m, I2=1.5 * m, stiffness=(40.0 * m,))) for m in masses]
    fixed = [_ratio(minivan(m2=m, I2=1.5 * m)) for m in masses]
    assert scaled == pytest.approx([0.116, 0.101, 0.101, 0.114], abs=1e-3)
    assert fixed == pytest.approx([0.266, 0.165, 0.101, 0.059], abs=1e-3)


def test_a_damper_at_the_coupling_helps() -> None:
    """RULE-6 (Bevan)."""
    found = [_ratio(minivan(damper=c), 30.0) for c in (0.0, 200.0, 500.0, 1000.0)]
    assert found == pytest.approx([0.0772, 0.0962, 0.1251, 0.1742], abs=1e-4)


def test_leaving_out_tyre_lag_flatters() -> None:
    """RULE-7: damping and critical speed with relaxation lengths of 0 to 0.7 m."""
    lags = (0.0, 0.3, 0.5, 0.7)
    damping = [_ratio(lagging(2.7, lag), 20.0) for lag in lags]
    speeds = [float(settled(lagging(2.9, lag)).oscillatory) for lag in lags]
    assert damping == pytest.approx([0.1456, 0.1200, 0.1020, 0.0837], abs=1e-4)
    assert speeds == pytest.approx([18.40, 17.13, 16.22, 15.24], abs=0.01)


def test_a_short_overhang_helps_against_folding() -> None:
    """RULE-8 (Bevan): overhang decides where it folds more than how it damps."""
    places = (1.8, 2.3, 2.7, 3.0)
    damping = [_ratio(minivan(d=d)) for d in places]
    assert damping == pytest.approx([0.104, 0.097, 0.101, 0.109], abs=1e-3)
    limits = [critical_speeds(minivan(d=d)) for d in places]
    folds = [3.6 * float(one.divergent) for one in limits[1:]]
    assert folds == pytest.approx([162.4, 133.1, 119.2], abs=0.1)
    assert 3.6 * float(limits[0].oscillatory) == pytest.approx(233.4, abs=0.1)


def test_levelling_bars_cost_understeer_and_damp_a_little() -> None:
    """WDH-1: more levelling torque, less understeer, slightly better damping (Klein & Szostak)."""
    found = []
    for share in (0.05, 0.5, 0.95):
        bars = {"arm": 0.7, "tip_rate": 40e3, "restoration": share}
        rig = plain(weight=3000.0, cg=4.45, axles=(4.7, 5.5), bars=bars)
        c = combination(rig, values(rig), solved(rig))
        found.append((float(understeer(c)[1][0, 0]), float(oscillation(c, 25.0).ratio[0, 0])))
    gradients, damping = zip(*found, strict=True)
    assert list(gradients) == sorted(gradients, reverse=True)
    assert list(damping) == sorted(damping)


def test_friction_holds_small_swings_only() -> None:
    """Above its critical speed a rig with dry friction calms small swings and loses large ones."""
    small, large = (growing_amplitude(minivan(2.9), 20.0, M) for M in (50.0, 200.0))
    assert 0 < small < large < np.inf
    assert large == pytest.approx(4 * small, rel=1e-9)
    assert np.isinf(growing_amplitude(minivan(2.9), 15.0, 50.0))
