"""What people do: axles and cargo placed with the tongue in mind, as a soft reading on the prior.

It may move an assumed axle place and cargo nobody placed, and what follows them; nothing that was
stated or read. It foretells loads; a share or sway verdict is to be judged without it, since the
one who asks may be the one who loaded badly.
"""

from typing import Final

import numpy as np

from steelyard.estimate import Array, Estimate, Reading, Values, from_stencil, stencil
from steelyard.rig import Rig
from steelyard.statics.lever import tongue_weight
from steelyard.statics.linkage import group_station
from steelyard.statics.masses import masses
from steelyard.trip import plan_stages
from steelyard.typical import ORDINALS, Sheet, usual_share

TAIL: Final = 4.0
"""Degrees of freedom: a rig far from what is usual is told less by it (assumed)."""
AXLES: Final = "trailer.axles.station"


def movable(rig: Rig, sheet: Sheet) -> list[str]:
    """Parameters that habit may move: the axles' place where assumed, and unplaced cargo's."""
    own = [getattr(rig.trailer.axles, ordinal) for ordinal in ORDINALS]
    taped = any(one is not None and one.station is not None for one in own)
    found = [] if taped or sheet.parameters[AXLES].basis != "assumed" else [AXLES]
    for name, item in rig.items.items():
        place = rig.places[item.place]
        if place.on == "trailer" and item.station is None and place.length is None:
            found.append(f"items.{name}.station")
    return found


def loaded_share(rig: Rig, v: Values) -> Array:
    """Tongue share of the trailer as loaded, level, bars off, axles as one group: mean of all
    stages, (n,) or 0-d."""
    rows = [row for row in masses(rig, plan_stages(rig), v) if row.body == "trailer"]
    kg = [np.atleast_2d(row.kg) for row in rows]
    weight = sum(kg, np.zeros((1, 1)))
    moment = sum((k * row.station for k, row in zip(kg, rows, strict=True)), np.zeros((1, 1)))
    tongue = tongue_weight(weight, moment, group_station(rig, v))
    return np.asarray(np.mean(tongue / weight, axis=0))


def habit(rig: Rig, sheet: Sheet, belief: Estimate) -> Reading | None:
    """The reading of usual practice on a belief, or None where it may move nothing.

    With z what it may move, the rest is x = m + B (z - m_z) + e, B = P_xz P_zz⁻¹. The reading sees
    x at e = 0, and what e moves the share by is noise, so that `condition` learns about z alone and
    what follows from it. Its variance is widened by (v + r²)/(v + 1) where that is above 1, r being
    the distance in sd of both: a Student's t by its weight at the start (from memory).
    """
    names = [name for name in movable(rig, sheet) if name in belief.index]
    carries = any(rig.places[item.place].on == "trailer" for item in rig.items.values())
    if not names or not carries:
        return None
    usual = usual_share(rig)
    at = [belief.index[name] for name in names]
    slope = np.linalg.solve(belief.cov[np.ix_(at, at)], belief.cov[at]).T
    free = slope @ belief.cov[np.ix_(at, at)] @ slope.T
    whole = from_stencil(belief, loaded_share(rig, belief.values(stencil(belief))))
    gradient = np.asarray(whole.gradient)
    rest = max(float(gradient @ (belief.cov - free) @ gradient), 0.0)
    distance = (float(whole.mean) - usual.value) ** 2 / (usual.sd**2 + float(whole.sd) ** 2)
    widened = max((TAIL + distance) / (TAIL + 1.0), 1.0)

    def predict(v: Values) -> Array:
        natural = np.stack(np.broadcast_arrays(*(v[name] for name in names)), axis=-1)
        scales = [belief.scales[place] for place in at]
        z = np.where([scale == "log" for scale in scales], np.log(np.abs(natural)), natural)
        points = belief.mean + (z - belief.mean[at]) @ slope.T
        return loaded_share(rig, belief.values(points))

    sd = (usual.sd**2 * widened + rest) ** 0.5
    return Reading(name="habit", predict=predict, value=usual.value, sd=sd)
