"""What things, places and axles are called in pictures, and where a rig file has axles."""

from typing import Final

from steelyard.rig import Rig

ORDINALS: Final = ("first", "second", "third")


def item_name(rig: Rig, item: str) -> str:
    """An item's title, or its key as words."""
    return rig.items[item].title or item.replace("-", " ")


def place_name(rig: Rig, place: str) -> str:
    """A place's title, or its key as words."""
    return rig.places[place].title or place.replace("-", " ")


def axle_path(axle: str) -> str:
    """Where the rig file has `front`, `rear` or `trailer 2`."""
    if axle in ("front", "rear"):
        return f"vehicle.{axle}"
    return f"trailer.axles.{ORDINALS[int(axle.split()[-1]) - 1]}"


def axle_title(axle: str, trailer_axles: int) -> str:
    """`front axle`, `trailer axle 2`, or `trailer axle` where there is but one."""
    if axle in ("front", "rear"):
        return f"{axle} axle"
    return f"trailer axle {axle.split()[-1]}" if trailer_axles > 1 else "trailer axle"
