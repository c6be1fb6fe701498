"""Rulebooks: the rules of one region as data, each with the text it rests on.

A rule says what it ``binds`` (the kind of load or rating), what it ``compares``,
which trailers or parts it ``applies`` to, and its ``status``: ``read`` when its
text was seen, ``memory`` when not. A rule from memory is a note to the reader and
never the reason for calling a load within its limit.

Numbers are written in the file in the unit of their text (``mass_lb = 3000``) and
held here in SI under the bare name (``rule.value["mass"]``, kg).
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from steelyard.quantity import INCH, POUND
from steelyard.quantity.constants import HOUR, MILE, POUND_FORCE

REGIONS: Final = ("north-america", "europe", "australia-new-zealand")

KINDS: Final = (
    "payload",
    "gvwr",
    "gawr",
    "gcwr",
    "tow-rating",
    "trailer-gvwr",
    "trailer-axle",
    "tyre",
    "coupling",
    "noseweight",
    "tongue-band",
    "ratio",
    "chains",
    "brakes",
    "speed",
    "label",
)
"""What a rule can bind."""

TRAILERS: Final = ("conventional", "boat", "centre-axle", "fifth-wheel")
"""Kinds of trailer every region has a tongue band for."""

APPLIES: Final = (
    *TRAILERS,
    "all",
    "gooseneck",
    "caravan",
    "commercial",
    "rv-trailer",
    "unbraked",
    "braked",
    "passenger-tyre",
    "st-tyre",
    "light-vehicle",
    "new-zealand",
    "some-states",
)

STATUSES: Final = ("read", "memory")

_DATA: Final = Path(__file__).parent / "data" / "rulebooks"
_TEXTS: Final = (
    "id",
    "title",
    "text",
    "source",
    "date",
    "binds",
    "compares",
    "status",
    "applies",
)
_UNITS: Final[Mapping[str, tuple[str, float]]] = MappingProxyType(
    {
        "low": ("low", 1.0),
        "high": ("high", 1.0),
        "share": ("share", 1.0),
        "factor": ("factor", 1.0),
        "count": ("count", 1.0),
        "mass_kg": ("mass", 1.0),
        "mass_lb": ("mass", POUND),
        "least_mass_kg": ("least_mass", 1.0),
        "force_kn": ("force", 1e3),
        "speed_kmh": ("speed", 1e3 / HOUR),
        "speed_mph": ("speed", MILE / HOUR),
        "pressure_kpa": ("pressure", 1e3),
        "pressure_psi": ("pressure", POUND_FORCE / INCH**2),
        "length_m": ("length", 1.0),
        "length_mm": ("length", 1e-3),
        "length_in": ("length", INCH),
        "density_kg_per_litre": ("density", 1e3),
        "deceleration_mps2": ("deceleration", 1.0),
    }
)


class RulebookError(ValueError):
    """A rulebook file that cannot be used, and why, in one sentence."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Rule:
    """One rule with the text it rests on; ``value`` holds its numbers in SI."""

    id: str
    region: str
    title: str
    text: str
    source: str
    date: str
    binds: str
    compares: str
    status: str
    applies: str
    value: Mapping[str, float] = field(hash=False)

    @property
    def is_read(self) -> bool:
        """Whether the rule's text was seen, so that it may decide a verdict."""
        return self.status == "read"


@dataclass(frozen=True, kw_only=True, slots=True)
class Rulebook:
    """The rules of one region, in the order of their file."""

    region: str
    title: str
    rules: tuple[Rule, ...]

    def rule(self, name: str) -> Rule:
        """The rule of that id."""
        for rule in self.rules:
            if rule.id == name:
                return rule
        raise KeyError(f"the {self.region} rulebook has no rule {name!r}")

    def binding(self, kind: str) -> tuple[Rule, ...]:
        """The rules that bind a kind of load, one of ``KINDS``."""
        if kind not in KINDS:
            raise ValueError(f"{kind!r} is not a kind of load ({', '.join(KINDS)})")
        return tuple(rule for rule in self.rules if rule.binds == kind)

    def band(self, trailer: str) -> Rule:
        """The tongue band of a kind of trailer; a gooseneck's is the fifth wheel's."""
        wanted = "fifth-wheel" if trailer == "gooseneck" else trailer
        for rule in self.binding("tongue-band"):
            if rule.applies == wanted:
                return rule
        raise KeyError(f"the {self.region} rulebook has no tongue band for {trailer!r}")


