"""The balanced-cargo problem of a textbook, in the rows of the planner, things cut in pieces.

Source: F. S. Hillier and G. J. Lieberman, Introduction to Operations Research, 9th edition
(data as printed in public course notes); the optimum of the older data was computed.
"""

import numpy as np
import pytest

from steelyard.estimate import Array
from steelyard.stowing.problem import Bound, Problem, Water
from steelyard.stowing.program import REAL, Program, Watch

TONNES = np.array([20.0, 16.0, 25.0, 13.0])
CUBIC_FEET = np.array([500.0, 700.0, 600.0, 400.0])
WEIGHT_CAPS = np.array([12.0, 18.0, 10.0])
VOLUME_CAPS = np.array([7000.0, 9000.0, 5000.0])


def balanced() -> Problem:
    """Four cargoes, three holds, loads in proportion to the holds' weight caps."""
    every = np.eye(3)[:, None, :] * np.ones((3, 4, 3))
    volume = every * CUBIC_FEET[None, :, None]
    even = every[0] / WEIGHT_CAPS[0] - every[1] / WEIGHT_CAPS[1]
    level = every[0] / WEIGHT_CAPS[0] - every[2] / WEIGHT_CAPS[2]
    take = np.concatenate([every, volume, [even, -even, level, -level]])
    room = np.concatenate([WEIGHT_CAPS, VOLUME_CAPS, np.zeros(4)])
    names = tuple(tuple(f"{g} {n}" for n in range(int(t))) for g, t in enumerate(TONNES))
    return Problem(
        members=names,
        places=("front", "centre", "back"),
        allowed=np.ones((4, 3), dtype=bool),
        home=np.zeros(4, dtype=np.intp),
        weight=np.ones(4),
        importance=np.ones(4),
        bolted=np.zeros(4, dtype=bool),
        aim=np.zeros((0, 4, 3)),
        aim_base=np.zeros(0),
        spread_out=np.zeros((4, 3)),
        limits=Bound(take=take, room=room, family=("",) * len(room)),
        size=Bound(take=np.zeros((0, 4, 3)), room=np.zeros(0), family=()),
        together=(),
        apart=(),
        opposite=(),
        mirror=np.full(3, -1),
        water=Water(
            take=np.zeros((len(room), 0)),
            aim=np.zeros((0, 0)),
            low=np.zeros(0),
            high=np.zeros(0),
            tankful=np.zeros(0),
        ),
    )


def profit(each: Array) -> float:
    """The most that can be earned at so much a tonne of each cargo."""
    problem = balanced()
    program = Program(problem=problem, leaving=True, watch=Watch())
    n = program.highs.getNumCol()
    program.highs.changeColsIntegrality(n, np.arange(n, dtype=np.int32), np.full(n, REAL))
    cost = program.cost(-np.repeat(each[:, None], 3, axis=1))
    found = program.seek("profit", cost, near=0.0, loose=0.0, seconds=10.0)
    assert found is not None
    return -found.value


def test_profit_of_the_ninth_edition() -> None:
    """OP-1: $320, 400, 360 and 290 a tonne earn $13,330 at most."""
    assert profit(np.array([320.0, 400.0, 360.0, 290.0])) == pytest.approx(13330.0, abs=0.01)


def test_profit_of_the_older_data() -> None:
    """OP-1, older data: $280, 360, 320 and 250 a tonne earn $11,730 at most."""
    assert profit(np.array([280.0, 360.0, 320.0, 250.0])) == pytest.approx(11730.0, abs=0.01)
