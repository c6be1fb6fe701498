"""Every limit of one rig: a function that yields checks. A new limit is a new entry here."""

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from steelyard.quantity import Floats
from steelyard.ratings.check import Check
from steelyard.ratings.limits import band, coupling, fitting, regional, trailer, tyres, vehicle
from steelyard.ratings.questions import Question, questions, unknown_where_asked
from steelyard.scene import Scene

LIMITS: Final[tuple[Callable[[Scene[Floats]], Iterator[Check]], ...]] = (
    band.tongue_band,
    vehicle.payload,
    vehicle.gross,
    vehicle.axles,
    vehicle.front_lift,
    vehicle.combined,
    vehicle.towing,
    trailer.gross,
    trailer.group,
    trailer.axles,
    tyres.tyre_loads,
    tyres.speeds,
    tyres.pressures,
    tyres.wheels,
    tyres.tyres_for_axle,
    coupling.chain,
    coupling.bars,
    coupling.chains,
    coupling.ball_size,
    fitting.sizes,
    fitting.nose_and_cab,
    coupling.jack,
    regional.unrated_towing,
    regional.caravan_ratio,
    regional.chain_count,
    vehicle.distribution,
    vehicle.ratio,
    vehicle.places,
)


def checks(scene: Scene[Floats], asked: Sequence[Question] | None = None) -> list[Check]:
    """All checks of a rig in the order a reader meets them.

    asked: what is asked about its values, where that is known already; limits that rest on such a
    value have no rating.
    """
    found = [check for limit in LIMITS for check in limit(scene)]
    return unknown_where_asked(found, questions(scene.rig) if asked is None else asked)
