"""Batch statics, elastic with bars, against general solvers on the same systems."""

import tracemalloc
from collections.abc import Iterator
from dataclasses import fields
from functools import partial

import numpy as np
from machine import seconds
from table import Row

from steelyard.estimate import Array
from steelyard.statics import batch
from steelyard.statics.batch import RigLoads, Rigs, batch_loads

MILLION = 1_000_000
TYPICAL = Rigs(
    **{
        name: np.asarray(value)
        for name, value in {
            "wheelbase": 3.7,
            "overhang": 1.45,
            "group_station": 5.1,
            "front_rate": 75e3,
            "rear_rate": 85e3,
            "group_rate": 400e3,
            "front_offset": 0.19,
            "rear_offset": 0.13,
            "group_offset": 0.06,
            "vehicle_weight": 28e3,
            "vehicle_moment": 49e3,
            "trailer_weight": 29e3,
            "trailer_moment": 130e3,
            "trailer_height": 27e3,
            "ball_height": 0.55,
            "hub_height": 0.36,
            "bar_rate": 12e3,
            "preset": 0.04,
        }.items()
    }
)
"""A half-ton truck and a 3 t trailer, assumed; what matters here is only that it stands."""


def many(n: int, spread: float = 0.05) -> Rigs:
    """n rigs, every field anywhere within `spread` of the typical one, bars from slack to tight."""
    rng = np.random.default_rng(0)
    low, high = 1.0 - spread, 1.0 + spread
    near = {f.name: getattr(TYPICAL, f.name) * rng.uniform(low, high, n) for f in fields(Rigs)}
    return Rigs(**{**near, "preset": rng.uniform(-0.08, 0.06, n)})


def rows() -> Iterator[Row]:
    """Cases per second of both engines against `numpy.linalg.solve`, and memory."""
    rigs = many(MILLION)
    base = seconds(lambda: solved_generally(rigs), 3)
    against = f"numpy.linalg.solve in the same chunks, {base * 1e3:.0f} ns a case"
    yield _agreement(rigs)
    for engine in ("numpy", "numba"):
        try:
            found = seconds(partial(batch_loads, rigs, engine), 7)
        except ImportError:
            yield Row(name=f"batch, {engine}", measured="absent", ratio="", baseline=against)
            continue
        yield Row(
            name=f"batch statics with bars, 1,000,000 rigs, {engine}",
            measured=f"{found * 1e3:.0f} ns a case, {1e-6 * MILLION / found:.1f} M cases/s",
            ratio=f"{base / found:.1f} x faster",
            baseline=against,
            target="15 x",
            met=base / found >= 15.0,
        )
    yield _memory(rigs)


def _agreement(rigs: Rigs) -> Row:
    """How far both answers are apart, relative to the largest of each load."""
    ours, theirs = batch_loads(rigs), solved_generally(rigs)
    worst = max(
        float(np.max(np.abs(a - b)) / np.max(np.abs(b)))
        for a, b in ((getattr(ours, f.name), getattr(theirs, f.name)) for f in fields(RigLoads))
    )
    return Row(
        name="batch statics, largest difference",
        measured=f"{worst:.1e}",
        ratio=f"bars slack in {np.mean(ours.bar_moment == 0):.1%}",
        baseline="numpy.linalg.solve",
        target="1e-9",
        met=worst < 1e-9,
    )


def _memory(rigs: Rigs) -> Row:
    chunked, whole = _extra(rigs, batch.CHUNK), _extra(rigs, MILLION)
    return Row(
        name="memory beyond the answer, 1,000,000 rigs, numpy",
        measured=f"{chunked / 1e6:.1f} MB",
        ratio=f"{whole / chunked:.0f} x less",
        baseline=f"all at once, {whole / 1e6:.0f} MB",
    )


def _extra(rigs: Rigs, chunk: int) -> float:
    """Peak bytes of NumPy above the answer itself."""
    kept, batch.CHUNK = batch.CHUNK, chunk
    tracemalloc.start()
    found = batch_loads(rigs)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    batch.CHUNK = kept
    return peak - len(fields(RigLoads)) * found.tongue.nbytes


def solved_generally(rigs: Rigs) -> RigLoads:
    """The same rigs by assembling K and calling a general solver: bars off, sign, bars on."""
    n = rigs.preset.size
    out = np.empty((len(fields(RigLoads)), n))
    for start in range(0, n, batch.CHUNK):
        part = slice(start, start + batch.CHUNK)
        chunk = Rigs(**{f.name: getattr(rigs, f.name)[part] for f in fields(Rigs)})
        out[:, part] = _solved(chunk)
    return RigLoads(**{f.name: row for f, row in zip(fields(RigLoads), out, strict=True)})


def _solved(r: Rigs) -> Array:
    directions, rates, offsets = _springs(r)
    stiffness = np.einsum("jn,jnp,jnq->npq", rates, directions, directions)
    load = _weights(r) - np.einsum("jn,jn,jnp->np", rates, offsets, directions)
    pitch = np.broadcast_to([0.0, 0.0, 1.0], load.shape)
    both = np.linalg.solve(stiffness, np.stack([load, pitch], axis=-1))
    moment = _attitude(r, directions, rates, offsets, both[..., 0])
    off = both[..., 0] + moment[:, None] * both[..., 1]
    c = _bar(r)
    on = np.einsum("np,np->n", c, off) + r.preset > 0
    stiffer = stiffness[on] + r.bar_rate[on, None, None] * c[on, :, None] * c[on, None, :]
    pressed = load[on] + moment[on, None] * pitch[on]
    pressed -= (r.bar_rate[on] * r.preset[on])[:, None] * c[on]
    u = off.copy()
    u[on] = np.linalg.solve(stiffer, pressed[..., None])[..., 0]
    bar = np.where(on, r.bar_rate * (np.einsum("np,np->n", c, u) + r.preset), 0.0)
    loose = rates * (np.einsum("jnp,np->jn", directions, off) + offsets)
    force = rates * (np.einsum("jnp,np->jn", directions, u) + offsets)
    tongue, net = r.trailer_weight - loose[2], r.trailer_weight - force[2]
    return np.stack([tongue, net, bar, *force, *u.T])


def _springs(r: Rigs) -> tuple[Array, Array, Array]:
    """Directions (3, n, 3), rates and offsets (3, n) of front, rear and axle group."""
    directions = np.zeros((3, r.preset.size, 3))
    lever = r.overhang / r.wheelbase
    directions[0, :, 0] = directions[1, :, 1] = 1.0
    directions[2] = np.stack([-lever, 1.0 + lever, -r.group_station], axis=-1)
    rates = np.stack([r.front_rate, r.rear_rate, r.group_rate])
    return directions, rates, np.stack([r.front_offset, r.rear_offset, r.group_offset])


def _weights(r: Rigs) -> Array:
    rear, lever = r.vehicle_moment / r.wheelbase, r.overhang / r.wheelbase
    front = r.vehicle_weight - rear - r.trailer_weight * lever
    return np.stack([front, rear + r.trailer_weight * (1 + lever), -r.trailer_moment], axis=-1)


def _attitude(r: Rigs, directions: Array, rates: Array, offsets: Array, u: Array) -> Array:
    carried = rates[2] * (np.einsum("np,np->n", directions[2], u) + offsets[2])
    hubs = carried * (r.ball_height - r.hub_height)
    return np.asarray(u[:, 2] * (r.trailer_height - r.trailer_weight * r.ball_height + hubs))


def _bar(r: Rigs) -> Array:
    return np.stack([-1.0 / r.wheelbase, 1.0 / r.wheelbase, np.ones_like(r.wheelbase)], axis=-1)
