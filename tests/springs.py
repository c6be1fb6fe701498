"""Random rigs as the contact kernel sees them: springs in three unknowns, weights on them."""

import numpy as np

from steelyard.estimate import Array
from steelyard.statics.contact import Springs, Triple

Case = tuple[Array, Array, Array, Array]
"""Directions (m, 3), rates (m,), offsets (m,), weights (3,); the last spring is the bars."""


def draw(n: int, seed: int) -> list[Case]:
    """n rigs on independent tandem axles with spring bars, ball heights and presets at random.

    Wide enough that bars hang slack in some, an axle lifts in some, and both happen in a few.
    """
    rng = np.random.default_rng(seed)
    return [_case(rng) for _ in range(n)]


def _case(rng: np.random.Generator) -> Case:
    L, h, s1 = rng.uniform(2.7, 4.3), rng.uniform(-0.1, 1.8), rng.uniform(3, 7)
    s2 = s1 + rng.uniform(0.8, 1.2)
    front, rear, weight = rng.uniform(8e3, 16e3), rng.uniform(8e3, 16e3), rng.uniform(1e4, 4e4)
    kf, kr = rng.uniform(4e4, 9e4, 2)
    rates = np.array([kf, kr, *rng.uniform(1e5, 3e5, 2), rng.uniform(2e4, 2e5)])
    raised = rng.uniform(-0.45, 0.35)
    preset = rng.uniform(-0.06, 0.08)
    offsets = np.array([front / kf, rear / kr, raised, raised, preset])
    ball = (-h / L, 1 + h / L)
    directions = np.array(
        [(1, 0, 0), (0, 1, 0), (*ball, -s1), (*ball, -s2), (-1 / L, 1 / L, 1)], dtype=float
    )
    centre = s1 + rng.uniform(-1.2, 1.2)
    weights = np.array([front + weight * ball[0], rear + weight * ball[1], -weight * centre])
    return directions, rates, offsets, weights


def absurd(n: int, seed: int) -> list[Case]:
    """n rigs such as no one would build: helpers and stops, one to three axles, weights by the
    ton far from any wheel. Many would tip over; of most others some spring hangs free."""
    rng = np.random.default_rng(seed)
    return [_absurd(rng) for _ in range(n)]


def _absurd(rng: np.random.Generator) -> Case:
    L, h, s1 = rng.uniform(1.5, 6.0), rng.uniform(-1.5, 3.0), rng.uniform(1.0, 10.0)
    stations = s1 + np.arange(3) * rng.uniform(0.6, 1.5)
    front, rear = 10 ** rng.uniform(3.0, 4.5, 2)
    weight = 10 ** rng.uniform(3.0, 5.0)
    rates = 10 ** np.concatenate([rng.uniform(4, 5.3, 2), rng.uniform(4, 6, 5)])
    raised, gaps = rng.uniform(-0.6, 0.6), rng.uniform(0, 0.3, 2)
    offsets = np.array([front / rates[0], rear / rates[1], -gaps[0], -gaps[1], *[raised] * 3])
    ball = (-h / L, 1 + h / L)
    rows = [(1, 0, 0), (0, 1, 0), (0, 1, 0), (0, 1, 0), *((*ball, -s) for s in stations)]
    centre = stations.mean() * rng.uniform(0.3, 1.4)
    share, cargo = rng.uniform(0.0, 1.6), 10 ** rng.uniform(2.0, 4.3)
    weights = np.array(
        [
            front + weight * ball[0] + cargo * (1 - share),
            rear + weight * ball[1] + cargo * share,
            -weight * centre,
        ]
    )
    return np.array(rows, dtype=float), rates, offsets, weights


def single(case: Case) -> tuple[Springs, Triple]:
    """One case as the kernel takes it."""
    return batch([case])


def batch(cases: list[Case]) -> tuple[Springs, Triple]:
    """Cases as one call of the kernel: arrays (n,), or 0-d for a single case."""
    a, k, g, f = (
        np.squeeze(np.stack(part, axis=-1), -1) if len(cases) == 1 else np.stack(part, axis=-1)
        for part in zip(*cases, strict=True)
    )
    springs = Springs(
        direction=tuple((row[0], row[1], row[2]) for row in a),
        rate=tuple(k),
        offset=tuple(g),
    )
    return springs, (f[0], f[1], f[2])
