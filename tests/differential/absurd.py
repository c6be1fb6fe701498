"""What no sane person writes: every sixth rig is spoiled in one of these ways."""

from collections.abc import Callable
from random import Random
from typing import Any, Final

import tomlkit

Table = dict[str, Any]
EVERY: Final = 6
"""One rig in so many is spoiled."""


def _put(*path: str, to: Any) -> Callable[[Table], None]:
    def change(rig: Table) -> None:
        table = rig
        for key in path[:-1]:
            table = table.setdefault(key, {})
        table[path[-1]] = to

    return change


def _first(of: str, key: str, to: Any) -> Callable[[Table], None]:
    def change(rig: Table) -> None:
        for table in list(rig[of].values())[:1]:
            table[key] = to

    return change


def _heavy(weight: str, station: str, on: str = "trailer") -> Callable[[Table], None]:
    def change(rig: Table) -> None:
        rig["places"]["far"] = {"on": on, "station": station}
        rig["items"]["anvil"] = {"weight": weight, "place": "far", "station": station}

    return change


def _drop(*path: str) -> Callable[[Table], None]:
    def change(rig: Table) -> None:
        table = rig
        for key in path[:-1]:
            table = table.get(key, {})
        table.pop(path[-1], None)

    return change


def _both(*changes: Callable[[Table], None]) -> Callable[[Table], None]:
    def change(rig: Table) -> None:
        for one in changes:
            one(rig)

    return change


TABLES: Final[tuple[Callable[[Table], None], ...]] = (
    _heavy("1500 kg", "8.5 m"),
    _heavy("6 t", "12 m"),
    _heavy("50 t", "3 m"),
    _heavy("50 t", "4 m", "vehicle"),
    _heavy("1800 kg", "5 m", "vehicle"),
    _heavy("2400 kg", "0.2 m"),
    _heavy("0 kg", "19 m"),
    _put("vehicle", "wheelbase", to="0 m"),
    _put("vehicle", "overhang", to="14 m"),
    _put("trailer", "axles", "station", to="0 m"),
    _put("trailer", "axles", "spacing", to="0 in"),
    _put("trailer", "axles", "station", to="0.4 m"),
    _first("places", "length", "0 m"),
    _first("places", "station", "-4 m"),
    _first("items", "weight", "nan kg"),
    _first("items", "weight", "inf lb"),
    _first("items", "weight", "1e999 kg"),
    _first("items", "weight", float("nan")),
    _first("items", "weight", "heavy"),
    _first("items", "weight", ""),
    _first("items", "weight", "35 psi"),
    _first("items", "weight", 35),
    _first("items", "weight", "-40 kg"),
    _first("items", "weight", "2.180 kg"),
    _first("items", "weight", "2.180,5 kg"),
    _first("items", "weight", {"value": "40 kg", "basis": "guessed"}),
    _first("items", "place", "attic"),
    _first("items", "together", ["item9999"]),
    _first("items", "importance", 11),
    _first("people", "seat", "roof"),
    _first("stages", "distance", "90 mi"),
    _first("stages", "tanks", {"wine": "50 %"}),
    _first("stages", "without", ["item77"]),
    _put("vehicle", "payloadd", to="700 kg"),
    _put("vehicle", "class", to="tank"),
    _put("vehicle", "payload", to="9000 kg"),
    _put("vehicle", "gvwr", to="2000000000.0 kg"),
    _put("vehicle", "rear", "rate", to="2500000000.0 N/m"),
    _put("vehicle", "rear", "rate", to="1 N/m"),
    _put("vehicle", "front", "tyres", to={"load_index": 900}),
    _put("vehicle", "front", "tyres", to={"pressure": "0 psi", "load_index": 100}),
    _put("vehicle", "front", "tyres", to={"speed_symbol": "ZZ", "count": 9}),
    _put("trailer", "axles", "tyres", to={"kind": "wood"}),
    _put("trailer", "axles", "count", to=4),
    _both(_put("trailer", "axles", "count", to=1), _put("trailer", "axles", "third", to={})),
    _put("trailer", "axles", "first", to={"share": "120 %"}),
    _both(_drop("trailer", "gvwr"), _drop("trailer", "empty", "weight")),
    _put("trailer", "empty", to={"weight": "300 kg", "tongue_weight": "400 kg"}),
    _put("trailer", "empty", to={"weight": "900 kg", "tongue_weight": "-50 kg"}),
    _put("trailer", "empty", to={"weight": "900 kg", "cg": "9 m"}),
    _put("hitch", "bars", to={"preset": "3 deg", "restoration": "50 %"}),
    _put("hitch", "bars", to={"preset": "40 deg", "tip_rate": "900 N/mm"}),
    _put("hitch", "bars", to={"restoration": "400 %"}),
    _put("hitch", "bars", to={"rating": "500 kg", "set_at": "never"}),
    _put("hitch", "kind", to="gooseneck"),
    _put("hitch", "ball", to={"rating_trailer": "0 kg"}),
    _put("hitch", "ball_height", to="9 m"),
    _put("speed", to="0 mph"),
    _put("speed", to="400 mph"),
    _put("format", to=2),
    _put("region", to="atlantis"),
    _put("name", to="x" * 300),
    _drop("vehicle"),
    _drop("trailer"),
    _drop("places"),
)
TEXTS: Final[tuple[Callable[[str], str], ...]] = (
    lambda text: text[: len(text) // 2],
    lambda text: text + "\n[vehicle]\nclass = 'car'\n",
    lambda text: text.replace("=", ":", 1),
    lambda text: "",
    lambda text: text.replace('"', "“", 1),
    lambda text: "[" * 200 + text,
)


def text(number: int, rig: Table) -> str:
    """The rig file of a rig, spoiled where its number says so."""
    dice, turn = Random(f"absurd {number}"), number // EVERY
    if number % EVERY != EVERY - 1:
        return tomlkit.dumps(rig)
    if turn % 8 == 7:
        return dice.choice(TEXTS)(tomlkit.dumps(rig))
    TABLES[turn * 37 % len(TABLES)](rig)
    return tomlkit.dumps(rig)
