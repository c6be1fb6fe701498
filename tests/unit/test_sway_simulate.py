"""Runs in time: engines alike, steps on corners, batches with progress, and what inputs do."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
from tests.combinations import lagging, minivan

from steelyard.estimate import Array
from steelyard.rig import Rig
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior
from steelyard.swaying.time import motion
from steelyard.swaying.time.inputs import (
    braking,
    gust,
    lane_change,
    passing_truck,
    shaped,
    steer_impulse,
    steps,
)
from steelyard.swaying.time.machine import Machine, machine, transfer
from steelyard.swaying.time.motion import INPUTS, brush, kept, same
from steelyard.swaying.time.simulate import STEP, Trace, batch, run
from steelyard.swaying.time.standard_runs import USUAL, dies_out, stays_straight, swings
from steelyard.travel import crewed

NOTHING = shaped(np.array([0.0, 1.0]))
"""The rig runs on as it is."""


def _machine(n: int | None = None, **more: Any) -> Machine:
    m2 = 2000.0 if n is None else np.linspace(1800.0, 2200.0, n)
    c = lagging(2.75, 0.5, m2=m2, stations=(2.6, 3.4), stiffness=(40e3, 40e3))
    fields: dict[str, Any] = {
        "friction": 40.0,
        "vehicle_area": 8.0,
        "trailer_area": 15.0,
        "trailer_pressure": 3.0,
        **more,
    }
    axles = (np.asarray(9e3), np.asarray(9e3))
    return Machine(
        combination=c, front=np.asarray(9e3), rear=np.asarray(9e3), axles=axles, **fields
    )


def test_compiled_and_plain_runs_are_alike() -> None:
    """One source: NumPy and Numba agree to 1e-12 on a gust with braking and friction."""
    pytest.importorskip("numba")
    move = gust(12.0) + braking(3.0, start=1.0)
    plain, fast = (run(_machine(), 25.0, move, 4.0, engine=engine) for engine in ("numpy", "numba"))
    assert fast.states == pytest.approx(plain.states, abs=1e-12)


def test_compiled_and_plain_batches_are_alike() -> None:
    """Each run of a batch is the run alone, on either engine."""
    pytest.importorskip("numba")
    scale = np.linspace(0.5, 1.5, 6)
    plain, fast = (
        batch(_machine(6), 25.0, gust(10.0), scale, 3.0, engine=engine)
        for engine in ("numpy", "numba")
    )
    assert fast.angle == pytest.approx(plain.angle, abs=1e-12)
    assert fast.peak == pytest.approx(plain.peak, abs=1e-12)
    single = run(_machine(friction=0.0), 25.0, gust(10.0), 3.0, step=0.02)
    middle = batch(_machine(friction=0.0), 25.0, gust(10.0), 1.0, 3.0)
    assert middle.angle[0] == pytest.approx(single.of("angle")[::10], abs=1e-12)


def test_braking_moves_load_by_the_statics_of_two_bodies() -> None:
    """Slowing by 1 m/s2, solved here: sums of force and moments about the rear axle on the road and
    about the coupling, the trailer braking six tenths of itself, the vehicle 0.7 of its own in
    front; two axles share what comes off the trailer's."""
    one = _machine(front_brakes=0.7, trailer_brakes=0.6)
    c = one.combination
    m1, m2, a, b, d = (float(x) for x in (c.m1, c.m2, c.a, c.b, c.d))
    station, own = sum(float(x) for x in c.stations) / 2, 0.6 * m2
    push, behind = m2 - own, d - b
    # unknown: more on the front, more on the rear, more on the coupling, less on each trailer axle
    sums = [[1, 1, -1, 0], [a + b, 0, behind, 0], [0, 0, 1, -2], [0, 0, 0, 2 * station]]
    heights = [0.0, m1 * 0.7 + push * 0.5, 0.0, m2 * (0.9 - 0.5) + own * 0.5]
    front, rear, _, off = np.linalg.solve(np.array(sums, dtype=float), heights)
    held = m1 + push
    due = [own, front, rear, off, 0.7 * held, 0.3 * held, own / 2]
    assert [float(x) for x in transfer(one)] == pytest.approx(due)


def test_usual_disturbances_by_hand() -> None:
    """A gust of 8 m/s rises in 0.2 s and stands for 2; a truck of 16 m, 3 m/s faster, is by in
    22/3 s: it pushes away after a quarter of that, draws in by six tenths after 0.85, and does the
    same to the vehicle, four tenths as strongly, 8/3 s later."""
    start = 0.5
    wind = gust(8.0, lasting=2.0, edge=0.2).at(start + np.array([0.0, 0.1, 0.2, 2.2, 2.3, 2.4]))
    for name in ("wind1", "wind2"):
        assert wind[:, INPUTS.index(name)] == pytest.approx(np.array([0, 4, 8, 8, 4, 0]))
    slowing = braking(3.0, lasting=1.0).at(start + np.array([0.0, 0.15, 0.3, 1.3, 1.45, 1.6]))
    assert slowing[:, INPUTS.index("braking")] == pytest.approx(np.array([0, 1.5, 3, 3, 1.5, 0]))
    by = 22.0 / 3.0
    truck = passing_truck(100.0)
    for name, late, share in (("force2", 0.0, 1.0), ("force1", 8.0 / 3.0, 0.4)):
        at = start + late + by * np.array([0.0, 0.125, 0.25, 0.5, 0.85, 1.0])
        due = share * np.array([0.0, -50.0, -100.0, 0.0, 60.0, 0.0])
        assert truck.at(at)[:, INPUTS.index(name)] == pytest.approx(due, abs=1e-9)


