"""How fast a swing dies away in one state of packing, at best estimate."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from steelyard.estimate import Values
from steelyard.rig import Rig
from steelyard.statics.loads import Loads
from steelyard.swaying.linear.modes import oscillation
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.linear.search import settled
from steelyard.swaying.stage_sway import SPEED

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
