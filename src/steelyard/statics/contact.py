"""Where an elastic rig settles: springs that can only push, three unknowns, exact.

Unknowns u = (drop at the front axle, drop at the rear axle, trailer pitch nose-down), metres and
radians. Every spring j presses with k_j max(0, a_j·u + g_j): suspension, helpers, bump stops,
trailer axles and spring bars alike. Where they balance the weights f is the minimum of a convex
energy, so it is unique and Newton's method on the active set ends on it exactly.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from steelyard.estimate import Array

ROUNDS = 20
PATIENT = 3
"""Turns after which those left are asked whether there is a balance to be found."""
FAINT = 1e-3
"""Part of its rate with which a spring that hangs free counts in Newton's direction."""
LENGTHS = 2.0 ** np.arange(4, -13, -1)[:, None]
"""Of Newton's step, tried at once."""
HAIR = 1e-9
"""Of two directions' lengths, what their product may be off by rounding."""
BALANCED = 1e-6
"""What forces may miss of the weights, as a part of them, in a balance."""
Triple = tuple[Any, Any, Any]
Shape = tuple[int, ...]
Places = Any
"""Indices of elements: an array, or one for each axis."""


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
    touching = _pressing(springs)
    u = solve(springs, touching, load)
    pressed = _compressions(springs, u)
    right = np.asarray(u[0] == u[0])
    for compression in pressed:
        right = right & (compression > 0)
    force = tuple(np.asarray(k * s) for k, s in zip(springs.rate, pressed, strict=True))
    if right.all():
        return Settled(u=u, force=force, touching=touching)
    if not right.ndim:
        return _alone(springs, load)
    return _resettled(springs, load, Settled(u=u, force=force, touching=touching), ~right)


def _alone(springs: Springs, load: Triple) -> Settled:
    """One rig without an axis, settled as a row of one."""
    found = _settle(springs, _whole(np.atleast_1d(f) for f in load))
    return Settled(
        u=_whole(x[0] for x in found.u),
        force=tuple(np.asarray(x[0]) for x in found.force),
        touching=tuple(np.asarray(x[0]) for x in found.touching),
    )


def _pressing(springs: Springs) -> tuple[Array, ...]:
    """Every spring pressing, at every element alike: 0-d."""
    return (np.ones((), dtype=bool),) * len(springs.rate)


def _resettled(springs: Springs, load: Triple, found: Settled, wrong: Array) -> Settled:
    """Settle again only the elements where some spring would have to pull."""

    def whole(parts: Iterable[Array]) -> tuple[Array, ...]:
        shape = wrong.shape  # arrays of it are this balance's own, and free to be written to
        return tuple(
            x if np.shape(x) == shape else np.array(np.broadcast_to(x, shape)) for x in parts
        )

    at = np.nonzero(wrong)
    u, force = whole(found.u), whole(found.force)
    touching = tuple(np.ones(wrong.shape, dtype=bool) for _ in force)
    part, part_load = _taken(springs, load, wrong.shape, at)
    settled, states = _newton(part, part_load, _whole(x[at] for x in u))
    _put(u + touching, at, settled + states)
    _put(force, at, _forces(part, settled, states))
    return Settled(u=_whole(u), force=force, touching=touching)


def _taken(springs: Springs, load: Triple, shape: Shape, at: Places) -> tuple[Springs, Triple]:
    def take(x: Any) -> Any:
        return x if isinstance(x, float) else np.broadcast_to(x, shape)[at]

    part = Springs(
        direction=tuple(_whole(take(x) for x in a) for a in springs.direction),
        rate=tuple(take(k) for k in springs.rate),
        offset=tuple(take(g) for g in springs.offset),
    )
    return part, _whole(take(f) for f in load)