def test_how_a_run_ends_is_of_its_last_two_seconds() -> None:
    """A swing of 0.1 rad to the right has died out where less than 0.3 of it is left in them, and a
    twentieth of a degree is no swing at all (both assumed)."""
    times = np.linspace(0.0, 10.0, 101)

    def told(early: float, late: float) -> tuple[tuple[float, float], bool, bool]:
        angle = np.where(times < 5, early, np.where(times > 8.05, late, 0.0))
        trace = cast("Trace", SimpleNamespace(times=times, of=lambda name: {"angle": angle}[name]))
        return swings(trace), dies_out(trace), stays_straight(trace)

    assert told(-0.1, 0.029) == ((0.1, 0.029), True, False)
    assert told(-0.1, 0.031) == ((0.1, 0.031), False, False)
    assert told(0.0, -0.1) == ((0.1, 0.1), False, False)
    assert [told(np.radians(x), 0.0)[2] for x in (0.049, 0.051)] == [True, False]


def test_inputs_stand_still_where_all_seven_do() -> None:
    """A row is like itself, and unlike one that differs in any of its inputs."""
    still = (0.0,) * len(INPUTS)
    assert same(still, still)
    for place in range(len(INPUTS)):
        moved = tuple(float(place == k) for k in range(len(INPUTS)))
        assert not same(moved, still), INPUTS[place]
        assert not same(still, moved), INPUTS[place]


@pytest.mark.parametrize(("what", "degrees"), [("lane-change", 1.1), ("impulse", 1.7)])
def test_the_steer_of_usual_runs(what: str, degrees: float) -> None:
    """Of the road wheels at its most (assumed), as the help of `sway` has it."""
    steer = USUAL[what]().values[:, INPUTS.index("steer")]
    assert np.degrees(steer.max()) == pytest.approx(degrees, abs=0.05)


def test_progress_is_told() -> None:
    """The callback hears of every block and of the end."""
    heard: list[tuple[int, int]] = []
    batch(_machine(600), 25.0, gust(5.0), lasting=0.1, progress=lambda *x: heard.append(x))
    assert heard == [(512, 600), (600, 600)]


def test_steps_land_on_corners() -> None:
    """Every corner of the input is a time of the run, and no step is longer than asked."""
    move = gust(5.0, edge=0.037) + lane_change(0.01)
    times = steps(move, 6.0, 0.01)
    inside = move.times[move.times < 6.0]
    assert all(np.min(np.abs(times - corner)) < 1e-12 for corner in inside)
    assert np.max(np.diff(times)) <= 0.01 + 1e-12
    assert np.min(np.diff(times)) > 0


def test_halving_the_step_changes_nothing_that_matters() -> None:
    """Fourth order: the default step errs by less than a millionth of the swing."""
    coarse = run(_machine(friction=0.0), 25.0, steer_impulse(0.02), 5.0)
    fine = run(_machine(friction=0.0), 25.0, steer_impulse(0.02), 5.0, step=0.002)
    swing = fine.of("angle")
    there = np.interp(coarse.times, fine.times, swing)
    both = np.isin(coarse.times.round(9), fine.times.round(9))
    assert np.max(np.abs(coarse.of("angle") - there)[both]) < 1e-6 * np.max(np.abs(swing))


def test_friction_that_turns_is_followed() -> None:
    """Where dry friction turns a step is taken in parts: the default step then errs by less than
    three millionths of the swing, a long one by a thousandth at most."""
    fine = run(_machine(friction=120.0), 25.0, steer_impulse(0.02), 5.0, step=1.25e-3)
    swing = fine.of("angle")
    for step, most in ((STEP, 3e-6), (0.025, 1e-3)):
        coarse = run(_machine(friction=120.0), 25.0, steer_impulse(0.02), 5.0, step)
        both = np.isin(coarse.times.round(9), fine.times.round(9))
        there = np.interp(coarse.times, fine.times, swing)
        assert np.max(np.abs(coarse.of("angle") - there)[both]) < most * np.max(np.abs(swing))


def test_straight_is_straight() -> None:
    """Nothing happens to a rig that nothing disturbs."""
    trace = run(_machine(), 30.0, NOTHING, 2.0)
    assert np.all(trace.of("angle") == 0)
    assert np.all(trace.of("u") == 30.0)


