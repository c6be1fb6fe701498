"""What a compiled pass works out of a pair, by row, and the room it works in."""

from typing import Final, NamedTuple

from steelyard.estimate import Array

ROWS: Final = (
    "trailer",
    "tongue",
    "share",
    "front",
    "rear",
    "vehicle",
    "front_lift",
    "combined",
    "payload",
    "bars",
    "ratio",
    "unladen_ratio",
    "axles",
    "axle 1",
    "axle 2",
    "axle 3",
    "front side",
    "rear side",
    "side 1",
    "side 2",
    "side 3",
)
"""What limits look at, a row each of what a pair works out."""
(
    TRAILER,
    TONGUE,
    SHARE,
    FRONT,
    REAR,
    VEHICLE,
    LIFT,
    COMBINED,
    PAYLOAD,
    BARS,
    RATIO,
    UNLADEN,
    AXLES,
    AXLE,
    _AXLE_2,
    _AXLE_3,
    FRONT_SIDE,
    REAR_SIDE,
    SIDE,
    _SIDE_2,
    _SIDE_3,
) = range(len(ROWS))
NO_BARS, PRESET, RESTORED = range(3)
"""How bars are set: none, a preset, or a share of the front load given back."""


class Scratch(NamedTuple):
    """Room for one pair, (n,) each: heights of ball and coupler, levers per newton on the ball, the
    stiffness matrix, loads, displacements, and what the bars do per newton metre."""

    ball: Array
    sag: Array
    d0: Array
    d1: Array
    m00: Array
    m01: Array
    m02: Array
    m11: Array
    m12: Array
    m22: Array
    f0: Array
    f1: Array
    f2: Array
    u0: Array
    u1: Array
    u2: Array
    b0: Array
    b1: Array
    b2: Array
    give: Array
    preset: Array
    alone: Array
    C0: Array
    C1: Array
    C2: Array
    Cf: Array
    Cr: Array
    I2: Array
