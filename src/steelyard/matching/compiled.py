"""One compiled pass over pairs: gather, balance, limits and sway, draw by draw.

The same balance as `statics.balance` on the level while every spring presses, by the library's own
elimination, tyre law and closed forms of sway, compiled here; a pair of which some draw would lift
a spring is marked and left to the general path. Functions stand at module level, so that Numba
keeps them on disk. Numba is imported here and nowhere else.
"""

from typing import Any, Final

import numpy as np
from numba import njit
from numba.extending import register_jitable

from steelyard.estimate import Array
from steelyard.matching.compiled_sway import growing
from steelyard.matching.pair_rows import (
    AXLE,
    AXLES,
    BARS,
    COMBINED,
    FRONT,
    FRONT_SIDE,
    LIFT,
    NO_BARS,
    PAYLOAD,
    PRESET,
    RATIO,
    REAR,
    REAR_SIDE,
    RESTORED,
    ROWS,
    SHARE,
    SIDE,
    TONGUE,
    TRAILER,
    UNLADEN,
    VEHICLE,
    Scratch,
)
from steelyard.matching.side_tables import Toweds, Tows
from steelyard.quantity import GRAVITY
from steelyard.statics import contact, lever

_LIBRARY: Final = (
    contact.eliminated,
    lever.axle_loads,
)
for _one in _LIBRARY:
    register_jitable(error_model="numpy")(_one)
eliminated, axle_loads = contact.eliminated, lever.axle_loads


# Short loops over few arrays each: a loop that reads and writes more than some ten apart cannot be
# proven free of overlap, and then takes one draw at a time.


@njit(error_model="numpy", cache=True)
def _levelled(ball, coupler, sag, mean, value, noise, one, two, z):  # type: ignore[no-untyped-def]
    """Both heights once the level ball is read, see `kernel._level`: the ball's, and how far the
    trailer's springs are pressed where all unknowns are zero."""
    total, free = one + two + noise, one + two
    kept = np.sqrt(noise / total) - 1.0
    first = one / free if free > 0.0 else 0.0
    second = two / free if free > 0.0 else 0.0
    for c in range(ball.size):
        step = (value - mean) * free / total + (ball[c] - coupler[c] - mean) * kept
        z.ball[c] = ball[c] + first * step
        z.sag[c] = coupler[c] - second * step - z.ball[c] + sag[c]


@njit(error_model="numpy", cache=True)
def _as_stated(ball, coupler, sag, z):  # type: ignore[no-untyped-def]
    """The same where both were taped."""
    for c in range(ball.size):
        z.ball[c] = ball[c]
        z.sag[c] = coupler[c] - ball[c] + sag[c]


@njit(error_model="numpy", cache=True)
def _stiffness(L, h, kf, kr, k, ks, kss, z):  # type: ignore[no-untyped-def]
    """The matrix of springs: front, rear, and the trailer's groups by their sums."""
    for c in range(L.size):
        lever = h[c] / L[c]
        z.d0[c] = -lever
        z.d1[c] = 1.0 + lever
    for c in range(L.size):
        d0, d1 = z.d0[c], z.d1[c]
        z.m00[c], z.m01[c], z.m02[c] = kf[c] + k[c] * d0 * d0, k[c] * d0 * d1, -ks[c] * d0
        z.m11[c], z.m12[c], z.m22[c] = kr[c] + k[c] * d1 * d1, -ks[c] * d1, kss[c]


@njit(error_model="numpy", cache=True)
def _bars_alone(L, z):  # type: ignore[no-untyped-def]
    """How the rig gives way to a newton metre of bars."""
    for c in range(L.size):
        turn = 1.0 / L[c]
        z.b0[c], z.b1[c], z.b2[c] = eliminated(
            z.m00[c], z.m01[c], z.m02[c], z.m11[c], z.m12[c], z.m22[c], -turn, turn, 1.0
        )
    for c in range(L.size):
        z.give[c] = (z.b1[c] - z.b0[c]) / L[c] + z.b2[c]


