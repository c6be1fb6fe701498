"""What a compiled pass reads of either side and works out of a pair, by row, SI."""

from enum import IntEnum
from typing import Final

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
DRAWS: Final = 128
"""Of each pair, see docs/decisions/0013-matching.md; the compiled pass is built for so many."""
NO_BARS, PRESET, RESTORED = range(3)
"""How bars are set: none, a preset, or a share of the front load given back."""

Vehicle = IntEnum(
    "Vehicle",
    "wheelbase overhang front_rate rear_rate front_offset rear_offset ball own_front unladen roll "
    "front_track rear_track tip_rate arm setting front_start front_most rear_start rear_most "
    "peak slope gain lift aside",
    start=0,
)
"""Of a vehicle at any stage. own_front, unladen: N, empty; setting: the bars' preset (rad) or the
share they give back; start, most: see `swaying.linear.rig`; lift, aside: m, of things in the
trailer that say neither."""
VehicleStage = IntEnum(
    "VehicleStage", "weight moment offset carried behind mass centre inertia", start=0
)
"""Of a vehicle at one stage. weight, moment, offset: N, N m about the front axle, N m to the left;
carried: N that payload counts; behind: N of cargo behind the rear axle; mass, centre, inertia: kg,
m, kg m2."""
Trailer = IntEnum(
    "Trailer",
    "station station_2 station_3 rate rate_2 rate_3 rate_sum moment_sum square_sum "
    "axle axle_2 axle_3 coupler sag hub unsprung track cornering rated over",
    start=0,
)
"""Of a trailer at any stage. station, rate: of spring groups, those not there of no rate; the sums
of rate, of rate times station and of rate times its square; axle: stations."""
TrailerStage = IntEnum(
    "TrailerStage", "weight moment height offset loose mass centre inertia", start=0
)
"""Of a trailer at one stage. weight: N; moment: N m about the ball, less what tyres carry outside
the lever; height, offset, inertia: without that of `loose` things, kg, which stand as high and
aside as the vehicle's draws say."""
Pair = IntEnum(
    "Pair",
    "trailer tongue share front rear vehicle lift combined payload bars ratio unladen axles "
    "axle axle_2 axle_3 front_side rear_side side side_2 side_3 "
    "ball sag d0 d1 r0 r1 r2 l10 l20 l21 f0 f1 f2 u0 u1 u2 b0 b1 b2 give preset alone "
    "C0 C1 C2 start most",
    start=0,
)
"""Of a pair at one stage: first the `ROWS`, then heights of ball and coupler, levers per newton on
the ball, the stiffness matrix's factors, loads, displacements, what the bars do per newton metre,
sums over the trailer's tyres, and the curve of its tyres."""
