"""Every limit of one rig: a function that yields checks. A new limit is a new entry here."""

from collections.abc import Callable, Iterator
from typing import Final

from steelyard.ratings.check import Check
from steelyard.ratings.limits import band, coupling, fitting, regional, trailer, tyres, vehicle
from steelyard.scene import Scene

LIMITS: Final[tuple[Callable[[Scene], Iterator[Check]], ...]] = (
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
    coupling.jack,
    regional.unrated_towing,
    regional.caravan_ratio,
    regional.chain_count,
    vehicle.distribution,
    vehicle.ratio,
    vehicle.places,
)


def checks(case: Scene) -> list[Check]:
    """All checks of a rig in the order a reader meets them."""
    return [check for limit in LIMITS for check in limit(case)]