def _newton(springs: Springs, load: Triple, u: Triple) -> tuple[Triple, tuple[Array, ...]]:
    """Balances of elements (n,) from where every spring pressing put them; an element that is there
    is left alone while the others go on, and one whose weights are no numbers is never there."""
    u = _whole(np.where(np.isfinite(x), x, 0.0) for x in u)
    touching = _signs(springs, u)
    done = _whole(np.full(len(x), np.nan) for x in u), tuple(t.copy() for t in touching)
    known = np.isfinite(sum(load)) & np.ones(len(u[0]), dtype=bool)
    left = np.flatnonzero(known)
    if not known.all():
        springs, load = _taken(springs, load, known.shape, left)
        u, touching = _whole(x[left] for x in u), tuple(t[left] for t in touching)
    for turn in range(ROUNDS):
        goal = solve(springs, touching, load)
        found = _signs(springs, goal)
        there: Any = _stands(springs, load, goal, found)
        for now, supposed in zip(found, touching, strict=True):
            there = np.logical_and(there, now == supposed)
        _put(done[0] + done[1], left[there], [x[there] for x in goal + found])
        if there.all():
            return done
        on = np.flatnonzero(~there & ~_topples(springs, load) if turn == PATIENT else ~there)
        springs, load = _taken(springs, load, there.shape, on)
        u, goal = _whole(x[on] for x in u), _whole(x[on] for x in goal)
        u = _nearer(springs, load, u, goal, tuple(t[on] for t in touching))
        left, touching = left[on], _signs(springs, u)
    _put(done[0] + done[1], left, _balanced(springs, load, u) + touching)
    return done


def _topples(springs: Springs, load: Triple) -> Any:
    """Where no springs that push can bear the weights, whatever their compressions, (n,).

    Gyula Farkas, J. reine angew. Math. 124 (1902) 1-27: the weights lie outside the cone of the
    springs' directions where a plane through two of them has all springs on one side and the
    weights on the other.
    """
    shape = np.broadcast_shapes(*(np.shape(x) for x in (*load, *springs.rate)))
    weights = np.stack([np.broadcast_to(f, shape) for f in load])
    a = np.stack([[np.broadcast_to(x, shape) for x in one] for one in springs.direction])
    i, j = np.triu_indices(len(a), 1)
    normal = np.cross(a[i], a[j], axis=1)
    normal = np.concatenate([normal, -normal])
    size = np.linalg.norm(normal, axis=1)
    far = size[:, None] * np.linalg.norm(a, axis=1)
    held = (np.einsum("pcn,mcn->pmn", normal, a) <= HAIR * far).all(axis=1)
    beyond = np.einsum("pcn,cn->pn", normal, weights) > HAIR * size * np.linalg.norm(
        weights, axis=0
    )
    return np.asarray((held & beyond).any(axis=0))


def _put(whole: Sequence[Array], at: Places, parts: Sequence[Array]) -> None:
    for x, part in zip(whole, parts, strict=True):
        x[at] = part


def _nearer(
    springs: Springs, load: Triple, u: Triple, goal: Triple, touching: tuple[Array, ...]
) -> Triple:
    """Newton's goal where its energy is lower than at u, else the least along the way there."""
    high = np.flatnonzero(~(energy(springs, load, goal) < energy(springs, load, u)))
    if high.size:
        part, part_load = _taken(springs, load, u[0].shape, high)
        states = tuple(t[high] for t in touching)
        _put(goal, high, _descend(part, part_load, _whole(x[high] for x in u), states))
    return goal


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
        pull = [_times(k if t.all() else k * t, part) for part in a]
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
    """The same element by element."""
    r0, r1, r2, l10, l20, l21 = factors(m00, m01, m02, m11, m12, m22)
    return substituted(r0, r1, r2, l10, l20, l21, f0, f1, f2)


def factors(
    m00: Any, m01: Any, m02: Any, m11: Any, m12: Any, m22: Any
) -> tuple[Any, Any, Any, Any, Any, Any]:
    """L and the reciprocals of D of M = L D L'; NumPy calls it on arrays, Numba compiles it."""
    r0 = 1.0 / m00
    l10, l20 = m01 * r0, m02 * r0
    e1 = m12 - l20 * m01
    r1 = 1.0 / (m11 - l10 * m01)
    l21 = e1 * r1
    return r0, r1, 1.0 / (m22 - l20 * m02 - l21 * e1), l10, l20, l21


def substituted(
    r0: Any, r1: Any, r2: Any, l10: Any, l20: Any, l21: Any, f0: Any, f1: Any, f2: Any
) -> Triple:
    """x by the factors of its matrix."""
    y1 = f1 - l10 * f0
    x2 = (f2 - l20 * f0 - l21 * y1) * r2
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
    step = solve(leaning, _pressing(springs), left)
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
