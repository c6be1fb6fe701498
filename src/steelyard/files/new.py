"""A first rig file from a few answers, commented so that a person can go on in it."""

import re
from collections.abc import Mapping
from typing import Final, get_args

from steelyard.files.reader import parse_rig
from steelyard.quantity import Dimension, parse
from steelyard.rig.kinds import TrailerStyle
from steelyard.walk.starting_rig import assumed_weight
from steelyard.walk.stops import Field, flags


def new_rig(
    name: str, vehicle: str, style: str, region: str, stated: Mapping[str, str | None] | None = None
) -> str:
    """TOML text of a rig; raises FileFaultError where an answer cannot be read.

    stated: answers as a person writes them, by the walk's flags (`vehicle_gvwr`). Where nothing is
    said of the trailer's weight, it is as widely assumed as its style weighs.
    """
    given = {key: (stated or {}).get(key) or "" for key in flags()}
    lines = {key: _line(key, field, given[key]) for key, field in flags().items()}
    if not given["empty_weight"].strip() and not given["trailer_gvwr"].strip():
        weight = assumed_weight(style, region) if style in get_args(TrailerStyle) else {}
        lines["empty_weight"] = f"weight = {_table(weight)}"
    heads = {"name": name, "region": region, "vehicle": vehicle, "style": style}
    text = _TEMPLATE.format(**{key: _quoted(word) for key, word in heads.items()}, **lines)
    if region != "north-america":
        text = "\n".join(_metric(line) for line in text.split("\n"))
    parse_rig(text, "new rig")
    return text


_UNITS: Final[tuple[tuple[str, Dimension, str, float], ...]] = (
    ("lb", "mass", "kg", 5.0),
    ("in", "length", "m", 0.05),
    ("ft", "length", "m", 0.05),
    ("psi", "pressure", "kPa", 10.0),
    ("mph", "speed", "km/h", 10.0),
    ("gal", "volume", "L", 5.0),
)
"""Unit of an example, what it measures, the unit for other regions, and the step rounded to."""


def _metric(line: str) -> str:
    """A commented line with its examples in metric units; what a person answered stays."""
    if not line.startswith("#"):
        return line

    def turned(found: re.Match[str]) -> str:
        for unit, dimension, new, step in _UNITS:
            if found[1].endswith(f" {unit}") and "+-" not in found[1]:
                size = parse(f"1 {new}", dimension).value
                steps = max(round(parse(found[1], dimension).value / size / step), 1)
                short = new == "m" and steps * step < 1.0
                return f'"{1000 * steps * step:.4g} mm"' if short else f'"{steps * step:.4g} {new}"'
        return found[0]

    return re.sub(r'"([^"]*)"', turned, line)


def _quoted(word: str) -> str:
    escaped = word.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c.isprintable() else " " for c in escaped) + '"'


def _line(key: str, field: Field, answer: str) -> str:
    """`key = "answer"`, or the same commented out with an example."""
    name = field.at.rpartition(".")[2]
    if not answer.strip():
        return f'# {name} = "{_EXAMPLES[key]}"'.ljust(35)
    return f"{name} = {_quoted(answer.strip())}".ljust(35)


def _table(row: Mapping[str, str]) -> str:
    """An inline table of texts."""
    return "{ " + ", ".join(f"{key} = {_quoted(text)}" for key, text in row.items()) + " }"


_EXAMPLES: Final = {
    "vehicle_gvwr": "7200 lb",
    "payload": "1790 lb",
    "front_gawr": "3900 lb",
    "rear_gawr": "4150 lb",
    "trailer_gvwr": "7000 lb",
    "empty_weight": "5240 lb",
    "tongue_weight": "655 lb",
    "axle_station": "15 ft 2 in",
}
_TEMPLATE = """format = 1
name = {name}
region = {region}
# speed = "62 mph"                 # fastest you mean to travel: tyres are checked at it
# everything_listed = true         # once people, gear and cargo all stand below

# Every number carries its unit; a spread may follow: "700 lb +- 25 lb". What a line leaves out
# is taken from typical values and listed as assumed. Take the # away to state a value.

[vehicle]
class = {vehicle}
{vehicle_gvwr} # certification label, driver's door pillar
{payload} # yellow tyre and loading placard
# gcwr = "15800 lb"                 # owner's manual, towing pages
# tow_rating = "9200 lb"            # owner's manual, towing pages
# wheelbase = "145 in"              # data sheet, or front to rear wheel centre by tape
# overhang = "63 in"                # rear wheel centre to ball, by tape

[vehicle.front]
{front_gawr} # GAWR FRT on the certification label
# weight = {{ value = "3120 lb", kind = "scale", includes = ["fuel"] }}
# tyres = {{ load_index = 121, max_pressure = "80 psi", pressure = "55 psi", kind = "lt" }}

[vehicle.rear]
{rear_gawr} # GAWR RR on the certification label
# weight = {{ value = "2260 lb", kind = "scale", includes = ["fuel"] }}
# tyres = {{ load_index = 121, max_pressure = "80 psi", pressure = "60 psi", kind = "lt" }}

[hitch]
# ball_height = "23.5 in"           # ground to top of ball, no trailer on it
# receiver = {{ opening = "2 in", rating_trailer = "6000 lb", rating_tongue = "600 lb" }} # label
# ball_mount = {{ shank = "2 in", rating_trailer = "10000 lb", rating_tongue = "1000 lb" }}
# ball = {{ size = "2 5/16 in", rating_trailer = "12000 lb" }}            # stamped on the ball
# coupler = {{ size = "2 5/16 in", rating_trailer = "10000 lb" }}
# chains = {{ count = 2, rating_each = "10200 lb" }}
# bars = {{ rating = "1000 lb", restoration = "50 % +- 20 %" }}   # only with weight distribution

[trailer]
style = {style}
{trailer_gvwr} # certification label, front left of the trailer
# brakes = true
# box_start = "3 ft 4 in"           # ball to front of box, by tape
# box_length = "22 ft"

[trailer.empty]
{empty_weight} # unloaded weight, label or brochure
{tongue_weight} # unloaded tongue (hitch) weight

[trailer.axles]
{axle_station} # ball to the middle of the axles, by tape
# count = 2
# gawr = "3600 lb"                  # rating of one axle
# tyres = {{ load_index = 113, max_pressure = "65 psi", pressure = "65 psi", kind = "st" }}

# [trailer.tanks.fresh]
# content = "fresh"
# capacity = "36 gal"
# station = "12 ft 8 in"            # ball to the middle of the tank

# [places.front]
# station = "6 ft"                  # ball to the middle of the place
# length = "5 ft"

# [items.bags]
# weight = "85 lb"
# place = "front"

# [people.driver]
# seat = "driver"
# weight = "180 lb"

# [stages.leaving]
# tanks = {{ fresh = "50 %" }}
"""
