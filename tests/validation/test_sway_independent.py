"""Sway against other people's solvers and equations derived another way.

Sources: Kane's method of sympy.physics.mechanics, the eigenvalues of python-control, scipy's
solve_ivp on Newton-Euler equations with explicit coupling forces, and a rigid-body simulator.
"""

from collections.abc import Callable
from functools import cache
from importlib import import_module
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from tests.combinations import bus, damping_of, ellis, lagging, minivan, polynomial

from steelyard.estimate import Array
from steelyard.swaying.linear.closed_forms import critical_speeds
from steelyard.swaying.linear.combination import Combination, flat, rebuilt
from steelyard.swaying.linear.friction import growing_amplitude
from steelyard.swaying.linear.modes import oscillation, pieces, state_matrix
from steelyard.swaying.time.inputs import lane_change, steer_impulse
from steelyard.swaying.time.machine import Machine
from steelyard.swaying.time.simulate import run

NAMES = "m1 I1 a b d Cf Cr m2 I2 e L1 L2 C1 C2 c k u"


@cache
def _by_kane() -> Any:
    """Mass matrix and forces by speed of a planar pair of bodies, by Kane's method, linearised."""
    sp, me = import_module("sympy"), import_module("sympy.physics.mechanics")
    Point, dynamicsymbols = me.Point, me.dynamicsymbols
    m1, I1, a, b, d, Cf, Cr, m2, I2, e, L1, L2, C1, C2, c, k, u = sp.symbols(NAMES)
    psi, theta, x, y, U, v, r, w = dynamicsymbols("psi theta x y U v r w")
    N = me.ReferenceFrame("N")
    A = N.orientnew("A", "Axis", (psi, N.z))
    B = A.orientnew("B", "Axis", (theta, A.z))
    A.set_ang_vel(N, r * N.z)
    B.set_ang_vel(N, (r + w) * N.z)
    O, G1 = Point("O"), Point("G1")
    O.set_vel(N, 0)
    G1.set_vel(N, U * A.x + v * A.y)

    def on(name: str, base: Any, frame: Any, place: Any) -> Any:
        point = base.locatenew(name, place * frame.x)
        point.v2pt_theory(base, N, frame)
        return point

    H = on("H", G1, A, -d)
    G2 = on("G2", H, B, -e)
    loads = [(A, (c * w + k * theta) * N.z), (B, -(c * w + k * theta) * N.z)]
    for name, base, frame, place, C in (
        ("F", G1, A, a, Cf),
        ("R", G1, A, -b, Cr),
        ("T1", H, B, -L1, C1),
        ("T2", H, B, -L2, C2),
    ):
        point = on(name, base, frame, place)
        velocity = point.vel(N)
        slip = velocity.dot(frame.y) / velocity.dot(frame.x)
        loads.append((point, -C * slip * frame.y))
    bodies = [
        me.RigidBody("V", G1, A, m1, (me.inertia(A, 0, 0, I1), G1)),
        me.RigidBody("T", G2, B, m2, (me.inertia(B, 0, 0, I2), G2)),
    ]
    t = dynamicsymbols._t
    kinematics = [
        x.diff(t) - (U * sp.cos(psi) - v * sp.sin(psi)),
        y.diff(t) - (U * sp.sin(psi) + v * sp.cos(psi)),
        psi.diff(t) - r,
        theta.diff(t) - w,
    ]
    kane = me.KanesMethod(N, q_ind=[x, y, psi, theta], u_ind=[U, v, r, w], kd_eqs=kinematics)
    kane.kanes_equations(bodies, loads)
    straight = {v: 0, r: 0, w: 0, theta: 0, U: u}
    mass = kane.mass_matrix[1:, 1:].subs(straight)
    forces = kane.forcing[1:, :].jacobian([v, r, w, theta]).subs(straight)
    return sp.lambdify(sp.symbols(NAMES), (mass, forces))


def _random(rng: np.random.Generator, n: int) -> list[list[float]]:
    low = [1e3, 1e3, 1, 1, 1.5, 4e4, 4e4, 5e2, 5e2, 2, 2, 2.5, 2e4, 2e4, 0, 0, 5]
    high = [4e3, 9e3, 2, 2, 4, 2e5, 2e5, 5e3, 4e4, 6, 6, 7, 1e5, 1e5, 2e3, 5e3, 45]
    return [list(row) for row in rng.uniform(low, high, (n, 17))]


def _combination(p: list[float]) -> Combination:
    arrays = [np.asarray(x) for x in p]
    m1, I1, a, b, d, Cf, Cr, m2, I2, e, L1, L2, C1, C2, c, k = arrays[:16]
    return Combination(
        m1=m1, I1=I1, a=a, b=b, d=d, Cf=Cf, Cr=Cr, m2=m2, I2=I2, e=e, stations=(L1, L2),
        stiffness=(C1, C2), damper=c, spring=k,
    )  # fmt: skip


