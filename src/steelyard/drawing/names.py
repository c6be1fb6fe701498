"""What things and places are called in pictures: by their titles, else by their keys."""

from steelyard.rig import Rig


def item_name(rig: Rig, item: str) -> str:
    """An item's title, or its key."""
    return rig.items[item].title or item


def place_name(rig: Rig, place: str) -> str:
    """A place's title, or its key as words."""
    return rig.places[place].title or place.replace("-", " ")
