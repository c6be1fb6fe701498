"""Load transfer against free bodies put together by another hand and solved as one linear system.

Source: equilibrium of two rigid bodies in the plane about their own centres of gravity, six
equations in six unknowns (numpy.linalg.solve), and of bodies on springs, their arms as they then
stand (scipy.optimize.root); nothing of the kernels' algebra is used.
"""

import numpy as np
import pytest
from scipy.optimize import root
from tests.rigs import plain

from steelyard.braking.footing import Footing, rolling
from steelyard.estimate import Array
from steelyard.quantity import GRAVITY, POUND
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior

STIFF = 5e12
"""N/m: bodies that do not pitch, as free bodies on paper do not."""
M1, X1, Z1, L, H = 2600.0, 1.6, 0.7, 3.7, 1.45
M2, X2, ZB, S = 3000.0, 4.5, 0.55, 5.1

Point = tuple[float, float]


def torque(force: Point, at: Point, about: Point) -> float:
    """Moment, counter-clockwise with x forward and z up, of a force at a point about another."""
    x, z = at[0] - about[0], at[1] - about[1]
    return x * force[1] - z * force[0]


def by_matrix(slope: float, slowing: float, held: float, z2: float) -> Array:
    """Front, rear and trailer axle, ball down and push forward on the vehicle, vehicle's brakes."""
    front, rear, ball, axle = (0.0, 0.0), (-L, 0.0), (-L - H, ZB), (-L - H - S, 0.0)
    one, two = (-X1, Z1), (-L - H - X2, z2)
    # (unit force on the vehicle, where), (the same on the trailer), for each unknown
    vehicle: list[tuple[Point, Point]] = [
        ((0.0, 1.0), front),
        ((0.0, 1.0), rear),
        ((0.0, 0.0), front),
        ((0.0, -1.0), ball),
        ((1.0, 0.0), ball),
        ((-1.0, 0.0), front),
    ]
    trailer: list[tuple[Point, Point]] = [
        ((0.0, 0.0), axle),
        ((0.0, 0.0), axle),
        ((0.0, 1.0), axle),
        ((0.0, 1.0), ball),
        ((-1.0, 0.0), ball),
        ((0.0, 0.0), axle),
    ]
    rows = [[f[k] for f, _ in side] for side in (vehicle, trailer) for k in (0, 1)]
    rows += [
        [torque(f, p, centre) for f, p in side] for side, centre in ((vehicle, one), (trailer, two))
    ]
    # mass times acceleration less weight and the trailer's given brake force
    right = [
        -M1 * slowing + M1 * GRAVITY * np.sin(slope),
        M1 * GRAVITY * np.cos(slope),
        -M2 * slowing + M2 * GRAVITY * np.sin(slope) + held,
        M2 * GRAVITY * np.cos(slope),
        0.0,
        -torque((-held, 0.0), axle, two),
    ]
    return np.asarray(np.linalg.solve(np.array(rows), np.array(right)))


def library(slope: float, slowing: float, share: float, z2: float) -> tuple[Footing, float]:
    """The library's loads of a rig that hardly gives, and the trailer's brake force."""
    rig = plain(height=z2)
    v = dict(prior(rig).estimate.at_mean())
    v.update({name: np.asarray(STIFF) for name in v if name.endswith("rate")})
    along = slowing - GRAVITY * np.sin(slope)
    held = share * M2 * max(along, 0.0)
    return rolling(loads(rig, v), v).at(slope, along, held), held


CASES = [
    (0.0, 0.0, 0.0, 1.1),
    (0.0, 3.4, 0.0, 1.1),
    (0.0, 5.0, 0.8, 1.1),
    (0.0, 6.0, 1.0, 1.6),
    (0.06, 0.0, 0.0, 1.1),
    (-0.06, 0.0, 0.5, 1.1),
    (-0.12, 3.0, 0.7, 1.3),
    (0.30, -1.0, 0.0, 0.9),
]


class TestFreeBodies:
    """Every load, the push and the brake force of the vehicle, in eight cases."""

    @pytest.mark.parametrize(("slope", "slowing", "share", "z2"), CASES)
    def test_loads_and_push(self, slope: float, slowing: float, share: float, z2: float) -> None:
        """To 1e-9 of the rig's weight, braking, climbing, descending and pulling away."""
        found, held = library(slope, slowing, share, z2)
        front, rear, axle, ball, push, brakes = by_matrix(slope, slowing, held, z2)
        near = 1e-9 * (M1 + M2) * GRAVITY
        assert found.front.item() == pytest.approx(front, abs=near)
        assert found.rear.item() == pytest.approx(rear, abs=near)
        assert found.trailer_axles[0].item() == pytest.approx(axle, abs=near)
        assert found.tongue.item() == pytest.approx(ball, abs=near)
        assert found.push.item() == pytest.approx(push, abs=near)
        along = slowing - GRAVITY * np.sin(slope)
        assert M1 * along + found.push.item() == pytest.approx(brakes, abs=near)


