"""Seeded rigs of every kind, as plain tables of a rig file: what a sane person might write."""

import re
from random import Random
from typing import Any, Final

Table = dict[str, Any]

VEHICLES: Final[dict[str, tuple[float, ...]]] = {
    "mid-size-pickup": (2720, 640, 3100, 1400, 1600, 3.25, 1.25, 1130, 870),
    "half-ton-crew-cab": (3220, 800, 4200, 1760, 1880, 3.70, 1.40, 1400, 1010),
    "three-quarter-ton": (4500, 1450, 6300, 2500, 2850, 4.05, 1.45, 1820, 1220),
    "one-ton-dual-rear-wheel": (6350, 2600, 9000, 2700, 4300, 4.35, 1.50, 2100, 1500),
    "full-size-suv": (3350, 760, 3700, 1650, 1900, 3.05, 1.20, 1300, 1250),
    "mid-size-suv": (2700, 640, 2300, 1350, 1500, 2.90, 1.10, 1080, 960),
    "car": (2050, 520, 1500, 1050, 1100, 2.75, 1.05, 860, 640),
    "van": (3500, 1100, 2500, 1800, 2100, 3.60, 1.15, 1250, 1050),
}
"""kg and m: GVWR, payload, tow rating, front and rear GAWR, wheelbase, overhang, front and rear
weight. Invented, near what such vehicles have."""
TRAILERS: Final[dict[str, tuple[float, ...]]] = {
    "rear-living": (2600, 3400, 4.9, 7.2, 2, 0.13),
    "rear-bunk": (2500, 3300, 4.6, 7.0, 2, 0.12),
    "front-living": (2900, 3900, 5.1, 7.6, 2, 0.14),
    "small-single-axle": (1000, 1500, 3.2, 4.0, 1, 0.12),
    "fifth-wheel": (4200, 5900, 6.6, 9.0, 2, 0.20),
    "enclosed-cargo": (1300, 3200, 4.2, 5.2, 2, 0.12),
    "open-utility": (450, 1350, 2.9, 3.2, 1, 0.11),
    "flatbed-equipment": (1300, 4500, 4.7, 5.8, 2, 0.13),
    "car-hauler": (1150, 4500, 4.6, 5.6, 2, 0.12),
    "boat": (500, 2300, 4.6, 5.8, 1, 0.08),
    "gooseneck": (2300, 6300, 6.8, 8.0, 2, 0.20),
    "centre-axle-caravan": (1100, 1500, 3.9, 5.0, 1, 0.06),
}
"""kg and m: empty weight, GVWR, ball to axles, box length, axles, tongue share."""
PINS: Final = ("fifth-wheel", "gooseneck")
BEDS: Final = tuple(VEHICLES)[:4]
ORDINALS: Final = ("first", "second", "third")
SEATS: Final = ("driver", "passenger", "second-left", "second-right", "second-middle", "third-left")


class Maker:
    """Writes one rig from one seed: `near` a number, in pounds or kilograms, stated or not."""

    def __init__(self, number: int) -> None:
        self.dice = Random(f"rig {number}")
        self.us = self.dice.random() < 0.6
        self.stated = self.dice.choice((1.0, 0.9, 0.7, 0.3, 0.05))
        self.careful = number % 4 == 0
        """An owner who states all that matters, and whose parts are strong enough."""

    def chance(self, p: float) -> bool:
        """Whether something of this chance happens."""
        return self.dice.random() < p

    def near(self, number: float, part: float = 0.12) -> float:
        """About that number."""
        return number * self.dice.uniform(1.0 - part, 1.0 + part)

    def said(self, p: float = 1.0, **table: Any) -> Table:
        """Those entries that the owner of this rig happens to state."""
        each = float(p >= 0.4) if self.careful else self.stated * p
        return {k: v for k, v in table.items() if v and self.chance(each)}

    def written(self, si: float, us: tuple[str, float], metric: tuple[str, float]) -> str:
        """A number in one of two units, now and then with a spread."""
        unit, size = us if self.us else metric
        digits = 0 if abs(si / size) > 200 else 2
        spread = f" +- {abs(si / size) * 0.03:.2f} {unit}" if self.chance(0.15) else ""
        return f"{si / size:.{digits}f} {unit}{spread}"

    def mass(self, kg: float, part: float = 0.0) -> str:
        """About so many kg."""
        return self.written(self.near(kg, part), ("lb", 0.45359237), ("kg", 1.0))

    def length(self, m: float, part: float = 0.0) -> str:
        """About so many m."""
        return self.written(self.near(m, part), ("in", 0.0254), ("m", 1.0))

    def rate(self, each: float) -> str:
        """About so many N/m."""
        return self.written(self.near(each, 0.3), ("lb/in", 175.126835), ("N/mm", 1000.0))

    def pressure(self, pa: float) -> str:
        """About so many Pa."""
        return self.written(self.near(pa), ("psi", 6894.757), ("kPa", 1000.0))