def test_equations_by_kanes_method() -> None:
    """The state matrix equals the one of Kane's equations to 1e-10 for 50 random tandem rigs."""
    for p in _random(np.random.default_rng(1), 50):
        mass, forces = _by_kane()(*p)
        want = np.linalg.solve(np.asarray(mass, dtype=float), np.asarray(forces, dtype=float))
        found = state_matrix(_combination(p), p[16])[:3]
        assert found == pytest.approx(want, rel=1e-10, abs=1e-10 * np.max(np.abs(want)))


def test_polynomial_has_the_eigenvalues_of_the_matrix() -> None:
    """Two ways inside: the closed coefficients vanish at the state matrix's own roots."""
    for p in _random(np.random.default_rng(2), 200):
        c = _combination(p)
        want = np.poly(np.linalg.eigvals(state_matrix(c, p[16])))
        found = np.array([float(x) for x in polynomial(c, p[16])])
        assert found / found[0] == pytest.approx(want.real, rel=1e-9)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("c", [ellis(), minivan(2.7), minivan(2.9), bus(), lagging(2.7, 0.5)])
def test_damping_by_python_control(c: Combination) -> None:
    """Ratio and frequency equal those of the library's `damp`."""
    control = import_module("control")
    A = state_matrix(c, 20.0)
    n = len(A)
    system = control.ss(A, np.zeros((n, 1)), np.zeros((1, n)), np.zeros((1, 1)))
    natural, ratio, poles = control.damp(system, doprint=False)
    found = oscillation(c, 20.0)
    pairs = np.abs(poles.imag) > 1e-6
    if not pairs.any():
        assert float(found.ratio) == 1.0
        return
    least = np.argmin(np.where(pairs, ratio, np.inf))
    assert float(found.ratio) == pytest.approx(float(ratio[least]), abs=1e-10)
    want = float(natural[least]) * np.sqrt(1 - float(ratio[least]) ** 2)
    assert float(found.frequency) == pytest.approx(want, rel=1e-9)


@pytest.mark.parametrize("n", [300, pytest.param(20_000, marks=pytest.mark.study)])
def test_critical_speeds_by_root_finding(n: int) -> None:
    """Where we say it wags or folds an eigenvalue stands on the imaginary axis."""
    count = 0
    for p in _random(np.random.default_rng(3), n):
        c = _combination([*p[:14], 0.0, 0.0])
        found = critical_speeds(c)
        parts = pieces(c)
        for speed, swings in ((float(found.oscillatory), True), (float(found.divergent), False)):
            if not 1.0 < speed < 200.0:
                continue
            roots = np.linalg.eigvals(parts.at(speed)).astype(complex)
            size = np.max(np.abs(roots))
            near = np.abs(roots.real) < 1e-9 * size
            assert np.any(near & ((np.abs(roots.imag) > 1e-6 * size) == swings))
            count += 1
    assert count > n / 3


def _brush(C: float, slip: Any, most: float) -> float:
    """Brush model as textbooks print it."""
    z = C * abs(slip) / (3 * most)
    force = most if z >= 1 else most * (1 - (1 - z) ** 3)
    return float(np.sign(slip)) * force


