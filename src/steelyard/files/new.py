"""A first rig file from a few answers, commented so that a person can go on in it."""

import re
from dataclasses import dataclass
from typing import Final

from steelyard.files.reader import parse_rig
from steelyard.quantity import Dimension, parse


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What `steelyard new` asks; quantities as a person writes them, None where unanswered."""

    name: str
    vehicle: str
    style: str
    region: str
    empty_weight: str | None = None
    tongue_weight: str | None = None
    trailer_gvwr: str | None = None
    axle_station: str | None = None
    vehicle_gvwr: str | None = None
    payload: str | None = None
    front_gawr: str | None = None
    rear_gawr: str | None = None


def new_rig(answers: Answers) -> str:
    """TOML text of the rig; raises FileFaultError where an answer cannot be read."""
    text = _TEMPLATE.format(
        name=_quoted(answers.name),
        region=_quoted(answers.region),
        vehicle=_quoted(answers.vehicle),
        style=_quoted(answers.style),
        gvwr=_line("gvwr", answers.vehicle_gvwr, "7200 lb"),
        payload=_line("payload", answers.payload, "1790 lb"),
        front=_line("gawr", answers.front_gawr, "3900 lb"),
        rear=_line("gawr", answers.rear_gawr, "4150 lb"),
        trailer_gvwr=_line("gvwr", answers.trailer_gvwr, "7000 lb"),
        weight=_line("weight", answers.empty_weight, "5240 lb"),
        tongue=_line("tongue_weight", answers.tongue_weight, "655 lb"),
        station=_line("station", answers.axle_station, "15 ft 2 in"),
    )
    if answers.region != "north-america":
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


def _line(key: str, answer: str | None, example: str) -> str:
    """`key = "answer"`, or the same commented out with an example."""
    if answer is None or not answer.strip():
        return f'# {key} = "{example}"'.ljust(35)
    return f"{key} = {_quoted(answer.strip())}".ljust(35)


_TEMPLATE = """format = 1
name = {name}
region = {region}
# speed = "62 mph"                 # fastest you mean to travel: tyres are checked at it

# Every number carries its unit; a spread may follow: "700 lb +- 25 lb". What a line leaves out
# is taken from typical values and listed as assumed. Take the # away to state a value.

[vehicle]
class = {vehicle}
{gvwr} # certification label, driver's door pillar
{payload} # yellow tyre and loading placard
# gcwr = "15800 lb"                 # owner's manual, towing pages
# tow_rating = "9200 lb"            # owner's manual, towing pages
# wheelbase = "145 in"              # data sheet, or front to rear wheel centre by tape
# overhang = "63 in"                # rear wheel centre to ball, by tape

[vehicle.front]
{front} # GAWR FRT on the certification label
# weight = {{ value = "3120 lb", kind = "scale", includes = ["fuel"] }}
# tyres = {{ load_index = 121, max_pressure = "80 psi", pressure = "55 psi", kind = "lt" }}

[vehicle.rear]
{rear} # GAWR RR on the certification label
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
{weight} # unloaded weight, label or brochure
{tongue} # unloaded tongue (hitch) weight

[trailer.axles]
{station} # ball to the middle of the axles, by tape
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
