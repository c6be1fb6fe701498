"""The plan as a person carries it out: one thing after another, worst moment as good as can be."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Final

import numpy as np

from steelyard.estimate import Array, Values
from steelyard.quantity import GRAVITY, reported
from steelyard.rig import Rig
from steelyard.statics.loads import Loads, loads
from steelyard.stowing.arrange import Plan, arranged, believed, moved_items, now
from steelyard.stowing.problem import Steps, worst_along
from steelyard.stowing.question import Table, rows_at
from steelyard.swaying.linear.modes import oscillation
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.linear.search import settled
from steelyard.swaying.stage_sway import SPEED
from steelyard.travel import plan_stages

UNTOLD: Final = float("nan")


@dataclass(frozen=True, slots=True, kw_only=True)
class Calm:
    """Damping ratio of the least damped swing at `speed` (m/s), and the speed at which wagging
    starts (m/s, inf for never); NaN where the single-track model cannot answer for the rig."""

    speed: float
    damping: float
    wagging: float


def calm(rig: Rig, v: Values, found: Loads) -> Calm:
    """The linear model's answer at the first stage of `found`; v is one point.

    Asked at the rig's own travelling speed, else at 100 km/h.
    """
    at = rig.speed.value if rig.speed else SPEED
    try:
        whole = combination(rig, v, found)
        damping = np.ravel(oscillation(whole, at).ratio)[0]
        wagging = np.ravel(settled(whole).oscillatory)[0]
    except ValueError:
        return Calm(speed=at, damping=UNTOLD, wagging=UNTOLD)
    return Calm(speed=at, damping=float(damping), wagging=float(wagging))


MOST: Final = 12
"""Up to so many moves every order is weighed; beyond, the best next move is taken each time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """Weight on ball (bars off), front, rear and trailer axles as driven, kg."""

    ball: Annotated[float, reported.KILOGRAM]
    front: Annotated[float, reported.KILOGRAM]
    rear: Annotated[float, reported.KILOGRAM]
    trailer: Annotated[float, reported.KILOGRAM, reported.Key("trailer_axles")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One thing carried from one place to another, and loads and sway at the first stage after it.

    worst: kg by which the nearest limit is exceeded then (negative: room), over all stages.
    """

    item: str
    origin: str
    to: str
    after: Load
    calm: Calm
    worst: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sequence:
    """Moves in the best order. `before`, `calm` and `worst_before` are of how it is packed now;
    `peak` is the number of moves after which it is worse than at the start, if it ever is."""

    before: Load
    calm: Calm
    worst_before: float
    moves: tuple[Move, ...]
    peak: int | None


def ordered(table: Table, plan: Plan) -> Sequence:
    """The moves of a plan in the order whose worst moment is best."""
    start = {name: place for name, place in now(table.rig).items() if name in plan}
    todo = moved_items(start, plan)
    rows = rows_at(table, start)
    steps = worst_along(table.cargo, rows, start, plan, todo)
    order = _best(steps.base, steps.change) if len(todo) <= MOST else _greedy(steps)
    states = [start]
    for number in order:
        states.append({**states[-1], todo[number]: plan[todo[number]]})
    weighed = [_state(table, state) for state in states]
    worst = [
        float(np.max(steps.base + steps.change[list(order[:k])].sum(axis=0), initial=-np.inf))
        for k in range(len(order) + 1)
    ]
    moves = tuple(
        Move(
            item=todo[n],
            origin=start[todo[n]],
            to=plan[todo[n]],
            after=weighed[k][0],
            calm=weighed[k][1],
            worst=worst[k],
        )
        for k, n in enumerate(order, start=1)
    )
    high = int(np.argmax(worst))
    peak = high if worst[high] > max(worst[0], 0.0) + 0.01 else None
    load, calm_now = weighed[0]
    return Sequence(before=load, calm=calm_now, worst_before=worst[0], moves=moves, peak=peak)


def _best(base: Array, change: Array) -> tuple[int, ...]:
    """Order of m moves with the least worst moment, by dynamic programming over what is done.

    base (K,) and change (m, K): rows now, and what each move adds.
    """
    m = len(change)
    done = (np.arange(2**m)[:, None] >> np.arange(m)) & 1
    bad = np.array([np.max(base + row @ change, initial=-np.inf) for row in done])
    value, last = np.full(2**m, np.inf), np.full(2**m, -1)
    value[0] = -np.inf
    for state in range(1, 2**m):
        for move in range(m):
            if state >> move & 1 and value[state ^ (1 << move)] < value[state]:
                value[state], last[state] = value[state ^ (1 << move)], move
        value[state] = max(value[state], bad[state])
    order, state = [], 2**m - 1
    while state:
        order.append(int(last[state]))
        state ^= 1 << last[state]
    return tuple(reversed(order))


def _greedy(steps: Steps) -> tuple[int, ...]:
    """The best next move each time."""
    at, left, order = steps.base.copy(), list(range(len(steps.change))), []
    while left:
        move = min(left, key=lambda n: float(np.max(at + steps.change[n], initial=-np.inf)))
        at = at + steps.change[move]
        left.remove(move)
        order.append(move)
    return tuple(order)


def _state(table: Table, plan: Plan) -> tuple[Load, Calm]:
    """Loads and sway at the first stage, for one state of packing."""
    rig = arranged(table.rig, plan)
    values = believed(table.estimate, table.rig, rig).at_mean()
    found = loads(rig, values, plan_stages(rig)[:1])
    load = Load(
        ball=found.tongue.item() / GRAVITY,
        front=found.front.item() / GRAVITY,
        rear=found.rear.item() / GRAVITY,
        trailer=sum(axle.item() for axle in found.trailer_axles) / GRAVITY,
    )
    return load, calm(rig, values, found)


def less(new: Load, old: Load) -> Load:
    """What the one has more than the other."""
    return Load(
        ball=new.ball - old.ball,
        front=new.front - old.front,
        rear=new.rear - old.rear,
        trailer=new.trailer - old.trailer,
    )


def changes(found: Sequence) -> list[tuple[Move, Load]]:
    """Each move with what it alone added to ball and axles."""
    states = [found.before, *(move.after for move in found.moves)]
    return [
        (move, less(new, old))
        for move, (old, new) in zip(found.moves, pairwise(states), strict=True)
    ]
