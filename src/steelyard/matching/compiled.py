"""One compiled pass over pairs: gather, balance, limits and sway, draw by draw.

The same balance as `statics.balance` on the level while every spring presses, by the library's own
factors, tyre law and closed forms of sway, compiled here; a pair of which some draw would lift a
spring is marked and left to the general path. Functions stand at module level, so that Numba keeps
them on disk. Numba is imported here and in `compiled_sway`.

What a loop reads are rows of four tables and what it writes are rows of one, all of a length known
when it is compiled: so the compiler sees that they are apart, and takes several draws at a time.
"""

from typing import Any, Final

import numpy as np
from numba import carray, njit, types  # type: ignore[attr-defined]
from numba.extending import intrinsic, register_jitable

from steelyard.estimate import Array
from steelyard.matching.compiled_sway import growing, tyred
from steelyard.matching.pair_rows import (
    DRAWS,
    NO_BARS,
    PRESET,
    RESTORED,
    ROWS,
    Pair,
    Trailer,
    TrailerStage,
    Vehicle,
    VehicleStage,
)
from steelyard.matching.side_tables import Table
from steelyard.quantity import GRAVITY
from steelyard.statics import contact, lever

_LIBRARY: Final = (contact.factors, contact.substituted, lever.axle_loads)
for _one in _LIBRARY:
    register_jitable(error_model="numpy")(_one)
factors, substituted, axle_loads = _LIBRARY
LENGTHS: Final = len(Vehicle), len(VehicleStage), len(Trailer), len(TrailerStage), len(Pair)


def _address(_, array):  # type: ignore[no-untyped-def]
    """To an array's first number."""

    def generated(context, builder, signature, arguments):  # type: ignore[no-untyped-def]
        return context.make_array(signature.args[0])(context, builder, arguments[0]).data

    return types.CPointer(array.dtype)(array), generated  # type: ignore[no-untyped-call]


_pointer: Any = intrinsic(_address)


@njit(error_model="numpy", cache=True, forceinline=True)
def _levelled(x, y, mean, value, noise, one, two, w):  # type: ignore[no-untyped-def]
    """Both heights once the level ball is read, see `block_answers._level`: the ball's, and how far
    the trailer's springs are pressed where all unknowns are zero."""
    total, free = one + two + noise, one + two
    kept = np.sqrt(noise / total) - 1.0
    first = one / free if free > 0.0 else 0.0
    second = two / free if free > 0.0 else 0.0
    for c in range(DRAWS):
        ball, coupler = x[Vehicle.ball, c], y[Trailer.coupler, c]
        step = (value - mean) * free / total + (ball - coupler - mean) * kept
        w[Pair.ball, c] = ball + first * step
        w[Pair.sag, c] = coupler - second * step - w[Pair.ball, c] + y[Trailer.sag, c]


@njit(error_model="numpy", cache=True, forceinline=True)
def _as_stated(x, y, w):  # type: ignore[no-untyped-def]
    """The same where both were taped."""
    for c in range(DRAWS):
        w[Pair.ball, c] = x[Vehicle.ball, c]
        w[Pair.sag, c] = y[Trailer.coupler, c] - x[Vehicle.ball, c] + y[Trailer.sag, c]


@njit(error_model="numpy", cache=True, forceinline=True)
def _stiffness(x, y, w):  # type: ignore[no-untyped-def]
    """Factors of the matrix of springs: front, rear, and the trailer's groups by their sums."""
    for c in range(DRAWS):
        lever = x[Vehicle.overhang, c] / x[Vehicle.wheelbase, c]
        d0, d1, k, ks = -lever, 1.0 + lever, y[Trailer.rate_sum, c], y[Trailer.moment_sum, c]
        w[Pair.d0, c], w[Pair.d1, c] = d0, d1
        r0, r1, r2, l10, l20, l21 = factors(
            x[Vehicle.front_rate, c] + k * d0 * d0,
            k * d0 * d1,
            -ks * d0,
            x[Vehicle.rear_rate, c] + k * d1 * d1,
            -ks * d1,
            y[Trailer.square_sum, c],
        )
        w[Pair.r0, c], w[Pair.r1, c], w[Pair.r2, c] = r0, r1, r2
        w[Pair.l10, c], w[Pair.l20, c], w[Pair.l21, c] = l10, l20, l21


@njit(error_model="numpy", cache=True, forceinline=True)
def _moved(c, f0, f1, f2, w):  # type: ignore[no-untyped-def]
    """Displacements under loads with every spring pressing."""
    return substituted(
        w[Pair.r0, c],
        w[Pair.r1, c],
        w[Pair.r2, c],
        w[Pair.l10, c],
        w[Pair.l20, c],
        w[Pair.l21, c],
        f0,
        f1,
        f2,
    )