def rig(number: int) -> Table:
    """The tables of rig `number`."""
    make = Maker(number)
    style = make.dice.choice(tuple(TRAILERS))
    pin = style in PINS
    klass = make.dice.choice(BEDS if pin else tuple(VEHICLES))
    region = make.dice.choice(("north-america", "north-america", "europe", "australia-new-zealand"))
    found: Table = {"format": 1, "name": f"rig {number}"}
    if make.chance(0.9):
        found["region"] = region
    if make.chance(0.5):
        found["speed"] = make.dice.choice(("55 mph", "65 mph", "100 km/h", "80 km/h", "75 mph"))
    found["vehicle"] = _vehicle(make, klass, pin=pin)
    found["trailer"] = _trailer(make, style, VEHICLES[klass][2])
    found["places"] = _places(make, style, klass)
    found["items"] = _items(make, found["places"], TRAILERS[style])
    found["people"] = _people(make)
    found["stages"] = _stages(make, found)
    found["hitch"] = _hitch(make, style, klass, list(found["stages"]))
    if make.careful or make.chance(0.7):
        _balance(make, found, TRAILERS[style])
    rated: Table = _rated(found)
    return rated


RATED: Final = re.compile(
    r"gvwr|gtm|gcwr|payload|gawr|capacity|tow_rating|rating|distributing_|[dsu]_value"
    r"|max_load|max_pressure|placard_pressure"
)
"""Keys of ratings, which have no spread."""


def _rated(table: Any, key: str = "") -> Any:
    """The same without the spreads of ratings."""
    if isinstance(table, dict):
        return {name: _rated(part, name) for name, part in table.items()}
    if isinstance(table, str) and RATED.match(key):
        return table.split(" +- ")[0]
    return table


SIZES: Final = {"lb": 0.45359237, "kg": 1.0, "in": 0.0254, "m": 1.0}


def _number(text: Any) -> float:
    """The kg or m of what this file writes."""
    number, unit = str(text["value"] if isinstance(text, dict) else text).split()[:2]
    return float(number) * SIZES[unit]


def _aim(rig: Table) -> float:
    """About the middle of the tongue band."""
    if rig["trailer"]["style"] in PINS:
        return 0.2
    if rig["trailer"]["style"] == "boat":
        return 0.07
    return {"europe": 0.06, "australia-new-zealand": 0.115}.get(rig.get("region", ""), 0.125)


def _balance(make: Maker, rig: Table, usual: tuple[float, ...]) -> None:
    """Pack as a careful owner would: near the band's middle, everything weighed and measured."""
    trailer, axle, aim = rig["trailer"], usual[2], _aim(rig)
    empty = _number(trailer["empty"].setdefault("weight", make.mass(usual[0])))
    if make.careful:
        trailer["empty"]["weight"] = {"value": f"{empty:.0f} kg", "kind": "scale"}
    trailer["axles"]["station"] = make.length(axle)
    levers = {
        name: 1.0 - _number(place["station"]) / axle
        for name, place in rig["places"].items()
        if place.get("on", "trailer") == "trailer"
    }
    tongue, whole = aim * empty, empty
    for item in rig["items"].values():
        if item["place"] in levers:
            kg = _number(item["weight"])
            whole += kg
            short = (aim * whole - tongue) / max(kg, 1.0)
            place = min(levers, key=lambda name: abs(levers[name] - short))
            tongue += kg * levers[place]
            item |= {"place": place, "station": rig["places"][place]["station"]}
    stated = aim * empty + aim * whole - tongue
    text = make.mass(min(max(stated, 0.03 * empty), 0.3 * empty))
    trailer["empty"]["tongue_weight"] = {"value": text, "basis": "weighed"}
    room = make.dice.uniform(1.2, 1.5) if make.careful else make.dice.uniform(1.02, 1.4)
    trailer["gvwr"] = make.mass(whole * room)