@njit(error_model="numpy", cache=True)
def _loaded(W1, M1, W2, M2, L, kf, gf, kr, gr, k, ks, z):  # type: ignore[no-untyped-def]
    """Generalised weights on the three unknowns, offsets of the springs taken off."""
    for c in range(L.size):
        front, rear = axle_loads(W1[c], M1[c], L[c])
        z.alone[c] = front
        z.f0[c] = front + W2[c] * z.d0[c] - kf[c] * gf[c] - k[c] * z.d0[c] * z.sag[c]
        z.f1[c] = rear + W2[c] * z.d1[c] - kr[c] * gr[c] - k[c] * z.d1[c] * z.sag[c]
    for c in range(L.size):
        z.f2[c] = ks[c] * z.sag[c] - M2[c]


@njit(error_model="numpy", cache=True)
def _solved(z):  # type: ignore[no-untyped-def]
    """Displacements with every spring pressing."""
    for c in range(z.f0.size):
        z.u0[c], z.u1[c], z.u2[c] = eliminated(
            z.m00[c], z.m01[c], z.m02[c], z.m11[c], z.m12[c], z.m22[c], z.f0[c], z.f1[c], z.f2[c]
        )


@njit(error_model="numpy", cache=True)
def _turned(W2, tall, loose, lift, hub, radius, k, ks, z):  # type: ignore[no-untyped-def]
    """The moment that the trailer's pitch adds, see `statics.balance.attitude`."""
    for c in range(W2.size):
        drop = z.d0[c] * z.u0[c] + z.d1[c] * z.u1[c] + z.sag[c]
        hinge = z.ball[c] - radius
        ahead = tall[c] + loose[c] * GRAVITY * lift[c] - W2[c] * hinge
        hubs = (k[c] * drop - ks[c] * z.u2[c]) * (hinge - hub[c])
        z.f2[c] += z.u2[c] * (ahead + hubs)


@njit(error_model="numpy", cache=True)
def _lifted(gf, gr, s1, s2, s3, z):  # type: ignore[no-untyped-def]
    """In how many draws some spring does not press."""
    count = 0
    for c in range(gf.size):
        drop, u2 = z.d0[c] * z.u0[c] + z.d1[c] * z.u1[c] + z.sag[c], z.u2[c]
        trailer = (drop - s1[c] * u2 > 0.0) & (drop - s2[c] * u2 > 0.0) & (drop - s3[c] * u2 > 0.0)
        all_press = trailer & (z.u0[c] + gf[c] > 0.0) & (z.u1[c] + gr[c] > 0.0)
        count += 0 if all_press else 1
    return count


@njit(error_model="numpy", cache=True)
def _off(W2, own, kf, gf, k, ks, z, X):  # type: ignore[no-untyped-def]
    """What is told with the bars off: tongue weight, and what the front wheels have lost."""
    for c in range(W2.size):
        drop = z.d0[c] * z.u0[c] + z.d1[c] * z.u1[c] + z.sag[c]
        X[TONGUE, c] = W2[c] - (k[c] * drop - ks[c] * z.u2[c])
    for c in range(W2.size):
        X[LIFT, c] = own[c] - kf[c] * (z.u0[c] + gf[c])


@njit(error_model="numpy", cache=True)
def _set(share, tip, arm, stiff, kf, gf, L, z):  # type: ignore[no-untyped-def]
    """The preset that gives back a share of the front load lost, see `statics.balance._preset`."""
    for c in range(L.size):
        gained = -kf[c] * z.b0[c]
        moment = max(share[c] * (z.alone[c] - kf[c] * (z.u0[c] + gf[c])) / gained, 0.0)
        opened = (z.u1[c] - z.u0[c]) / L[c] + z.u2[c]
        z.preset[c] = moment / (tip[c] * stiff * arm[c] * arm[c]) - opened + moment * z.give[c]