KF, KR, KT = 75e3, 85e3, 200e3
"""N/m: the springs of an elastic rig."""


def deformed(slope: float, slowing: float, share: float, z2: float, hub: float) -> Array:
    """Front, rear and trailer axle of an elastic rig in equilibrium as it then stands: every arm is
    measured on the lowered and pitched bodies. The vehicle's pitch counts from the level, where the
    axle loads of a scale ticket already hold."""
    w1, w2, c = M1 * GRAVITY, M2 * GRAVITY, np.cos(slope)
    j = slowing - GRAVITY * np.sin(slope)
    held = share * M2 * max(j, 0.0)

    def forces(u: Array) -> tuple[float, float, float, float]:
        ball = u[0] + (u[1] - u[0]) * (L + H) / L
        own = KT * (ball - S * u[2])
        return w1 * (1 - X1 / L) + KF * u[0], w1 * X1 / L + KR * u[1], w2 * X2 / S + own, ball

    def left(u: Array, j: float, held: float, c: float, level: float | None) -> Array:
        front, rear, axle, fall = forces(u)
        lean = 0.0 if level is None else (u[1] - u[0]) / L - level
        sunk = u[0] + (u[1] - u[0]) * X1 / L
        tongue, pushed, ball = w2 * c - axle, M2 * j - held, ZB - fall
        trailer = -w2 * c * (X2 - u[2] * (z2 - ZB)) + axle * (S - u[2] * (hub - ZB))
        trailer += M2 * j * (z2 - ZB + X2 * u[2]) + held * ball
        vehicle = rear * L - w1 * c * (X1 + lean * (Z1 - hub))
        vehicle += M1 * j * (Z1 - sunk) + pushed * ball
        vehicle -= tongue * (L + H + lean * (ZB - hub))
        return np.array([front + rear - w1 * c - tongue, vehicle / L, trailer / S]) / 1e4

    start = np.array([0.02, 0.05, 0.0])
    flat = root(left, start, args=(0.0, 0.0, 1.0, None)).x
    found = root(left, start, args=(j, held, c, (flat[1] - flat[0]) / L))
    assert found.success
    return np.array(forces(found.x)[:3])


@pytest.mark.parametrize("z2", [0.7, 1.1])
@pytest.mark.parametrize(
    ("slope", "slowing", "share"),
    [(0.0, 3.4, 0.0), (0.0, 3.4, 0.8), (0.0, 6.0, 0.9), (0.2, 0.0, 0.0), (-0.15, 0.0, 0.5)],
)
def test_squat_is_in_the_arms(slope: float, slowing: float, share: float, z2: float) -> None:
    """Of an elastic rig each axle load is within 60 N of the deformed free bodies', which a general
    root finder (scipy.optimize.root) balances; arms of the unladen rig miss by up to 320 N."""
    rig = plain(height=z2, front_rate=KF, rear_rate=KR, axle_rate=KT)
    v = dict(prior(rig).estimate.at_mean())
    along = slowing - GRAVITY * np.sin(slope)
    there = rolling(loads(rig, v), v).at(slope, along, share * M2 * max(along, 0.0))
    found = np.array([there.front.item(), there.rear.item(), there.trailer_axles[0].item()])
    want = deformed(slope, slowing, share, z2, float(v["trailer.hub_height"]))
    assert np.max(np.abs(found - want)) < 60.0, found - want


@pytest.mark.parametrize(("share", "pounds"), [(0.0, 240.0), (1.0, 480.0)])
def test_by_hand(share: float, pounds: float) -> None:
    """6,000 lb with its weight 4 ft up, the ball's centre 2 ft up, axle 15 ft back, at 0.3 g:
    rolling 6000 x 0.3 x (4 - 2)/15 = 240 lb more on the ball, braked at the road 0.3 x 6000 x 4/15.
    """
    foot, weight = 0.3048, 6000 * POUND
    rig = plain(
        weight=weight,
        cg=13 * foot,
        axles=(15 * foot,),
        ball=2 * foot,
        coupler=2 * foot,
        height=4 * foot,
    )
    v = dict(prior(rig).estimate.at_mean())
    v.update({name: np.asarray(STIFF) for name in v if name.endswith("rate")})
    moving, along = rolling(loads(rig, v), v), 0.3 * GRAVITY
    there = moving.at(0.0, along, share * weight * along)
    gained = there.tongue - moving.at(0.0, 0.0, 0.0).tongue
    assert gained.item() / (POUND * GRAVITY) == pytest.approx(pounds, rel=1e-6)