class _Bodies:
    """Two bodies in ground axes, coupling forces explicit, forward speed held: 9 unknowns."""

    def __init__(self, machine: Machine, steer: Callable[[float], float]) -> None:
        c, self.steer = machine.combination, steer
        self.m1, self.I1, self.a, self.b, self.d = (
            float(getattr(c, n)) for n in ["m1", "I1", "a", "b", "d"]
        )
        self.Cf, self.Cr, self.m2, self.I2, self.e = (
            float(getattr(c, n)) for n in ["Cf", "Cr", "m2", "I2", "e"]
        )
        self.axles = [
            (float(L), float(C), float(N) * machine.grip)
            for L, C, N in zip(c.stations, c.stiffness, machine.axles, strict=True)
        ]
        self.most = float(machine.front) * machine.grip, float(machine.rear) * machine.grip
        self.damper = float(c.damper)

    def slopes(self, t: float, s: Array) -> Array:
        """Of (x, y, psi, vx, vy, r, psi2, r2)."""
        _, _, psi, vx, vy, r, psi2, r2 = s
        i1, j1 = _axes(psi)
        i2, j2 = _axes(psi2)
        V1 = np.array([vx, vy])
        ball = V1 - self.d * r * j1
        steer = self.steer(t)
        F1, M1 = self._vehicle(V1, i1, j1, r, steer)
        F2, M2 = np.zeros(2), 0.0
        for L, C, most in self.axles:
            at = ball - L * r2 * j2
            f = _brush(C, -(at @ j2) / (at @ i2), most)
            F2 = F2 + f * j2
            M2 += f * (self.e - L)
        joint = self.damper * (r2 - r)
        # Unknowns: ax ay r' a2x a2y r2' Hx Hy D, with H the force of the vehicle on the trailer.
        K, R = np.zeros((9, 9)), np.zeros(9)
        K[0:2, 0:2] = self.m1 * np.eye(2)
        K[0:2, 6:8] = np.eye(2)
        K[0:2, 8] = -i1
        R[0:2] = F1
        K[2, 2] = self.I1
        K[2, 6:8] = -self.d * np.array([i1[0] * 0 - i1[1], i1[0]])
        R[2] = M1 + joint
        K[3:5, 3:5] = self.m2 * np.eye(2)
        K[3:5, 6:8] = -np.eye(2)
        R[3:5] = F2
        K[5, 5] = self.I2
        K[5, 6:8] = -self.e * np.array([-i2[1], i2[0]])
        R[5] = M2 - joint
        # Both centres move with the ball: a1 - d r' j1 + d r^2 i1 = a2 + e r2' j2 - e r2^2 i2.
        K[6:8, 0:2], K[6:8, 3:5] = np.eye(2), -np.eye(2)
        K[6:8, 2], K[6:8, 5] = -self.d * j1, -self.e * j2
        R[6:8] = -self.d * r * r * i1 - self.e * r2 * r2 * i2
        # Forward speed held: i1.(a1) + r j1.V1 = 0.
        K[8, 0:2] = i1
        R[8] = -r * (j1 @ V1)
        z = np.linalg.solve(K, R)
        return np.array([vx, vy, r, z[0], z[1], z[2], r2, z[5]])

    def _vehicle(self, V: Array, i: Array, j: Array, r: float, steer: float) -> tuple[Array, float]:
        front, rear = V + self.a * r * j, V - self.b * r * j
        wheel = np.cos(steer) * i + np.sin(steer) * j
        across = -np.sin(steer) * i + np.cos(steer) * j
        Ff = _brush(self.Cf, -(front @ across) / (front @ wheel), self.most[0])
        Fr = _brush(self.Cr, -(rear @ j) / (rear @ i), self.most[1])
        # The wheel's drag is the driver's affair: only the part across the vehicle acts.
        side = Ff * np.cos(steer) * j
        return side + Fr * j, self.a * Ff * np.cos(steer) - self.b * Fr


def _axes(angle: float) -> tuple[Array, Array]:
    c, s = np.cos(angle), np.sin(angle)
    return np.array([c, s]), np.array([-s, c])


def _loaded(c: Combination, **more: Any) -> Machine:
    loads = [np.asarray(x) for x in (9e3, 8e3)]
    axles = tuple(np.asarray(9e3) for _ in c.stations)
    return Machine(combination=c, front=loads[0], rear=loads[1], axles=axles, **more)


@pytest.mark.parametrize("steer", [0.01, 0.06])
def test_a_lane_change_by_another_integrator(steer: float) -> None:
    """Explicit coupling forces in ground axes, scipy's DOP853: the same trace, tyres bent too."""
    from scipy.integrate import solve_ivp

    c = minivan(2.8, stations=(2.6, 3.4), stiffness=(40e3, 40e3), damper=300.0)
    machine, move = _loaded(c), lane_change(steer)
    bodies = _Bodies(machine, lambda t: float(np.interp(t, move.times, move.values[:, 0])))
    found = run(machine, 22.0, move, 7.0)
    start = np.array([0.0, 0.0, 0.0, 22.0, 0.0, 0.0, 0.0, 0.0])
    corners = [0.0, *move.times, 7.0]
    ends = [start]
    for a, b in pairwise(corners):
        part = solve_ivp(bodies.slopes, (a, b), ends[-1], method="DOP853", rtol=1e-9, atol=1e-11)
        ends.append(part.y[:, -1])
    want = np.array([state[6] - state[2] for state in ends])
    at = np.searchsorted(found.times, np.array(corners) - 1e-9)
    assert np.max(np.abs(want)) > 0.5 * steer
    assert found.of("angle")[at] == pytest.approx(want, abs=2e-6)
    assert found.of("y")[at] == pytest.approx([state[1] for state in ends], abs=2e-5)