def _vehicle(make: Maker, klass: str, *, pin: bool) -> Table:
    gvwr, payload, tow, front, rear, wheelbase, overhang, f_kerb, r_kerb = VEHICLES[klass]
    found: Table = {"class": klass}
    found |= make.said(
        gvwr=make.mass(gvwr, 0.1),
        payload=make.mass(payload, 0.2),
        gcwr=make.mass(gvwr + tow, 0.15),
        tow_rating=make.mass(tow, 0.2),
        wheelbase=make.length(wheelbase, 0.05),
        overhang=f"{make.dice.uniform(-0.3, 0.1):.2f} m" if pin else make.length(overhang, 0.1),
    )
    found |= make.said(
        0.3,
        tow_rating_unbraked=make.mass(750),
        levelling=make.dice.choice(("none", "air-by-hand", "self-levelling")),
        driven=make.dice.choice(("front", "rear", "all")),
        engine_power=make.dice.choice(("290 hp", "150 kW", "110 kW", "400 hp")),
        drive_force=make.dice.choice(("9 kN", "2500 lbf", "14 kN")),
        distribution=make.dice.choice(("required", "allowed", "forbidden")),
        distribution_from=make.mass(tow * 0.4),
        cg_height=make.length(0.7, 0.1),
        roll_share="55 %",
        width=make.length(2.0),
        cab_to_axle=make.length(1.1),
        bed_rail_height=make.length(1.35),
    )
    if make.chance(0.15):
        found |= {"accessories": make.mass(60, 0.5), "accessories_station": make.length(2.0)}
    if make.chance(0.1):
        found["max_trailer_ratio"] = make.dice.choice((0.85, 1.0, 1.2))
    if make.careful:
        found["gvwr"] = make.mass(gvwr * 1.1)
        found["payload"] = make.mass(payload * 1.2)
    strength = 1.12 if make.careful else 1.0
    found["front"] = _axle(make, front * strength, f_kerb)
    found["rear"] = _axle(make, rear * strength, r_kerb) | make.said(
        0.2,
        helper_rate=make.rate(60e3),
        helper_gap=make.length(0.06),
        stop_rate=make.rate(300e3),
        stop_gap=make.length(0.09),
    )
    if make.chance(0.6):
        content = make.dice.choice(("gasoline", "diesel"))
        found["tanks"] = {"fuel": {"content": content, "capacity": f"{make.near(90):.0f} L"}}
    if make.chance(0.1):
        found["seats"] = {"driver": {"station": make.length(1.5)}, "jump": {"station": "2.6 m"}}
    return found


def _axle(make: Maker, gawr: float, kerb: float) -> Table:
    found = make.said(gawr=make.mass(gawr, 0.08))
    if make.chance(0.4):
        found["weight"] = make.dice.choice(
            (
                make.mass(kerb, 0.05),
                {"value": make.mass(kerb, 0.05), "kind": "scale", "includes": ["fuel"]},
                {"value": make.mass(kerb, 0.05), "basis": "weighed"},
            )
        )
    found |= make.said(0.2, track=make.length(1.65, 0.05), rate=make.rate(gawr * 45))
    found |= make.said(0.1, unsprung=make.mass(150, 0.3))
    tyres = _tyres(make, gawr / 2)
    return found | ({"tyres": tyres} if tyres else {})


