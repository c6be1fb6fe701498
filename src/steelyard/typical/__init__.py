"""Typical values with spreads: fills what a rig file leaves unsaid, and says so."""

from steelyard.rig import Rig, is_pin
from steelyard.typical.contents import (
    aboard,
    driver_aboard,
    fluids_missing,
    fuel_aboard,
    held_by,
    listed_apart,
    word_for,
)
from steelyard.typical.hitch import add_hitch, parts
from steelyard.typical.load import add_load, stage_names
from steelyard.typical.mount import ball_over, ball_radius, over_receiver, without_drop
from steelyard.typical.parameters import Kind, kind_of, kinds, stated_key
from steelyard.typical.ride import Cargo, in_si, usual_cargo, usual_gear, usual_people
from steelyard.typical.sheet import Builder, Parameter, Sheet, only_sways
from steelyard.typical.shipped_tables import (
    Typical,
    default_sd,
    density,
    from_own,
    hitch_share,
    relation,
    trailer_style,
    typical,
    vehicle_class,
    worth,
)
from steelyard.typical.trailer import ORDINALS, add_trailer, axle_count, suspension
from steelyard.typical.unlisted import UNLISTED, add_unlisted, is_unlisted
from steelyard.typical.vehicle import add_vehicle, seat_names, seat_place, tank_names


def fill(rig: Rig) -> Sheet:
    """Every parameter of the rig, stated or typical, before any sticker is read as a reading."""
    build = Builder()
    add_vehicle(build, rig)
    add_hitch(build, rig)
    add_trailer(build, rig)
    add_load(build, rig)
    add_unlisted(build, rig)
    return build.sheet()


__all__ = [
    "ORDINALS",
    "UNLISTED",
    "Cargo",
    "Kind",
    "Parameter",
    "Sheet",
    "Typical",
    "aboard",
    "axle_count",
    "ball_over",
    "ball_radius",
    "default_sd",
    "density",
    "driver_aboard",
    "fill",
    "fluids_missing",
    "from_own",
    "fuel_aboard",
    "held_by",
    "hitch_share",
    "in_si",
    "is_pin",
    "is_unlisted",
    "kind_of",
    "kinds",
    "listed_apart",
    "only_sways",
    "over_receiver",
    "parts",
    "relation",
    "seat_names",
    "seat_place",
    "stage_names",
    "stated_key",
    "suspension",
    "tank_names",
    "trailer_style",
    "typical",
    "usual_cargo",
    "usual_gear",
    "usual_people",
    "vehicle_class",
    "without_drop",
    "word_for",
    "worth",
]
