"""Where an elastic rig settles: springs that can only push, three unknowns, exact.

Unknowns u = (drop at the front axle, drop at the rear axle, trailer pitch nose-down), metres and
radians. Every spring j presses with k_j max(0, a_j·u + g_j): suspension, helpers, bump stops,
trailer axles and spring bars alike. Where they balance the weights f is the minimum of a convex
energy, so it is unique and Newton's method on the active set ends on it exactly.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from steelyard.estimate import Array

ROUNDS = 20
FAINT = 1e-3
"""Part of its rate with which a spring that hangs free counts in Newton's direction."""
LENGTHS = 2.0 ** np.arange(4, -13, -1)[:, None]
"""Of Newton's step, tried at once."""
BALANCED = 1e-6
"""What forces may miss of the weights, as a part of them, in a balance."""
Triple = tuple[Any, Any, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class Springs:
    """m one-sided springs: each direction a triple of arrays, rates and offsets arrays (...)."""

    direction: tuple[Triple, ...]
    rate: tuple[Array, ...]
    offset: tuple[Array, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Settled:
    """A balance: displacements (3 arrays), spring forces (m arrays), contact states (m arrays)."""

    u: Triple
    force: tuple[Array, ...]
    touching: tuple[Array, ...]


def settle(springs: Springs, load: Triple) -> Settled:
    """Balance of the springs under generalised weights `load` (N, N, N m); shapes broadcast.

    Elements that find no balance (a rig that would topple) come back as NaN. Semi-smooth Newton:
    Qi & Sun, Mathematical Programming 58 (1993) 353-367; the step is halved where the energy would
    rise, so the iteration cannot cycle.
    """
    with np.errstate(over="ignore", invalid="ignore"):
        return _settle(springs, load)


def _settle(springs: Springs, load: Triple) -> Settled:
    touching = _all_touching(springs)
    u = solve(springs, touching, load)
    pressed = _compressions(springs, u)
    right = np.asarray(u[0] == u[0])
    for compression in pressed:
        right = right & (compression > 0)
    if right.all():
        force = tuple(np.asarray(k * s) for k, s in zip(springs.rate, pressed, strict=True))
        return Settled(u=u, force=force, touching=touching)
    u, touching = _resettle(springs, load, u, ~right)
    return Settled(u=u, force=_forces(springs, u, touching), touching=touching)


def _all_touching(springs: Springs) -> tuple[Array, ...]:
    """Every spring pressing, at every element alike: 0-d."""
    return (np.ones((), dtype=bool),) * len(springs.rate)


def _resettle(
    springs: Springs, load: Triple, u: Triple, wrong: Array
) -> tuple[Triple, tuple[Array, ...]]:
    """Settle again only the elements where some spring would have to pull."""
    part, part_load = _taken(springs, load, wrong)
    found, states = _newton(part, part_load)
    whole = tuple(np.array(np.broadcast_to(x, wrong.shape)) for x in u)
    for x, new in zip(whole, found, strict=True):
        x[wrong] = new
    touching = tuple(np.ones(wrong.shape, dtype=bool) for _ in states)
    for t, new in zip(touching, states, strict=True):
        t[wrong] = new
    return whole, touching  # type: ignore[return-value]


def _taken(springs: Springs, load: Triple, where: Array) -> tuple[Springs, Triple]:
    def take(x: Any) -> Array:
        return np.asarray(np.broadcast_to(x, where.shape)[where])

    part = Springs(
        direction=tuple(tuple(take(x) for x in a) for a in springs.direction),  # type: ignore[misc]
        rate=tuple(take(k) for k in springs.rate),
        offset=tuple(take(g) for g in springs.offset),
    )
    return part, tuple(take(f) for f in load)  # type: ignore[return-value]


def _newton(springs: Springs, load: Triple) -> tuple[Triple, tuple[Array, ...]]:
    u: Triple = solve(springs, _all_touching(springs), load)
    u = _whole(np.where(np.isfinite(x), x, 0.0) for x in u)
    touching = _signs(springs, u)
    for _ in range(ROUNDS):
        goal = solve(springs, touching, load)
        found = _signs(springs, goal)
        there = _stands(springs, load, goal, found)
        for now, supposed in zip(found, touching, strict=True):
            there = np.logical_and(there, now == supposed)
        lower = energy(springs, load, goal) < energy(springs, load, u)
        take = np.logical_or(there, lower)
        nearer = u if take.all() else _descend(springs, load, u, touching)
        u = _whole(np.where(take, a, b) for a, b in zip(goal, nearer, strict=True))
        touching = _signs(springs, u)
        if there.all():
            break
    return _balanced(springs, load, u), touching


def _whole(parts: Iterable[Array]) -> Triple:
    a, b, c = parts
    return a, b, c


def _balanced(springs: Springs, load: Triple, u: Triple) -> Triple:
    """u where the springs' forces meet the weights, else NaN.

    Two springs left to bear three weights make a singular matrix; by rounding it can be solved
    all the same, into displacements of any size whose forces meet nothing: a rig that topples.
    """
    stands = _stands(springs, load, u, _signs(springs, u))
    return _whole(np.where(stands, part, np.nan) for part in u)


def solve(springs: Springs, touching: tuple[Array, ...], load: Triple) -> Triple:
    """Displacements with a given set of springs touching: one symmetric 3 by 3 system each."""
    matrix: list[Any] = [np.float64(0.0)] * 6  # not Python's: nothing pressing is no balance
    right = list(load)
    for a, k, g, t in zip(springs.direction, springs.rate, springs.offset, touching, strict=True):
        pull = [_times(k if np.all(t) else k * t, part) for part in a]
        for place, (p, q) in enumerate(_UPPER):
            matrix[place] = _plus(matrix[place], _times(pull[p], a[q]))
        for p in range(3):
            right[p] = right[p] if _is(pull[p], 0.0) else right[p] - pull[p] * g
    return solve_symmetric(matrix, tuple(right))


_UPPER = ((0, 0), (0, 1), (0, 2), (1, 1), (1, 2), (2, 2))


def _is(x: Any, number: float) -> bool:
    """True for a plain number (no array), such as the 0 and 1 of an axle's own direction."""
    return isinstance(x, float) and x == number


def _times(x: Any, y: Any) -> Any:
    """x y, without the work where either is a plain 0 or y a plain 1."""
    if _is(x, 0.0) or _is(y, 0.0):
        return 0.0
    return x if _is(y, 1.0) else x * y


def _plus(x: Any, y: Any) -> Any:
    if _is(y, 0.0):
        return x
    return y if _is(x, 0.0) else x + y


def solve_symmetric(m: list[Any], f: tuple[Any, ...]) -> Triple:
    """x with M x = f for symmetric positive definite 3 by 3 M = (m00, m01, m02, m11, m12, m22)."""
    with np.errstate(divide="ignore", invalid="ignore"):
        return eliminated(m[0], m[1], m[2], m[3], m[4], m[5], f[0], f[1], f[2])


def eliminated(
    m00: Any, m01: Any, m02: Any, m11: Any, m12: Any, m22: Any, f0: Any, f1: Any, f2: Any
) -> Triple:
    """The same element by element: NumPy calls it on arrays, Numba compiles it."""
    r0 = 1.0 / m00
    l10, l20 = m01 * r0, m02 * r0
    e1 = m12 - l20 * m01
    r1 = 1.0 / (m11 - l10 * m01)
    l21 = e1 * r1
    y1 = f1 - l10 * f0
    x2 = (f2 - l20 * f0 - l21 * y1) / (m22 - l20 * m02 - l21 * e1)
    x1 = y1 * r1 - l21 * x2
    return f0 * r0 - l10 * x1 - l20 * x2, x1, x2


def stretch(a: Triple, u: Triple, offset: Any) -> Any:
    """Compression a·u + g of one spring."""
    return a[0] * u[0] + a[1] * u[1] + a[2] * u[2] + offset


def energy(springs: Springs, load: Triple, u: Triple) -> Array:
    """Spring energy less the work of the weights, J; its minimum is the balance."""
    stored = sum(
        0.5 * k * np.maximum(stretch(a, u, g), 0.0) ** 2
        for a, k, g in zip(springs.direction, springs.rate, springs.offset, strict=True)
    )
    return np.asarray(stored - sum(f * x for f, x in zip(load, u, strict=True)))


def _compressions(springs: Springs, u: Triple) -> tuple[Array, ...]:
    """`stretch` of every spring, without the work for plain zeros."""
    found = []
    for a, g in zip(springs.direction, springs.offset, strict=True):
        total: Any = g
        for part, x in zip(a, u, strict=True):
            total = _plus(total, _times(x, part))
        found.append(np.asarray(total))
    return tuple(found)


def _signs(springs: Springs, u: Triple) -> tuple[Array, ...]:
    return tuple(np.asarray(compression > 0) for compression in _compressions(springs, u))


def _forces(springs: Springs, u: Triple, touching: tuple[Array, ...]) -> tuple[Array, ...]:
    """What each spring presses with, N; of a rig without a balance none is known, not even zero."""
    pressed, free = _compressions(springs, u), np.where(np.isnan(u[0]), np.nan, 0.0)
    parts = zip(springs.rate, pressed, touching, strict=True)
    return tuple(np.where(t, k * compression, free) for k, compression, t in parts)


def _descend(springs: Springs, load: Triple, u: Triple, touching: tuple[Array, ...]) -> Triple:
    """From u to where the energy is least along Newton's direction, of the lengths tried.

    Springs that hang free count a little in the direction, not in the force: without them too few
    may be left to lean on, and the direction would be anywhere.
    """
    left = _unmet(springs, load, u, touching)
    rate = tuple(np.where(t, k, FAINT * k) for k, t in zip(springs.rate, touching, strict=True))
    still = tuple(np.zeros_like(g) for g in springs.offset)
    leaning = replace(springs, rate=rate, offset=still)
    step = solve(leaning, _all_touching(springs), left)
    trials = _whole(x + LENGTHS * d for x, d in zip(u, step, strict=True))
    best = np.argmin(energy(springs, load, trials), axis=0)
    return _whole(np.take_along_axis(x, best[None], axis=0)[0] for x in trials)


def _stands(springs: Springs, load: Triple, u: Triple, touching: tuple[Array, ...]) -> Array:
    """Whether the springs' forces at u meet the weights."""
    left = _unmet(springs, load, u, touching)
    size = sum(np.abs(part) for part in load) + 1e-9
    return np.asarray(sum(np.abs(part) for part in left) / size < BALANCED)


def _unmet(springs: Springs, load: Triple, u: Triple, touching: tuple[Array, ...]) -> Triple:
    """What the springs' forces at u leave of the weights."""
    pressed = _forces(springs, u, touching)
    return _whole(
        load[p] - sum(n * a[p] for n, a in zip(pressed, springs.direction, strict=True))
        for p in range(3)
    )