@pytest.mark.parametrize(
    ("e", "speed", "ratio"),
    [(2.7, 18.0, 0.1750), (2.9, 15.0, 0.0912), (2.8, 20.0, 0.0525), (2.7, 25.0, 0.1049)],
)
def test_damping_of_a_trace_and_of_the_linear_model(e: float, speed: float, ratio: float) -> None:
    """LAT-13: half a sine of steer, damping from peaks within 5 % of an independent run's."""
    trace = run(_loaded(minivan(e), grip=1e3), speed, steer_impulse(0.01), 12.0)
    free = trace.times > 1.2
    found, frequency = damping_of(trace.times[free], trace.of("angle")[free])
    linear = oscillation(minivan(e), speed)
    assert found == pytest.approx(ratio, rel=0.05)
    assert found == pytest.approx(float(linear.ratio), rel=0.05)
    assert frequency == pytest.approx(float(linear.frequency), rel=0.01)


@pytest.mark.parametrize(("start", "size"), [(1.0, 0.84), (1.4, 1.19)])
def test_friction_limit_amplitude_in_time(start: float, size: float) -> None:
    """Sharp & Fernandez 2002: with dry friction a small swing dies and a large one grows.

    Let go at `start` times the border of the describing function it swings at `size` times it.
    """
    c, speed, M = minivan(2.9), 20.0, 60.0
    border = growing_amplitude(c, speed, M)
    machine = _loaded(c, grip=1e3, friction=M)
    trace = run(machine, speed, steer_impulse(0.0), 12.0, angle=start * border)
    swing = np.abs(trace.of("angle"))
    early = swing[(trace.times > 1.0) & (trace.times < 2.2)].max()
    late = swing[trace.times > 10.5].max()
    assert early == pytest.approx(size * border, rel=0.02)
    assert (late > early) == (size > 1)


def test_a_rigid_body_simulator() -> None:
    """The same tyre forces on bodies of a general simulator: articulation within 1 % of peak."""
    mujoco = pytest.importorskip("mujoco")
    c, speed, steer, step = minivan(2.8), 20.0, 0.02, 5e-4
    machine, move = _loaded(c, grip=1e3), lane_change(steer, 2.0)
    model = mujoco.MjModel.from_xml_string(
        f"""<mujoco><option timestep="{step}" gravity="0 0 0"/><worldbody><body>
        <joint type="slide" axis="1 0 0"/><joint type="slide" axis="0 1 0"/>
        <joint type="hinge" axis="0 0 1"/>
        <inertial pos="0 0 0" mass="{float(c.m1)}" diaginertia="9e3 9e3 {float(c.I1)}"/>
        <body pos="{-float(c.d)} 0 0"><joint type="hinge" axis="0 0 1"/>
        <inertial pos="{-float(c.e)} 0 0" mass="{float(c.m2)}"
        diaginertia="9e3 9e3 {float(c.I2)}"/></body></body></worldbody></mujoco>"""
    )
    data = mujoco.MjData(model)
    data.qvel[0] = speed
    bodies = _Bodies(machine, lambda t: float(np.interp(t, move.times, move.values[:, 0])))
    swings = []
    for _ in range(int(6.0 / step)):
        swings.append(float(data.qpos[3]))
        _push(data, bodies, speed)
        mujoco.mj_step(model, data)
    found = run(machine, speed, move, 6.0)
    want = np.interp(found.times, step * np.arange(len(swings)), swings)
    peak = np.max(np.abs(want))
    assert peak > 0.01
    assert np.max(np.abs(found.of("angle") - want)) < 0.01 * peak


def _push(data: Any, bodies: _Bodies, speed: float) -> None:
    """Hold the forward speed and apply the tyre forces at the bodies' centres."""
    psi, r, r2 = data.qpos[2], data.qvel[2], data.qvel[2] + data.qvel[3]
    i1, j1 = _axes(psi)
    i2, j2 = _axes(psi + data.qpos[3])
    V = np.array(data.qvel[:2])
    F, M = bodies._vehicle(V, i1, j1, r, bodies.steer(data.time))
    ball = V - bodies.d * r * j1
    F2, M2 = np.zeros(2), 0.0
    for L, C, most in bodies.axles:
        at = ball - L * r2 * j2
        f = _brush(C, -(at @ j2) / (at @ i2), most)
        F2, M2 = F2 + f * j2, M2 + f * (bodies.e - L)
    F = F + 1e6 * (speed - V @ i1) * i1  # the driver
    data.xfrc_applied[1] = [*F, 0, 0, 0, M]
    data.xfrc_applied[2] = [*F2, 0, 0, 0, M2]


def test_fields_go_round() -> None:
    """A combination taken apart and put together is the same, exact."""
    c = bus()
    assert flat(rebuilt(c, flat(c))) == flat(c)