@njit(error_model="numpy", cache=True)
def _barred(tip, arm, stiff, L, z):  # type: ignore[no-untyped-def]
    """Displacements with the bars on, which press or are slack."""
    for c in range(L.size):
        opened = (z.u1[c] - z.u0[c]) / L[c] + z.u2[c]
        rate = tip[c] * stiff * arm[c] * arm[c]
        B = max((z.preset[c] + opened) / (1.0 / rate + z.give[c]), 0.0)
        z.u0[c], z.u1[c], z.u2[c] = (
            z.u0[c] - z.b0[c] * B,
            z.u1[c] - z.b1[c] * B,
            z.u2[c] - z.b2[c] * B,
        )


@njit(error_model="numpy", cache=True)
def _axle(k, s, share, count, own, equal, z, load):  # type: ignore[no-untyped-def]
    """Load of one trailer axle: its own spring's, or its share of its group's."""
    for c in range(k.size):
        drop = z.d0[c] * z.u0[c] + z.d1[c] * z.u1[c] + z.sag[c]
        force, weight = k[c] * (drop - s[c] * z.u2[c]), own[c] * GRAVITY
        load[c] = share * (force - count * weight) + weight if equal else force


@njit(error_model="numpy", cache=True)
def _driven(kf, gf, kr, gr, W1, W2, carried, behind, unladen, z, X):  # type: ignore[no-untyped-def]
    """What limits look at of the rig as driven."""
    for c in range(kf.size):
        X[FRONT, c], X[REAR, c] = kf[c] * (z.u0[c] + gf[c]), kr[c] * (z.u1[c] + gr[c])
    for c in range(kf.size):
        X[TRAILER, c], X[SHARE, c] = W2[c], X[TONGUE, c] / W2[c]
        X[RATIO, c], X[UNLADEN, c] = W2[c] / W1[c], W2[c] / unladen[c]
    for c in range(kf.size):
        X[VEHICLE, c], X[COMBINED, c] = X[FRONT, c] + X[REAR, c], W1[c] + W2[c]
        X[PAYLOAD, c], X[BARS, c] = carried[c] + X[TONGUE, c], X[TONGUE, c] + behind[c]
        X[AXLES, c] = X[AXLE, c] + X[AXLE + 1, c] + X[AXLE + 2, c]


@njit(error_model="numpy", cache=True)
def _vehicle_sides(moment, roll, front, rear, X):  # type: ignore[no-untyped-def]
    """The heavier side of the vehicle's axles."""
    for c in range(roll.size):
        X[FRONT_SIDE, c] = X[FRONT, c] / 2 + abs(moment[c] * roll[c] / front[c])
        X[REAR_SIDE, c] = X[REAR, c] / 2 + abs(moment[c] * (1.0 - roll[c]) / rear[c])


@njit(error_model="numpy", cache=True)
def _trailer_sides(moment, loose, aside, track, count, X):  # type: ignore[no-untyped-def]
    """The heavier side of each trailer axle."""
    for axle in range(count):
        for c in range(track.size):
            own = (moment[c] + loose[c] * GRAVITY * aside[c]) / count
            X[SIDE + axle, c] = X[AXLE + axle, c] / 2 + abs(own / track[c])


@njit(error_model="numpy", cache=True, fastmath={"reassoc"})
def _moments(row):  # type: ignore[no-untyped-def]
    """Mean and sd; sums in any order, so that they are added several at a time."""
    total = 0.0
    for c in range(row.size):
        total += row[c]
    mean, square = total / row.size, 0.0
    for c in range(row.size):
        square += (row[c] - mean) * (row[c] - mean)
    return mean, np.sqrt(square / row.size)


