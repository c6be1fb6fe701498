"""Rulebooks: what a file must hold, and what is said of one that does not."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest

from steelyard.ratings.rulebook import (
    KINDS,
    REGIONS,
    TRAILERS,
    RulebookError,
    load_rulebook,
    parse_rulebook,
)

BAND = """
[[rule]]
id = "tongue-band-{0}"
title = "Tongue share"
text = "10 to 15 %"
source = "common practice, from memory"
date = "undated"
binds = "tongue-band"
compares = "tongue weight over weight of whole trailer"
status = "memory"
applies = "{0}"
low = 0.10
high = 0.15
"""
HEAD = 'region = "europe"\ntitle = "Europe"\n'
GOOD = HEAD + "".join(BAND.format(trailer) for trailer in TRAILERS)


@pytest.mark.parametrize("region", REGIONS)
def test_shipped_rulebooks_load(region: str) -> None:
    """Every shipped rulebook is valid, and is read once."""
    book = load_rulebook(region)
    assert book.region == region
    assert load_rulebook(region) is book
    assert {rule.region for rule in book.rules} == {region}


@pytest.mark.parametrize("region", REGIONS)
@pytest.mark.parametrize("trailer", [*TRAILERS, "gooseneck"])
def test_every_region_has_every_band(region: str, trailer: str) -> None:
    """Each region has a tongue band for each kind of trailer, on the whole trailer."""
    band = load_rulebook(region).band(trailer)
    assert 0 < band.value["low"] < band.value["high"] < 0.3
    assert "whole trailer" in band.compares


@pytest.mark.parametrize("region", REGIONS)
def test_binding_covers_every_rule_once(region: str) -> None:
    """Sorted by what they bind, the rules are all there, each once."""
    book = load_rulebook(region)
    found = [rule.id for kind in KINDS for rule in book.binding(kind)]
    assert sorted(found) == sorted(rule.id for rule in book.rules)


@pytest.mark.parametrize("region", REGIONS)
def test_a_rule_from_memory_says_so(region: str) -> None:
    """A rule that was not read owns up in its source."""
    for rule in load_rulebook(region).rules:
        assert rule.is_read or "memory" in rule.source


def test_rules_are_frozen_and_hashable() -> None:
    """A rule cannot be changed and can be a key."""
    rule = load_rulebook("europe").rule("german-100")
    with pytest.raises(dataclasses.FrozenInstanceError):
        rule.title = "other"  # type: ignore[misc]
    with pytest.raises(TypeError):
        rule.value["factor"] = 9.0  # type: ignore[index]
    assert {rule: 1}[rule] == 1


def test_numbers_are_si() -> None:
    """A number in the unit of its text is held in SI under its bare name."""
    america = load_rulebook("north-america")
    assert america.rule("st-tyres-allowed").value["mass"] == pytest.approx(4535.9237)
    assert america.rule("st-tyre-speed").value["speed"] == pytest.approx(38.89248)
    assert load_rulebook("europe").rule("towing-allowance").value["pressure"] == 20e3


def test_a_missing_rule_kind_or_region_is_named() -> None:
    """Asking for what is not there says what was asked for."""
    book = load_rulebook("europe")
    with pytest.raises(KeyError, match="no rule 'nothing'"):
        book.rule("nothing")
    with pytest.raises(KeyError, match="no tongue band for 'sledge'"):
        book.band("sledge")
    with pytest.raises(ValueError, match="'weather' is not a kind of load"):
        book.binding("weather")
    with pytest.raises(ValueError, match="region 'atlantis'"):
        load_rulebook("atlantis")


def test_the_good_example_is_good() -> None:
    """The example the faults below are made from is valid."""
    assert len(parse_rulebook(GOOD, "europe").rules) == len(TRAILERS)


FAULTS = [
    ("title = ", "title ", "not valid TOML"),
    ('region = "europe"', 'region = "moon"', "region is 'moon', not 'europe'"),
    ('title = "Europe"', "", "title is missing"),
    ('title = "Europe"', 'title = "Europe"\ncolour = 1', "'colour' is not a key of a rulebook"),
    ('text = "10 to 15 %"', "", r"rule\[0\].text is missing"),
    ('text = "10 to 15 %"', "text = 5", "text is 5, not a text"),
    ('date = "undated"', 'date = " "', "date is ' ', not a text"),
    ('binds = "tongue-band"', 'binds = "mood"', "binds is 'mood', not one of payload"),
    ('status = "memory"', 'status = "sure"', "status is 'sure', not one of read, memory"),
    ('applies = "conventional"', 'applies = "sledge"', "applies is 'sledge'"),
    ('id = "tongue-band-boat"', 'id = "Boat band"', "not words joined by hyphens"),
    ('id = "tongue-band-boat"', 'id = "tongue-band-conventional"', "two rules 'tongue-band-con"),
    ("from memory", "widely known", "source must say 'from memory'"),
    ("low = 0.10", 'low = "a tenth"', "low is 'a tenth', not a number"),
    ("low = 0.10", "low = true", "low is True, not a number"),
    ("low = 0.10", "low = -0.1", "low is -0.1, not a positive number"),
    ("low = 0.10", "low = nan", "low is nan, not a positive number"),
    ("low = 0.10", "low = 0.20", "needs 0 < low < high < 1"),
    ("low = 0.10", "low = 0.15", "needs 0 < low < high < 1"),
    ("low = 0.10", "low = 0", "low is 0, not a positive number"),
    ("low = 0.10", "low = 1e9", "not a positive number"),
    ("high = 0.15", "high = 1.0", "needs 0 < low < high < 1"),
    ("low = 0.10", "", "needs low and high"),
    ("low = 0.10", "low = 0.10\nshade = 3", "shade is not a key of a rule"),
    ("low = 0.10", "low = 0.10\nmass_kg = 1\nmass_lb = 2", "gives mass twice"),
    ('applies = "boat"', 'applies = "all"', "needs one tongue band for 'boat', not 0"),
]


@pytest.mark.parametrize(("old", "new", "message"), FAULTS)
def test_a_bad_file_gets_one_clear_sentence(old: str, new: str, message: str) -> None:
    """Each fault in a file is refused in one line that names the file and the place."""
    assert old in GOOD
    with pytest.raises(RulebookError, match=message) as caught:
        parse_rulebook(GOOD.replace(old, new, 1), "europe")
    assert str(caught.value).startswith("europe.toml")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("body", ["", "rule = 5\n", "rule = []\n", "rule = [5]\n"])
def test_a_file_without_rules_is_refused(body: str) -> None:
    """A rulebook needs rules, and each is a table."""
    with pytest.raises(RulebookError, match=r"no \[\[rule\]\]|is not a table"):
        parse_rulebook(HEAD + body, "europe")


def test_the_docs_list_every_rule() -> None:
    """The rulebook page names every shipped rule with its status."""
    page = (Path(__file__).parents[2] / "docs" / "rulebooks.md").read_text(encoding="utf-8")
    for region in REGIONS:
        for rule in load_rulebook(region).rules:
            assert f"| `{rule.id}` | {rule.title} | {rule.binds} | {rule.status} |" in page


@pytest.mark.parametrize(
    ("key", "name", "si"),
    [
        ("share", "share", 1.0),
        ("factor", "factor", 1.0),
        ("count", "count", 1.0),
        ("mass_kg", "mass", 1.0),
        ("mass_lb", "mass", 0.45359237),
        ("force_kn", "force", 1000.0),
        ("speed_kmh", "speed", 1 / 3.6),
        ("speed_mph", "speed", 0.44704),
        ("pressure_kpa", "pressure", 1000.0),
        ("pressure_psi", "pressure", 6894.757293168),
        ("least_mass_kg", "least_mass", 1.0),
        ("length_m", "length", 1.0),
        ("length_mm", "length", 0.001),
        ("length_in", "length", 0.0254),
        ("density_kg_per_litre", "density", 1000.0),
        ("deceleration_mps2", "deceleration", 1.0),
    ],
)
def test_a_rule_is_in_si(key: str, name: str, si: float) -> None:
    """Each key by its unit (SI Brochure; NIST SP 811 for pounds, miles and psi)."""
    rule = BAND.format("boat").replace('binds = "tongue-band"', 'binds = "gcwr"')
    rule = rule.replace("tongue-band", "extra").replace("low = 0.10\n", "")
    book = parse_rulebook(GOOD + rule.replace("high = 0.15", f"{key} = 3"), "europe")
    assert book.rule("extra-boat").value[name] == pytest.approx(3 * si, rel=1e-9)