@cache
def load_rulebook(region: str) -> Rulebook:
    """The shipped rulebook of a region, one of ``REGIONS``; read once."""
    if region not in REGIONS:
        raise ValueError(f"region {region!r} is not one of {', '.join(REGIONS)}")
    path = _DATA / f"{region}.toml"
    return parse_rulebook(path.read_text(encoding="utf-8"), region)


def parse_rulebook(text: str, region: str) -> Rulebook:
    """A rulebook from the text of its file, or a ``RulebookError`` naming the fault."""
    name = f"{region}.toml"
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RulebookError(f"{name} is not valid TOML: {error}") from error
    _check_head(data, region, name)
    rules = tuple(
        _rule(entry, region, f"{name}: rule[{i}]") for i, entry in enumerate(data["rule"])
    )
    _check_ids(rules, name)
    _check_bands(rules, name)
    return Rulebook(region=region, title=data["title"], rules=rules)


def _check_head(data: Mapping[str, Any], region: str, name: str) -> None:
    unknown = set(data) - {"region", "title", "rule"}
    if unknown:
        raise RulebookError(f"{name}: {min(unknown)!r} is not a key of a rulebook")
    if data.get("region") != region:
        raise RulebookError(f"{name}: region is {data.get('region')!r}, not {region!r}")
    if not isinstance(data.get("title"), str):
        raise RulebookError(f"{name}: title is missing")
    if not isinstance(data.get("rule"), list) or not data["rule"]:
        raise RulebookError(f"{name}: there is no [[rule]]")


def _rule(entry: Any, region: str, where: str) -> Rule:
    if not isinstance(entry, dict):
        raise RulebookError(f"{where} is not a table")
    texts = {key: _text(entry, key, where) for key in _TEXTS}
    where = f"{where} ({texts['id']})"
    _check_words(texts, where)
    value = {}
    for key in entry.keys() - set(_TEXTS):
        name, number = _number(key, entry[key], where)
        if name in value:
            raise RulebookError(f"{where} gives {name} twice, in two units")
        value[name] = number
    rule = Rule(region=region, value=MappingProxyType(dict(sorted(value.items()))), **texts)
    _check_band(rule, where)
    return rule


def _text(entry: Mapping[str, Any], key: str, where: str) -> str:
    if key not in entry:
        raise RulebookError(f"{where}.{key} is missing")
    value = entry[key]
    if not isinstance(value, str) or not value.strip():
        raise RulebookError(f"{where}.{key} is {value!r}, not a text")
    return value


def _check_words(texts: Mapping[str, str], where: str) -> None:
    allowed = {"binds": KINDS, "status": STATUSES, "applies": APPLIES}
    for key, words in allowed.items():
        if texts[key] not in words:
            raise RulebookError(f"{where}.{key} is {texts[key]!r}, not one of {', '.join(words)}")
    if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", texts["id"]):
        raise RulebookError(f"{where}.id is {texts['id']!r}, not words joined by hyphens")
    if texts["status"] == "memory" and "memory" not in texts["source"]:
        raise RulebookError(f"{where}.source must say 'from memory', as its status does")


def _number(key: str, value: Any, where: str) -> tuple[str, float]:
    if key not in _UNITS:
        raise RulebookError(f"{where}.{key} is not a key of a rule")
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise RulebookError(f"{where}.{key} is {value!r}, not a number")
    if not 0 < value < 1e9:
        raise RulebookError(f"{where}.{key} is {value!r}, not a positive number")
    name, unit = _UNITS[key]
    return name, value * unit


def _check_band(rule: Rule, where: str) -> None:
    if rule.binds != "tongue-band":
        return
    if rule.value.keys() != {"low", "high"}:
        raise RulebookError(f"{where} is a tongue band and needs low and high, and nothing else")
    if not rule.value["low"] < rule.value["high"] < 1:
        raise RulebookError(f"{where} needs 0 < low < high < 1")


def _check_ids(rules: tuple[Rule, ...], name: str) -> None:
    seen: set[str] = set()
    for rule in rules:
        if rule.id in seen:
            raise RulebookError(f"{name} has two rules {rule.id!r}")
        seen.add(rule.id)


def _check_bands(rules: tuple[Rule, ...], name: str) -> None:
    bands = [rule.applies for rule in rules if rule.binds == "tongue-band"]
    for trailer in TRAILERS:
        if bands.count(trailer) != 1:
            raise RulebookError(
                f"{name} needs one tongue band for {trailer!r}, not {bands.count(trailer)}"
            )