@njit(error_model="numpy", cache=True, forceinline=True)
def _bars_alone(x, w):  # type: ignore[no-untyped-def]
    """How the rig gives way to a newton metre of bars."""
    for c in range(DRAWS):
        turn = 1.0 / x[Vehicle.wheelbase, c]
        b0, b1, b2 = _moved(c, -turn, turn, 1.0, w)
        w[Pair.b0, c], w[Pair.b1, c], w[Pair.b2, c] = b0, b1, b2
        w[Pair.give, c] = (b1 - b0) * turn + b2


@njit(error_model="numpy", cache=True, forceinline=True)
def _drop(c, w):  # type: ignore[no-untyped-def]
    """How far a trailer spring at the ball would be pressed."""
    u0, u1 = w[Pair.u0, c], w[Pair.u1, c]
    return w[Pair.d0, c] * u0 + w[Pair.d1, c] * u1 + w[Pair.sag, c]


@njit(error_model="numpy", cache=True, forceinline=True)
def _loaded(x, xs, y, ys, w):  # type: ignore[no-untyped-def]
    """Generalised weights on the three unknowns, offsets of the springs taken off, and what they
    press them to."""
    for c in range(DRAWS):
        W2, k, sag = ys[TrailerStage.weight, c], y[Trailer.rate_sum, c], w[Pair.sag, c]
        d0, d1 = w[Pair.d0, c], w[Pair.d1, c]
        front, rear = axle_loads(
            xs[VehicleStage.weight, c], xs[VehicleStage.moment, c], x[Vehicle.wheelbase, c]
        )
        own_0 = x[Vehicle.front_rate, c] * x[Vehicle.front_offset, c]
        own_1 = x[Vehicle.rear_rate, c] * x[Vehicle.rear_offset, c]
        f0 = front + W2 * d0 - own_0 - k * d0 * sag
        f1 = rear + W2 * d1 - own_1 - k * d1 * sag
        f2 = y[Trailer.moment_sum, c] * sag - ys[TrailerStage.moment, c]
        w[Pair.alone, c] = front
        w[Pair.f0, c], w[Pair.f1, c], w[Pair.f2, c] = f0, f1, f2
        w[Pair.u0, c], w[Pair.u1, c], w[Pair.u2, c] = _moved(c, f0, f1, f2, w)


@njit(error_model="numpy", cache=True, forceinline=True)
def _turned(x, y, ys, radius, w):  # type: ignore[no-untyped-def]
    """The moment that the trailer's pitch adds, see `statics.balance.attitude`, and what the
    springs are pressed to under it."""
    for c in range(DRAWS):
        k, ks, u2 = y[Trailer.rate_sum, c], y[Trailer.moment_sum, c], w[Pair.u2, c]
        hinge = w[Pair.ball, c] - radius
        loose = ys[TrailerStage.loose, c] * GRAVITY * x[Vehicle.lift, c]
        ahead = ys[TrailerStage.height, c] + loose - ys[TrailerStage.weight, c] * hinge
        hubs = (k * _drop(c, w) - ks * u2) * (hinge - y[Trailer.hub, c])
        f2 = w[Pair.f2, c] + u2 * (ahead + hubs)
        w[Pair.u0, c], w[Pair.u1, c], w[Pair.u2, c] = _moved(c, w[Pair.f0, c], w[Pair.f1, c], f2, w)


@njit(error_model="numpy", cache=True, forceinline=True)
def _lifted(x, y, w):  # type: ignore[no-untyped-def]
    """In how many draws some spring does not press."""
    count = 0
    for c in range(DRAWS):
        drop, u2 = _drop(c, w), w[Pair.u2, c]
        first, second = y[Trailer.station, c] * u2, y[Trailer.station_2, c] * u2
        trailer = (drop > first) & (drop > second) & (drop > y[Trailer.station_3, c] * u2)
        front = w[Pair.u0, c] + x[Vehicle.front_offset, c] > 0.0
        rear = w[Pair.u1, c] + x[Vehicle.rear_offset, c] > 0.0
        count += 0 if trailer & front & rear else 1
    return count


@njit(error_model="numpy", cache=True, forceinline=True)
def _off(x, y, ys, w):  # type: ignore[no-untyped-def]
    """What is told with the bars off: tongue weight, and what the front wheels have lost."""
    for c in range(DRAWS):
        k, ks, u2 = y[Trailer.rate_sum, c], y[Trailer.moment_sum, c], w[Pair.u2, c]
        w[Pair.tongue, c] = ys[TrailerStage.weight, c] - (k * _drop(c, w) - ks * u2)
        front = x[Vehicle.front_rate, c] * (w[Pair.u0, c] + x[Vehicle.front_offset, c])
        w[Pair.lift, c] = x[Vehicle.own_front, c] - front