@njit(error_model="numpy", cache=True)
def _stage(x, y, s, i, j, radius, stiff, how, first, shares, equal, z, X):  # type: ignore[no-untyped-def]
    """One stage of one pair, all draws: rows of X (rows, n); in how many draws a spring lifts."""
    count = shares.size
    L, kf, kr, gf, gr = (
        x.wheelbase[i],
        x.front_rate[i],
        x.rear_rate[i],
        x.front_offset[i],
        x.rear_offset[i],
    )
    k, ks, W1, W2 = y.rates[0, j], y.rates[1, j], x.weight[s, i], y.weight[s, j]
    s1, s2, s3 = y.station[0, j], y.station[1, j], y.station[2, j]
    _loaded(W1, x.moment[s, i], W2, y.lever_moment[s, j], L, kf, gf, kr, gr, k, ks, z)
    _solved(z)
    lifted = _lifted(gf, gr, s1, s2, s3, z)
    _turned(W2, y.height[s, j], y.loose[s, j], x.lift[i], y.hub[j], radius, k, ks, z)
    _solved(z)
    lifted += _lifted(gf, gr, s1, s2, s3, z)
    _off(W2, x.own_front[i], kf, gf, k, ks, z, X)
    if how != NO_BARS:
        if how == RESTORED and first:
            _set(x.setting[i], x.tip_rate[i], x.arm[i], stiff, kf, gf, L, z)
        _barred(x.tip_rate[i], x.arm[i], stiff, L, z)
        lifted += _lifted(gf, gr, s1, s2, s3, z)
    for axle in range(count):
        group = 0 if equal else axle
        rate, where = y.rate[group, j], y.station[group, j]
        _axle(rate, where, shares[axle], count, y.unsprung[j], equal, z, X[AXLE + axle])
    _driven(kf, gf, kr, gr, W1, W2, x.carried[s, i], x.behind[s, i], x.unladen[i], z, X)
    _vehicle_sides(x.offset[s, i], x.roll[i], x.front_track[i], x.rear_track[i], X)
    _trailer_sides(y.offset[s, j], y.loose[s, j], x.aside[i], y.track[j], count, X)
    return lifted


@njit(error_model="numpy", cache=True)
def passed(  # type: ignore[no-untyped-def]
    x,
    y,
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
    z,
    X,
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
    z, X: room to work in.
    """
    for p in range(a.size):
        i, j = a[p], b[p]
        if level[1] < np.inf:
            mean, one, two = heights[0][i] - heights[1][j], variances[0][i], variances[1][j]
            _levelled(x.ball[i], y.coupler[j], y.sag[j], mean, level[0], level[1], one, two, z)
        else:
            _as_stated(x.ball[i], y.coupler[j], y.sag[j], z)
        L, kf, kr = x.wheelbase[i], x.front_rate[i], x.rear_rate[i]
        _stiffness(L, x.overhang[i], kf, kr, y.rates[0, j], y.rates[1, j], y.rates[2, j], z)
        if how != NO_BARS:
            _bars_alone(L, z)
        if how == PRESET:
            z.preset[:] = x.setting[i]
        lifted[p] = 0
        for place in range(stages.size):
            s, first = stages[place], place == 0
            lifted[p] += _stage(x, y, s, i, j, radius, stiff[p], how, first, shares, equal, z, X)
            grows[s, p] = growing(x, y, s, i, j, shares.size, speed, z, X)
            for row in range(means.shape[0]):
                if needed[row]:
                    means[row, s, p], sds[row, s, p] = _moments(X[row])


def pass_over(tows: Tows, toweds: Toweds, a: Any, b: Any, **words: Any) -> tuple[Array, ...]:
    """`passed` with room for its answers: means, sds, grows, lifted."""
    S, B, n = tows.weight.shape[0], len(a), tows.wheelbase.shape[1]
    means: Array = np.full((len(ROWS), S, B), np.nan)
    sds: Array = np.full((len(ROWS), S, B), np.nan)
    grows: Array = np.empty((S, B))
    lifted: Array = np.empty(B)
    z = Scratch(*(np.zeros(n) for _ in Scratch._fields))
    X = np.zeros((len(ROWS), n))
    passed(tows, toweds, a, b, z=z, X=X, means=means, sds=sds, grows=grows, lifted=lifted, **words)
    return means, sds, grows, lifted
