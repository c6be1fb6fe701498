"""Rigs of one owner whose style is unlike the shipped one, weighed in simulation."""

from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from tests import weighings
from tests.weighings import platform

from steelyard.estimate import Array, draws
from steelyard.learning import Taught, evidence
from steelyard.rig import Rig
from steelyard.statics.linkage import group_station
from steelyard.typical.shipped_tables import relation, trailer_style
from steelyard.weighing.laid_ticket import Weighed, lay
from steelyard.weighing.reconcile import Reconciled, judge

STYLE = "rear-living"
OFF = 2.0
"""Shipped sd that the owner's style lies from the shipped mean."""
TICKET = weighings.ticket(
    {
        "coupled": {"readings": [platform("front"), platform("rear"), platform("trailer")]},
        "alone": {
            "arrangement": "vehicle-alone",
            "readings": [platform("front"), platform("rear")],
        },
    }
)


def rig(k: int) -> Rig:
    """The k-th rig: a trailer with a brochure weight and no tongue weight, lightly laden."""
    heavy = 6800 + 61 * k % 1900
    return Rig.model_validate(
        {
            "name": f"camper {k}",
            "everything_listed": True,
            "vehicle": {"class": "half-ton-crew-cab", "gvwr": "7100 lb"},
            "hitch": {},
            "trailer": {
                "style": STYLE,
                "gvwr": f"{heavy} lb",
                "empty": {"weight": f"{0.76 * heavy:.0f} lb"},
            },
            "places": {"front": {"station": "5 ft", "length": "3 ft"}},
            "items": {"tools": {"weight": f"{100 + 7 * k % 90} lb", "place": "front"}},
            "people": {"anna": {"seat": "driver"}},
        }
    )


@dataclass(frozen=True, kw_only=True)
class Truth:
    """A rig with its true values, (p,) by name, and its true empty tongue share and answers."""

    laid: Weighed
    values: dict[str, Array]
    share: float


@cache
def truth(k: int, off: float = OFF) -> Truth:
    """Everything drawn from the rig file's belief, but the tongue share from the owner's style."""
    laid = lay(rig(k), TICKET)
    point = draws(laid.prior, 64, seed=k)[k % 64]
    values: dict[str, Any] = dict(laid.prior.values(point[None]))
    usual = relation(trailer_style(STYLE), "tongue_share")
    drawn = usual.value + usual.sd * (off + np.random.default_rng(k).standard_normal())
    values["trailer.empty.cg"] = (1.0 - drawn) * group_station(laid.rig, values)
    return Truth(laid=laid, values=values, share=float(drawn))


@cache
def weighed(k: int, off: float = OFF) -> Reconciled:
    """The k-th rig's ticket, read with its scales' errors, reconciled."""
    one = truth(k, off)
    noise = weighings.noise(one.laid, 1, 2000 + k)[:, 0]
    return judge(weighings.reading(one.laid, weighings.shown(one.laid, one.values)[:, 0] + noise))


def taught(k: int, off: float = OFF) -> Taught:
    """What the k-th rig's weighing says."""
    found = weighed(k, off)
    return Taught(rig_name=f"camper {k}", rig_hash=f"{k}", evidence=evidence(found))