@pytest.mark.parametrize(("speed", "calms"), [(15.0, True), (30.0, False)])
def test_below_and_above_the_critical_speed(speed: float, calms: bool) -> None:
    """A swing dies below the critical speed (18.4 m/s) and grows above it."""
    c = minivan(2.9)
    front, rear, axles = np.asarray(9e3), np.asarray(8e3), (np.asarray(18e3),)
    one = Machine(combination=c, front=front, rear=rear, axles=axles, grip=10.0)
    swing = np.abs(run(one, speed, steer_impulse(0.005), 8.0).of("angle"))
    assert (swing[-200:].max() < swing[200:400].max()) == calms


def test_mirror_images() -> None:
    """A gust from the other side gives the same swing to the other side."""
    one, other = (run(_machine(), 25.0, gust(w), 3.0).of("angle") for w in (10.0, -10.0))
    assert one == pytest.approx(-other, abs=1e-15)


def test_a_truck_pushes_then_draws() -> None:
    """A truck that overtakes on the left pushes to the right, then draws to the left, and so the
    trailer swings both ways; a bigger force swings it further. From the right is positive."""
    pushes = passing_truck(500.0).values[:, INPUTS.index("force2")]
    first, *_, last = pushes[pushes != 0.0]
    assert first < 0.0 < last
    small, big = (run(_machine(), 25.0, passing_truck(F)).of("angle") for F in (500.0, 2000.0))
    assert big.min() < 0 < big.max()
    assert np.ptp(big) > np.ptp(small)


def test_braking_slows_and_costs_damping() -> None:
    """Speed falls as asked, and an unbraked trailer that pushes swings more than a braked one."""
    move = steer_impulse(0.03) + braking(5.0)
    traces = [
        run(_machine(friction=0.0, trailer_brakes=share), 28.0, move, 3.0) for share in (1, 0)
    ]
    assert traces[0].of("u")[-1] == pytest.approx(28.0 - 5.0 * (2.5 - 0.15), abs=1e-6)
    swings = [np.max(np.abs(trace.of("angle"))) for trace in traces]
    assert swings[1] > swings[0]


def test_a_folded_rig_stops() -> None:
    """A run whose trailer has come round is over, and is counted."""
    t = np.array([0.0, 0.1, 2.0, 2.1])
    shove = shaped(t, moment2=60e3 * np.array([0.0, 1.0, 1.0, 0.0]))
    found = batch(_machine(grip=0.3), 20.0, shove, np.array([1.0, 0.01]), lasting=6.0)
    assert list(found.folded) == [True, False]
    assert np.isfinite(found.angle).all()


def test_a_tyre_lets_go() -> None:
    """Brush model: slope C at no slip, grip times load at the end, friction circle when braked."""
    assert brush(80e3, 1e-6, 8e3) == pytest.approx(0.08, rel=1e-4)
    assert brush(80e3, 0.5, 8e3) == pytest.approx(8e3)
    assert brush(80e3, -0.5, 8e3) == pytest.approx(-8e3)
    assert kept(0.8, 1e4, 4.8e3) == pytest.approx(6.4e3)
    assert kept(0.8, -5.0, 0.0) == 0.0


def test_no_speed_no_run() -> None:
    """Standing still is refused in one sentence."""
    with pytest.raises(ValueError, match="above zero"):
        run(_machine(), 0.0, NOTHING)


def test_the_rig_of_a_file_runs() -> None:
    """Heights, sides and loads come from the rig; loads add up to its weight."""
    rig = crewed(
        Rig.model_validate(
            {
                "vehicle": {"class": "half-ton-crew-cab"},
                "trailer": {"style": "rear-living", "empty": {"weight": "6300 lb"}},
            }
        )
    )
    v: dict[str, Array] = {n: np.atleast_1d(x) for n, x in prior(rig).estimate.at_mean().items()}
    one = machine(rig, v, loads(rig, v), friction=100.0)
    c = one.combination
    whole = float(one.front[0] + one.rear[0] + sum(load[0] for load in one.axles))
    assert whole == pytest.approx(9.80665 * float(c.m1[0] + c.m2[0]))
    assert 5.0 < float(np.ravel(one.trailer_area)[0]) < 40.0
    assert np.max(np.abs(run(one, 27.0, gust(10.0), 4.0).of("angle"))) > 1e-3


def test_a_machine_changes_by_replace() -> None:
    """Frozen, keyword-only."""
    assert replace(_machine(), friction=5.0).friction == 5.0


def test_the_kernel_calls_its_rows_by_their_names() -> None:
    """Each number that the kernel reads a row by bears the row's name, in capitals."""
    for names in (motion.PARAMETERS, motion.INPUTS):
        assert [getattr(motion, name.upper()) for name in names] == list(range(len(names)))
    for name in ("rate", "angle", "y"):
        assert motion.STATES[getattr(motion, name.upper())] == name
