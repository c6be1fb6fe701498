"""Braking and grades: equilibrium of the whole rig, statics as the limit, answers at their root."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.rigs import exact, one, plain, values

from steelyard.braking.footing import Rolling, rolling
from steelyard.quantity import GRAVITY
from steelyard.statics.loads import loads
from steelyard.statics.prior import prior

BARS = {"arm": 0.75, "tip_rate": 40e3, "preset": 0.06}


def moving(**changes: float) -> Rolling:
    """A rig with bars; hubs and the trailer's centre at the ball's height: pitch moves nothing."""
    rig = plain(bars={**BARS, **changes}, axles=(4.7, 5.5))
    v = values(rig)
    return rolling(loads(rig, v), v)


def drops(front: float, rear: float) -> tuple[float, float]:
    """How far each axle of the vehicle has sunk, m, from the springs' own law."""
    own = 2600.0 * GRAVITY * 1.6 / 3.7
    return (front - (2600.0 * GRAVITY - own)) / 75e3, (rear - own) / 85e3


def sunk(front: float, rear: float, group: float) -> float:
    """Mass times how far it has sunk, kg m, over the whole rig."""
    f, r = drops(front, rear)
    ball = r + (r - f) * 1.45 / 3.7
    pitch = (ball - (group - 3000.0 * GRAVITY * 4.5 / 5.1) / 400e3) / 5.1
    return 2600.0 * (f + (r - f) * 1.6 / 3.7) + 3000.0 * (ball - 4.5 * pitch)


def leaned(front: float, rear: float) -> float:
    """Mass times how far the vehicle's pitch moves it aft of its hubs, 0.15 m lower, kg m."""
    f, r = drops(front, rear)
    return 2600.0 * (0.7 - 0.55) * (r - f) / 3.7


@given(
    slope=st.floats(-0.3, 0.3),
    slowing=st.floats(-1.0, 7.0),
    share=st.floats(0.0, 1.0),
    preset=st.floats(0.0, 0.08),
)
def test_forces_and_moments_sum_to_zero(
    slope: float, slowing: float, share: float, preset: float
) -> None:
    """Of the whole rig, square to the road and about the front contact, bars on or slack: weights
    as low as the springs under them say, the vehicle's moved by its pitch since it stood level.
    Squat is counted twice, without the bars: a sixth of what it moves may be left, and what
    the bars do to it."""
    rig = moving(preset=preset)
    along = slowing - GRAVITY * np.sin(slope)
    held = share * 3000.0 * max(along, 0.0)
    found = rig.at(slope, along, held)
    if np.any(found.lifts):
        return
    c, weight = np.cos(slope), 5600.0 * GRAVITY
    axles = [float(load.item()) for load in found.trailer_axles]
    total = found.front.item() + found.rear.item() + sum(axles)
    assert total == pytest.approx(weight * c, rel=1e-9)
    ball = 3.7 + 1.45
    up = found.rear.item() * 3.7 + sum(
        load * (ball + at) for load, at in zip(axles, (4.7, 5.5), strict=True)
    )
    down = GRAVITY * c * (2600.0 * 1.6 + 3000.0 * (ball + 4.5))
    tipped = along * (2600.0 * 0.7 + 3000.0 * 0.55)
    lower = along * sunk(found.front.item(), found.rear.item(), sum(axles))
    level = rig.at(0.0, 0.0, 0.0)
    now, then = (leaned(one.front.item(), one.rear.item()) for one in (found, level))
    moved = lower + GRAVITY * c * (now - then)
    left = abs(moved) / 6 + 400.0 * abs(along) * (preset + 0.01)
    assert up == pytest.approx(down - tipped + moved, abs=left + 1e-9 * weight * ball)
    assert found.tongue.item() + sum(axles) == pytest.approx(3000.0 * GRAVITY * c, rel=1e-9)


@pytest.mark.parametrize("bars", [None, BARS, {**BARS, "preset": 0.0}])
@pytest.mark.parametrize("suspension", ["equaliser", "independent"])
@pytest.mark.parametrize("grade", [0.0, 0.1, -0.08])
def test_no_slowing_is_the_statics(
    bars: dict[str, float] | None, suspension: str, grade: float
) -> None:
    """Standing on a slope, the trailer's wheels free, the loads are those of the statics."""
    stages = {"flat": {}, "slope": {"grade": exact(grade, "rad")}}
    more = {"bars": bars, "suspension": suspension, "axles": (4.7, 5.5), "stages": stages}
    rig = plain(height=1.2, **more)  # type: ignore[arg-type]
    v = prior(rig).estimate.at_mean()
    still = loads(rig, v)
    found = rolling(still, v).at(grade, -GRAVITY * np.sin(grade), 0.0)
    pairs = [(found.front, still.front), (found.rear, still.rear), (found.tongue, still.net)]
    pairs += list(zip(found.trailer_axles, still.trailer_axles, strict=True))
    for mine, theirs in pairs:
        assert one(mine, 1) == pytest.approx(one(theirs, 1), abs=1e-6)


def test_braking_slackens_the_bars() -> None:
    """Braked hard, the vehicle's nose dips and the bars give less: the elastic rig carries more on
    the ball than the same transfer with the bars' moment kept."""
    rig = moving()
    level, braked = rig.at(0.0, 0.0, 0.0), rig.at(0.0, 5.0, 0.0)
    off = plain(axles=(4.7, 5.5))
    v = values(off)
    bare = rolling(loads(off, v), v)
    change = bare.at(0.0, 5.0, 0.0).tongue - bare.at(0.0, 0.0, 0.0).tongue
    # centre at the ball's height, no trailer brakes: but for squat, no moment about the ball
    assert abs(change.item()) < 50.0 < braked.tongue.item() - level.tongue.item()