def _tyres(make: Maker, each: float) -> Table:
    if make.careful:
        found: Table = {"kind": "lt", "load_index": 126, "speed_symbol": "R"}
        return found | {"max_pressure": "80 psi", "pressure": "80 psi"}
    found = make.said(
        0.7,
        kind=make.dice.choice(("p-metric", "lt", "st", "c-type", "etrto-passenger", "bias")),
        load_index=make.dice.choice((98, 104, 109, 113, 117, 121, 126)),
        max_pressure=make.pressure(450e3),
        pressure=make.pressure(390e3),
    )
    found |= make.said(
        0.15,
        speed_symbol=make.dice.choice(("L", "M", "N", "Q", "R", "S", "T")),
        max_load=make.mass(each * 1.15),
        wheel_rating=make.mass(each * 1.2),
        rate=make.rate(260e3),
        placard_pressure=make.pressure(380e3),
        speed_rating="65 mph",
    )
    if make.chance(0.05):
        rows = ((300e3, 0.9), (400e3, 1.1), (500e3, 1.3))
        found["table"] = [
            {"pressure": f"{pa / 1e3:.0f} kPa", "load": f"{each * part:.0f} kg"}
            for pa, part in rows
        ]
    return found


def _trailer(make: Maker, style: str, tow: float) -> Table:
    empty, gvwr, axle, box, count, share = TRAILERS[style]
    small = min(1.0, make.dice.uniform(0.7, 1.3) * tow / gvwr)
    small = small * 0.65 if make.careful else small
    empty, gvwr = empty * small, gvwr * small
    found: Table = {"style": style, "gvwr": make.mass(gvwr)}
    weight = make.mass(empty, 0.08)
    kind = make.dice.choice(("label", "brochure", "scale"))
    own = weight if make.chance(0.4) else {"value": weight, "kind": kind}
    found["empty"] = make.said(
        weight=own, tongue_weight=make.mass(empty * share, 0.25), cg_height=make.length(1.0, 0.2)
    )
    if make.chance(0.1):
        found["empty"] |= {"weight": weight, "cg_offset": make.length(0.05)}
    found |= make.said(0.3, gtm=make.mass(gvwr * 0.9))
    found["brakes"] = make.careful or make.chance(0.85)
    if found["brakes"]:
        found |= make.said(0.5, brake_kind=make.dice.choice(("electric", "surge", "other")))
        found |= make.said(0.5, breakaway=True)
    found |= make.said(
        0.6,
        coupler_height=make.length(1.15 if style in PINS else 0.52, 0.06),
        length=make.length(axle + 0.45 * box),
        box_start=make.length(1.2),
        box_length=make.length(box),
        width=make.length(2.2),
        roof_height=make.length(2.6),
        rear_clearance=make.length(0.4, 0.2),
    )
    if style in PINS:
        found |= make.said(0.4, nose_underside=make.length(1.65))
    found["axles"] = _axles(make, axle, gvwr, int(count))
    found |= _water(make, axle)
    if make.chance(0.25):
        found["equipment"] = {"battery": {"weight": make.mass(27), "station": make.length(0.6)}}
    return found


def _axles(make: Maker, axle: float, gvwr: float, usual: int) -> Table:
    count = usual if make.chance(0.7) else make.dice.choice((1, 2, 3))
    found: Table = {"count": count} if make.chance(0.9) else {}
    found["suspension"] = make.dice.choice(("equaliser", "independent"))
    each = gvwr * make.dice.uniform(0.85, 1.2) * (1.4 if make.careful else 1.0) / count
    found |= make.said(station=make.length(axle, 0.05), gawr=make.mass(each))
    found |= make.said(
        0.3,
        spacing=make.length(0.86),
        track=make.length(2.0),
        rate=make.rate(180e3),
        unsprung=make.mass(120, 0.2),
    )
    tyres = _tyres(make, each / 2)
    if tyres:
        found["tyres"] = tyres
    if "count" in found and "station" in found and make.chance(0.15):
        for n, name in enumerate(ORDINALS[:count]):
            found[name] = {"station": f"{axle + 0.9 * (n - (count - 1) / 2):.2f} m"}
    if found.get("count") == 2 and found["suspension"] == "equaliser" and make.chance(0.15):
        found["first"] = found.get("first", {}) | {"share": "52 %"}
        found["second"] = found.get("second", {}) | {"share": "48 %"}
    return found


