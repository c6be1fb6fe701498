"""Typical values with spreads: fills what a rig file leaves unsaid, and says so."""

from steelyard.quantity import F
from steelyard.rig import Rig
from steelyard.typical.hitch import add_hitch
from steelyard.typical.load import add_load
from steelyard.typical.plausible import believed
from steelyard.typical.sheet import Builder, Sheet
from steelyard.typical.trailer import add_trailer
from steelyard.typical.unlisted import add_unlisted
from steelyard.typical.vehicle import add_vehicle


def fill(rig: Rig[F]) -> Sheet[F]:
    """Every parameter of the rig, stated or typical, before any sticker is read as a reading."""
    build, rig = Builder[F](), believed(rig)
    add_vehicle(build, rig)
    add_hitch(build, rig)
    add_trailer(build, rig)
    add_load(build, rig)
    add_unlisted(build, rig)
    return build.sheet()
