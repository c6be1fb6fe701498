"""How much of the air a rig meets: what it shows from ahead, times a drag coefficient."""

from typing import Final

from steelyard.braking.settings import Setting
from steelyard.quantity import Z95
from steelyard.rig import Rig
from steelyard.rig.kinds import OPEN
from steelyard.typical.outline import outside
from steelyard.typical.shipped_tables import hitch_table, typical

COEFFICIENT: Final = 0.5
"""Of vehicle and trailer together, on what they show from ahead."""
RELATIVE: Final = 0.4
"""Half-width of it over itself: from a streamlined caravan's 0.31 to a bluff front's 0.7."""
FILLED: Final = 0.85
"""Of width times height that a body fills seen from ahead (from memory: cars 0.81 to 0.85)."""
LOAD: Final = 1.5
"""m above an open deck, as wide as the trailer, where what rides has no size (assumed)."""
RELATIVE_LOAD: Final = 0.3
"""What that adds to the half-width (assumed)."""
SOURCE: Final = (
    "assumed: 0.5 times what vehicle, trailer and load show from ahead, m2; 0.53 of a saloon with a"
    " caravan in Hucho's handbook, 0.31 with a streamlined one in a wind tunnel of the 1970s, both"
    " in a secondary copy"
)


def drag_area(rig: Rig) -> Setting:
    """c_d A of the rig, with all that the file puts on an open deck.

    A: the bodies' rectangles from the road up, each behind the other. What is listed without a size
    stands `LOAD` high, and so does the boat of a boat's trailer.
    """
    shown = [
        (outside(rig, body, "width"), outside(rig, body, "roof_height"))
        for body in ("vehicle", "trailer")
    ]
    loads, guessed = _on_deck(rig)
    area = COEFFICIENT * FILLED * _skyline([*shown, *loads])
    relative = (RELATIVE**2 + (RELATIVE_LOAD**2 if guessed else 0.0)) ** 0.5
    return Setting(value=area, sd=area * relative / Z95, source=SOURCE)


def _on_deck(rig: Rig) -> tuple[list[tuple[float, float]], bool]:
    """Width and top of what rides on the trailer in the open, and whether one is a guess."""
    riding = [item for item in rig.items.values() if _in_the_open(rig, item.place)]
    sizes = [item.size for item in riding]
    usual = typical(hitch_table(), "trailer_floor", "length")
    assert usual is not None
    floor = usual.value
    loads = [(size[1].value, floor + size[2].value) for size in sizes if size is not None]
    if None not in sizes and rig.trailer.style != "boat":
        return loads, False
    return [*loads, (outside(rig, "trailer", "width"), floor + LOAD)], True


def _in_the_open(rig: Rig, place: str) -> bool:
    there = rig.places[place]
    open_deck = rig.trailer.style in (*OPEN, "gooseneck")
    return open_deck and there.on == "trailer" and there.room != "inside"


def _skyline(shown: list[tuple[float, float]]) -> float:
    """m2 of what stands on one line, (width, height) each: the lower hide what is behind them."""
    area = widest = 0.0
    steps = sorted(shown, key=lambda one: -one[1])
    tops = [height for _, height in steps]
    for (width, height), below in zip(steps, [*tops[1:], 0.0], strict=True):
        widest = max(widest, width)
        area += widest * (height - below)
    return area