@njit(error_model="numpy", cache=True, forceinline=True)
def _opened(c, x, w):  # type: ignore[no-untyped-def]
    """By how much the hitch has opened, rad."""
    return (w[Pair.u1, c] - w[Pair.u0, c]) / x[Vehicle.wheelbase, c] + w[Pair.u2, c]


@njit(error_model="numpy", cache=True, forceinline=True)
def _bar_rate(c, stiff, x):  # type: ignore[no-untyped-def]
    """Of the bars about the ball, N m/rad."""
    return x[Vehicle.tip_rate, c] * stiff * x[Vehicle.arm, c] * x[Vehicle.arm, c]


@njit(error_model="numpy", cache=True, forceinline=True)
def _set(stiff, x, w):  # type: ignore[no-untyped-def]
    """The preset that gives back a share of the front load lost, see `statics.balance._preset`."""
    for c in range(DRAWS):
        kf = x[Vehicle.front_rate, c]
        lost = w[Pair.alone, c] - kf * (w[Pair.u0, c] + x[Vehicle.front_offset, c])
        moment = max(x[Vehicle.setting, c] * lost / (-kf * w[Pair.b0, c]), 0.0)
        needed = moment / _bar_rate(c, stiff, x) + moment * w[Pair.give, c]
        w[Pair.preset, c] = needed - _opened(c, x, w)


@njit(error_model="numpy", cache=True, forceinline=True)
def _barred(stiff, x, w):  # type: ignore[no-untyped-def]
    """Displacements with the bars on, which press or are slack."""
    for c in range(DRAWS):
        give = 1.0 / _bar_rate(c, stiff, x) + w[Pair.give, c]
        B = max((w[Pair.preset, c] + _opened(c, x, w)) / give, 0.0)
        w[Pair.u0, c] -= w[Pair.b0, c] * B
        w[Pair.u1, c] -= w[Pair.b1, c] * B
        w[Pair.u2, c] -= w[Pair.b2, c] * B


@njit(error_model="numpy", cache=True, forceinline=True)
def _axle(axle, share, count, equal, y, w):  # type: ignore[no-untyped-def]
    """Load of one trailer axle: its own spring's, or its share of its group's."""
    group = 0 if equal else axle
    for c in range(DRAWS):
        pressed = _drop(c, w) - y[Trailer.station + group, c] * w[Pair.u2, c]
        force, weight = y[Trailer.rate + group, c] * pressed, y[Trailer.unsprung, c] * GRAVITY
        w[Pair.axle + axle, c] = share * (force - count * weight) + weight if equal else force


@njit(error_model="numpy", cache=True, forceinline=True)
def _driven(x, xs, ys, w):  # type: ignore[no-untyped-def]
    """What limits look at of the rig as driven."""
    for c in range(DRAWS):
        W1, W2, tongue = xs[VehicleStage.weight, c], ys[TrailerStage.weight, c], w[Pair.tongue, c]
        front = x[Vehicle.front_rate, c] * (w[Pair.u0, c] + x[Vehicle.front_offset, c])
        rear = x[Vehicle.rear_rate, c] * (w[Pair.u1, c] + x[Vehicle.rear_offset, c])
        w[Pair.front, c], w[Pair.rear, c], w[Pair.vehicle, c] = front, rear, front + rear
        w[Pair.trailer, c], w[Pair.share, c], w[Pair.combined, c] = W2, tongue / W2, W1 + W2
        w[Pair.ratio, c], w[Pair.unladen, c] = W2 / W1, W2 / x[Vehicle.unladen, c]
        w[Pair.payload, c] = xs[VehicleStage.carried, c] + tongue
        w[Pair.bars, c] = tongue + xs[VehicleStage.behind, c]
        w[Pair.axles, c] = w[Pair.axle, c] + w[Pair.axle_2, c] + w[Pair.axle_3, c]


@njit(error_model="numpy", cache=True, forceinline=True)
def _vehicle_sides(x, xs, w):  # type: ignore[no-untyped-def]
    """The heavier side of the vehicle's axles."""
    for c in range(DRAWS):
        moment, roll = xs[VehicleStage.offset, c], x[Vehicle.roll, c]
        front, rear = moment * roll, moment * (1.0 - roll)
        w[Pair.front_side, c] = w[Pair.front, c] / 2 + abs(front / x[Vehicle.front_track, c])
        w[Pair.rear_side, c] = w[Pair.rear, c] / 2 + abs(rear / x[Vehicle.rear_track, c])