def _water(make: Maker, axle: float) -> Table:
    tanks: Table = {}
    for name, at in (("fresh", axle - 0.6), ("grey", axle + 0.8), ("black", axle - 1.6)):
        if make.chance(0.45):
            tanks[name] = {
                "content": name,
                "capacity": f"{make.near(120, 0.4):.0f} L",
                "station": make.length(at, 0.1),
            }
            tanks[name] |= make.said(0.3, height=make.length(0.5), offset=make.length(0.2))
    return {"tanks": tanks} if tanks else {}


def _places(make: Maker, style: str, klass: str) -> Table:
    _, gvwr, _, box, _, _ = TRAILERS[style]
    found: Table = {}
    count = make.dice.randint(2, 6)
    for n in range(count):
        found[f"place{n}"] = {"station": f"{1.3 + box * (n + 0.5) / count:.2f} m"} | make.said(
            0.6,
            length=make.length(box / count),
            width=make.length(1.8),
            capacity=make.mass(gvwr * 0.5),
            offset=make.length(0.3) if n % 2 else make.length(-0.3),
            height=make.length(0.7),
            clearance=make.length(1.9),
        )
    if klass in BEDS and style not in PINS and make.chance(0.6):
        at = VEHICLES[klass][5]
        found["bed"] = {"on": "vehicle", "station": f"{at + 0.1:.2f} m", "length": "1.7 m"}
    if make.chance(0.2):
        found["cab"] = {"on": "vehicle", "station": "2.5 m", "room": "cabin"}
    return found


def _items(make: Maker, places: Table, trailer: tuple[float, ...]) -> Table:
    count, room = make.dice.randint(1, 10), max(trailer[1] - trailer[0], 300.0)
    fill = make.dice.choice((0.2, 0.4, 0.6, 0.9)) * (0.5 if make.careful else 1.0)
    found: Table = {}
    for n in range(count):
        name, weight = f"item{n}", make.mass(room * fill / count, 0.6)
        item: Table = {"weight": weight, "place": make.dice.choice(list(places))}
        if make.chance(0.25):
            item["weight"] = {"value": weight, "basis": "weighed"}
        if make.chance(0.25):
            item["station"] = places[item["place"]]["station"]
        if make.chance(0.15):
            item["size"] = [make.length(0.8, 0.3), make.length(0.5), make.length(0.5)]
        for rule in ("fixed", "upright", "not_with_people", "slides", "outside_only"):
            if make.chance(0.01 if rule == "outside_only" and "bed" not in places else 0.06):
                item[rule] = True
        if n and make.chance(0.08):
            item[make.dice.choice(("together", "apart"))] = ["item0"]
        if n and make.chance(0.04):
            item["opposite"] = "item0"
        if make.chance(0.3):
            item["importance"] = make.dice.randint(0, 10)
        found[name] = item
    return found


def _people(make: Maker) -> Table:
    found: Table = {}
    for n in range(make.dice.choice((0, 1, 1, 2, 2, 4, 6))):
        found[f"person{n}"] = {"seat": SEATS[n]}
        if make.chance(0.7):
            found[f"person{n}"]["weight"] = make.mass(80, 0.3)
    return found


def _stages(make: Maker, rig: Table) -> Table:
    found: Table = {}
    tanks, items = rig["trailer"].get("tanks", {}), list(rig["items"])
    fuel = "fuel" in rig["vehicle"].get("tanks", {})
    for n in range(make.dice.choice((0, 1, 2, 3, 4))):
        stage: Table = {}
        levels = {name: f"{make.dice.randint(0, 20) * 5} %" for name in tanks if make.chance(0.5)}
        if levels:
            stage["tanks"] = levels
        if make.chance(0.4):
            stage["vehicle_tanks"] = {"fuel": make.dice.choice(("full", "75 %", "50 %", "25 %"))}
        if n and fuel and make.chance(0.4):
            stage |= {"distance": "90 mi", "fuel_use": "11 mpg"}
        if n and "fresh" in tanks and make.chance(0.4):
            stage["water_used"] = make.dice.choice(("5 gal", "12 L", "20 L"))
            stage |= {"to_black": "30 %"} if make.chance(0.3) else {}
        if n and make.chance(0.25):
            stage[make.dice.choice(("without", "used_up", "bought"))] = [make.dice.choice(items)]
        if rig["people"] and make.chance(0.15):
            stage["people"] = list(rig["people"])[:1]
        if make.chance(0.08):
            stage["grade"] = make.dice.choice(("2 deg", "-3 deg"))
        found[f"stage{n}"] = stage
    return found


