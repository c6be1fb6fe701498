"""Rigs of every region and coupling, for what must be said of each in its own trade's words."""

from collections.abc import Mapping
from functools import cache
from typing import Final

from steelyard.files.demo import demo_rigs
from steelyard.files.reader import parse_rig
from steelyard.rig import Rig

COUNTRIES: Final[Mapping[str, str]] = {
    "us": 'country = "US"',
    "uk": 'country = "GB"',
    "continent": 'region = "europe"',
    "australia": 'country = "AU"',
    "new-zealand": 'country = "NZ"',
}
"""What a rig file says, by set of words."""
PLAIN: Final = """format = 1
{where}
speed = "90 km/h"
[vehicle]
class = "{vehicle}"
gvwr = "4500 kg"
gcwr = "9000 kg"
tow_rating = "3500 kg"
front = {{ gawr = "2200 kg", tyres = {{ load_index = 121, pressure = "{pressure}", kind = "lt" }} }}
rear = {{ gawr = "2900 kg" }}
[hitch]
kind = "{kind}"
[hitch.ball]
rating_trailer = "3500 kg"
rating_tongue = "350 kg"
[hitch.jack]
rating = "900 kg"
[trailer]
style = "{style}"
gvwr = "3200 kg"
gtm = "3000 kg"
brakes = true
brake_kind = "surge"
[trailer.empty]
weight = "2300 kg"
[trailer.tanks.waste]
content = "grey"
capacity = "80 L"
station = "5 m"
[places.bed]
on = "vehicle"
station = "2.6 m"
[places.room]
on = "trailer"
station = "3.5 m"
length = "3 m"
[places.tail]
on = "trailer"
station = "6.5 m"
[items.dome]
weight = "120 kg"
place = "tail"
[items.telescopes]
weight = "90 kg"
place = "room"
[people.driver]
weight = "80 kg"
seat = "driver"
[stages.out]
title = "on the way out"
tanks = {{ waste = "50 %" }}
[stages.home]
title = "on the way home"
tanks = {{ waste = "full" }}
"""
SHAPES: Final = {
    "ball": {"vehicle": "three-quarter-ton", "kind": "ball", "style": "rear-living"},
    "fifth-wheel": {
        "vehicle": "three-quarter-ton",
        "kind": "fifth-wheel",
        "style": "fifth-wheel",
    },
    "gooseneck": {"vehicle": "three-quarter-ton", "kind": "gooseneck", "style": "gooseneck"},
    "pintle": {"vehicle": "three-quarter-ton", "kind": "pintle", "style": "flatbed-equipment"},
    "drawbar": {"vehicle": "three-quarter-ton", "kind": "drawbar", "style": "flatbed-equipment"},
}


def text_of(words: str, coupling: str) -> str:
    """The rig file of one set of words and one coupling; `bars` is a ball with spring bars."""
    if coupling == "bars":
        demo = demo_rigs()["perihelion-camper.toml"]
        return demo.replace('region = "north-america"', COUNTRIES[words])
    pressure = {"us": "65 psi", "uk": "65 psi", "continent": "4.5 bar"}.get(words, "450 kPa")
    return PLAIN.format(where=COUNTRIES[words], pressure=pressure, **SHAPES[coupling])


COUPLINGS: Final = ("ball", "bars", "fifth-wheel", "gooseneck")
HOOKS: Final = (("us", "pintle"), ("australia", "pintle"), ("continent", "drawbar"))
"""Words and couplings of what holds a ring or an eye, where such are met."""


@cache
def rig_of(words: str, coupling: str) -> Rig:
    """The rig of one set of words and one coupling."""
    return parse_rig(text_of(words, coupling))