@njit(error_model="numpy", cache=True, forceinline=True)
def _trailer_side(axle, count, x, y, ys, w):  # type: ignore[no-untyped-def]
    """The heavier side of a trailer axle."""
    for c in range(DRAWS):
        loose = ys[TrailerStage.loose, c] * GRAVITY * x[Vehicle.aside, c]
        own = (ys[TrailerStage.offset, c] + loose) / count
        w[Pair.side + axle, c] = w[Pair.axle + axle, c] / 2 + abs(own / y[Trailer.track, c])


@njit(error_model="numpy", cache=True, fastmath={"reassoc"})
def _moments(row):  # type: ignore[no-untyped-def]
    """Mean and sd; sums in any order, so that they are added several at a time."""
    total = 0.0
    for c in range(DRAWS):
        total += row[c]
    mean, square = total / DRAWS, 0.0
    for c in range(DRAWS):
        square += (row[c] - mean) * (row[c] - mean)
    return mean, np.sqrt(square / DRAWS)


@njit(error_model="numpy", cache=True, forceinline=True)
def _stage(x, xs, y, ys, radius, stiff, how, first, shares, equal, w):  # type: ignore[no-untyped-def]
    """One stage of one pair, all draws, into w; in how many draws a spring lifts."""
    _loaded(x, xs, y, ys, w)
    lifted = _lifted(x, y, w)
    _turned(x, y, ys, radius, w)
    lifted += _lifted(x, y, w)
    _off(x, y, ys, w)
    if how != NO_BARS:
        if how == RESTORED and first:
            _set(stiff, x, w)
        _barred(stiff, x, w)
        lifted += _lifted(x, y, w)
    for axle in range(shares.size):
        _axle(axle, shares[axle], shares.size, equal, y, w)
        _trailer_side(axle, shares.size, x, y, ys, w)
    _driven(x, xs, ys, w)
    _vehicle_sides(x, xs, w)
    return lifted


@njit(error_model="numpy", cache=True)
def passed(  # type: ignore[no-untyped-def]
    tows,
    toweds,
    a,
    b,
    level,
    variances,
    heights,
    stiff,
    radius,
    how,
    stages,
    shares,
    equal,
    speed,
    needed,
    work,
    means,
    sds,
    grows,
    lifted,
):
    """Pairs of the a-th vehicle with the b-th trailer, (B,) each, into means and sds (rows, S, B),
    grows (S, B) and lifted (B,), how often a spring of some draw does not press.

    level: value and variance of the level ball's reading, an infinite variance for none; variances,
    heights: of ball (G1,) and coupler (G2,), heights at the best estimate; stiff: (B,) of the bars;
    stages: their order, the one at which bars are set first; needed: rows that some limit looks at;
    work: room to work in.
    """
    w = carray(_pointer(work), (LENGTHS[4], DRAWS))
    for p in range(a.size):
        i, j = a[p], b[p]
        x = carray(_pointer(tows.plain[i]), (LENGTHS[0], DRAWS))
        y = carray(_pointer(toweds.plain[j]), (LENGTHS[2], DRAWS))
        if level[1] < np.inf:
            mean, one, two = heights[0][i] - heights[1][j], variances[0][i], variances[1][j]
            _levelled(x, y, mean, level[0], level[1], one, two, w)
        else:
            _as_stated(x, y, w)
        _stiffness(x, y, w)
        tyred(x, y, w)
        if how != NO_BARS:
            _bars_alone(x, w)
        if how == PRESET:
            for c in range(DRAWS):
                w[Pair.preset, c] = x[Vehicle.setting, c]
        lifted[p] = 0
        for place in range(stages.size):
            s, first = stages[place], place == 0
            xs = carray(_pointer(tows.staged[s, i]), (LENGTHS[1], DRAWS))
            ys = carray(_pointer(toweds.staged[s, j]), (LENGTHS[3], DRAWS))
            lifted[p] += _stage(x, xs, y, ys, radius, stiff[p], how, first, shares, equal, w)
            grows[s, p] = growing(x, xs, y, ys, shares.size, speed, w)
            for row in range(means.shape[0]):
                if needed[row]:
                    means[row, s, p], sds[row, s, p] = _moments(w[row])


def pass_over(tows: Table, toweds: Table, a: Any, b: Any, **words: Any) -> tuple[Array, ...]:
    """`passed` with room for its answers: means, sds, grows, lifted."""
    S, B = tows.staged.shape[0], len(a)
    means: Array = np.full((len(ROWS), S, B), np.nan)
    sds: Array = np.full((len(ROWS), S, B), np.nan)
    grows: Array = np.empty((S, B))
    lifted: Array = np.empty(B)
    work = np.zeros((len(Pair), DRAWS))
    passed(tows, toweds, a, b, work=work, means=means, sds=sds, grows=grows, lifted=lifted, **words)
    return means, sds, grows, lifted