def _part(make: Maker, trailer: float, tongue: float, *, distributing: bool) -> Table:
    found = make.said(rating_trailer=make.mass(trailer, 0.2), rating_tongue=make.mass(tongue, 0.2))
    if distributing:
        found |= make.said(
            distributing_trailer=make.mass(trailer * 1.4),
            distributing_tongue=make.mass(tongue * 1.4),
        )
    found |= make.said(0.2, d_value=f"{make.near(15):.1f} kN", s_value=make.mass(tongue))
    return found


def _hitch(make: Maker, style: str, klass: str, stages: list[str]) -> Table:
    pin, tow = style in PINS, VEHICLES[klass][2] * (1.5 if style in PINS else 1.0)
    tow = tow * 1.4 if make.careful else tow
    tongue = tow * (0.25 if pin else 0.12)
    found: Table = {}
    if pin or make.chance(0.3):
        found["kind"] = style if pin else make.dice.choice(("ball", "ball", "pintle", "drawbar"))
    found |= make.said(0.6, ball_height=make.length(1.2 if pin else 0.53, 0.06))
    bars = not pin and klass in (*BEDS, "full-size-suv") and make.chance(0.55)
    names = ("ball", "coupler") if pin else ("receiver", "ball_mount", "ball", "coupler")
    for name in names:
        if make.careful or make.chance(0.3 + 0.7 * make.stated):
            found[name] = _part(make, tow, tongue, distributing=bars and name != "ball")
    if not pin:
        _sizes(make, found)
    if bars:
        found["bars"] = _bars(make, tongue, stages)
    if make.careful or make.chance(0.4):
        found["chains"] = {"count": 2, "rating_each": make.mass(tow)}
    if make.chance(0.3):
        found["jack"] = make.said(
            rating=make.mass(tongue * 2),
            station=make.length(0.4),
            flange=make.length(0.5),
            retracted=make.length(0.35),
            travel=make.length(0.38),
        )
    return found


def _sizes(make: Maker, found: Table) -> None:
    """Sizes and weights of the parts that fit into one another."""
    for name in ("ball", "coupler"):
        if name in found:
            sizes = {"size": "2 5/16 in" if make.chance(0.8) else "50 mm"}
            found[name] |= make.said(0.6, **sizes)
    if "receiver" in found:
        found["receiver"] |= make.said(0.4, height="0.55 m", opening="2 in", pin="5/8 in")
    if "ball_mount" in found:
        found["ball_mount"] |= make.said(0.4, shank="2 in", drop=make.length(0.08, 0.5))
        found["ball_mount"] |= make.said(0.4, weight=make.mass(15, 0.3))
    if "receiver" in found and make.chance(0.08):
        found["reducers"] = {"sleeve": {"opening": "2 in", "shank": "2.5 in", "weight": "5 kg"}}


def _bars(make: Maker, tongue: float, stages: list[str]) -> Table:
    found = make.said(rating=make.mass(tongue * 1.3, 0.3), weight=make.mass(32, 0.2))
    found |= make.said(0.3, arm=make.length(0.72, 0.1), tip_rate=make.rate(55e3))
    how = make.dice.choice(("preset", "restoration", "unsaid", "restoration"))
    if how == "preset":
        found["preset"] = make.dice.choice(("3 deg", "5 deg +- 1 deg", "0.06 rad", "8 deg"))
    if how == "restoration":
        found["restoration"] = make.dice.choice(("50 %", "50 % +- 20 %", "100 %", "25 %"))
        if stages and make.chance(0.5):
            found["set_at"] = make.dice.choice(stages)
    return found
