"""A rig's words: whose they are, which case, plural and article they take, what they never touch.

The trade's words themselves are general knowledge of the trades, from memory, in terms.toml.
"""

from dataclasses import dataclass
from typing import Any

import pytest
from tests.said import rig_of

from steelyard.rig import Rig
from steelyard.words import trade as spoken
from steelyard.words.trade import (
    Trade,
    couplings_of,
    said,
    speaking,
    synonyms,
    trade,
    trade_of,
    units_of,
    words_of,
)

UK, US, OZ = Trade("uk"), Trade("us"), Trade("australia")
PINTLE = {"trailer": {"style": "flatbed-equipment"}}


@pytest.mark.parametrize(
    ("where", "words", "units", "as_us", "as_metric"),
    [
        ({}, "us", "us", "us", "metric"),
        ({"country": "US"}, "us", "us", "us", "metric"),
        ({"country": "CA"}, "us", "us", "us", "metric"),
        ({"country": "GB"}, "uk", "uk", "us", "uk"),
        ({"country": "IE"}, "uk", "uk", "us", "uk"),
        ({"region": "europe"}, "continent", "continent", "us", "continent"),
        ({"country": "AU"}, "australia", "metric", "us", "metric"),
        ({"country": "NZ"}, "new-zealand", "metric", "us", "metric"),
        ({"region": "australia-new-zealand"}, "oceania", "metric", "us", "metric"),
    ],
)
def test_words_and_units_of_a_country(
    where: Any, words: str, units: str, as_us: str, as_metric: str
) -> None:
    """Its own, else its region's; who asks for metric where metric is used gets the country's
    kind of it."""
    rig = rig_of(**where)
    assert words_of(rig) == words
    assert [units_of(rig, asked) for asked in (None, "us", "metric")] == [units, as_us, as_metric]


BARS = {"bars": {"rating": "1000 lb"}}


@pytest.mark.parametrize(
    ("rig", "told"),
    [
        (rig_of(), ("no-bars", "caravan")),
        (rig_of(hitch=BARS), ("caravan",)),
        (rig_of(trailer={"style": "enclosed-cargo"}), ("no-bars",)),
        (rig_of(trailer={"style": "fifth-wheel"}), ("fifth-wheel", "pin", "no-bars", "caravan")),
        (rig_of(trailer={"style": "gooseneck"}), ("gooseneck", "pin", "no-bars")),
        (
            rig_of(trailer={"style": "fifth-wheel"}, hitch={"kind": "gooseneck"}),
            ("gooseneck", "pin", "no-bars", "caravan"),
        ),
        (rig_of(hitch={"kind": "pintle"}, **PINTLE), ("pintle", "hook", "no-bars")),
        (rig_of(hitch={"kind": "drawbar"}, **PINTLE), ("drawbar", "hook", "no-bars")),
        (rig_of(hitch={"kind": "ball"}, **PINTLE), ("no-bars",)),
    ],
)
def test_what_a_coupling_is_called_by(rig: Rig, told: tuple[str, ...]) -> None:
    """The narrowest first; nobody lives in a freight trailer."""
    assert couplings_of(rig) == told


@pytest.mark.parametrize(
    ("one", "text", "told"),
    [
        (UK, "tongue weight", "noseweight"),
        (UK, "Tongue weights", "Noseweights"),
        (UK, "a GVWR", "an MAM"),
        (UK, "the empty tongue", "the empty noseweight"),
        (UK, "A tongue weight and an tongue weight", "A noseweight and a noseweight"),
        (OZ, "a GAWR", "an axle rating"),
        (OZ, "A GAWR", "An axle rating"),
        (OZ, "a surge brake", "an override brake"),
        (UK, "ramp: tongue", "ramp: noseweight"),
        (UK, "tongued", "tongued"),
        (
            UK,
            "`tongue weight` of trailer.tongue_weight",
            "`tongue weight` of trailer.tongue_weight",
        ),
        (UK, "steelyard tongue and steelyard check", "steelyard tongue and steelyard check"),
        (Trade("us", ("no-bars",)), "tongue, bars off.", "tongue."),
        (Trade("us", ("fifth-wheel",)), "tongue weight", "pin weight"),
        (Trade("continent", ("fifth-wheel",)), "tongue weight", "static vertical load"),
        (
            Trade("uk", (), ("Tongue weight",)),
            "Tongue weight, tongue weight",
            "Tongue weight, nose",
        ),
        (Trade("uk", (), ("mat", "tongue weight mat")), "tongue weight mat", "tongue weight mat"),
        (US, "nothing of a trade", "nothing of a trade"),
    ],
)
def test_a_text_in_a_trades_words(one: Trade, text: str, told: str) -> None:
    """A capital, a plural and an article follow the word; names, commands and keys stay."""
    assert one.said(text).startswith(told)
    assert one.said(text) == one.said(text)


@pytest.mark.parametrize(
    ("word", "article"),
    [
        ("MTPLM", "an"),
        ("GVM", "a"),
        ("axle", "an"),
        ("Offside", "an"),
        ("mat", "a"),
        ("Mat", "a"),
        ("FM", "an"),
        ("ATM", "an"),
        ("BAR", "a"),
        ("hook", "a"),
    ],
)
def test_the_article_of_a_word(word: str, article: str) -> None:
    """By how it is spoken: em-tee-pee-ell-em, gee-vee-em."""
    assert spoken._article("a", word) == spoken._article("an", word) == article
    assert spoken._article("A", word) == spoken._article("An", word) == article.capitalize()


def test_terms_and_what_others_call_them() -> None:
    """A term that has no word of its own is itself; what else trades call what a text names."""
    assert (UK.term("tongue weight"), UK.term("crate")) == ("noseweight", "crate")
    other = synonyms("the tongue weight")
    assert "noseweight" in other
    assert "tow ball mass" in other
    assert "pin weight" in other
    assert synonyms("a crate") == ""


def test_pages_say_what_is_read_and_leave_what_is_not() -> None:
    """Text and what is read out of tags; no tag, script or code."""
    page = (
        '<p title="tongue weight" id="tongue weight">tongue weight</p>'
        "<code>tongue weight</code><script>tongue weight</script>"
    )
    assert UK.page(page) == (
        '<p title="noseweight" id="tongue weight">noseweight</p>'
        "<code>tongue weight</code><script>tongue weight</script>"
    )


@dataclass(frozen=True)
class Held:
    """Something that holds prose and a code."""

    text: str
    prose: str
    many: tuple[str, ...]


def test_everything_held_is_said() -> None:
    """Texts within tuples and dataclasses, drawings by what is read of them; codes, numbers and
    classes stay."""
    held = Held(text="tongue weight", prose="tongue weight", many=("tongue weight",))
    assert UK.all_of(held) == Held("tongue weight", "noseweight", ("noseweight",))
    assert UK.all_of(("tongue weight", 3)) == ("noseweight", 3)
    drawing = '<svg id="tongue weight"><text>tongue weight</text></svg>'
    assert UK.all_of(drawing) == '<svg id="tongue weight"><text>noseweight</text></svg>'
    kind: Any = Held
    assert UK.all_of(kind) is Held


def test_what_is_remembered_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    """A trade forgets what it said once that is too much."""
    monkeypatch.setattr(spoken, "MOST", 3)
    one = Trade("uk")
    for number in range(10):
        assert one.said(f"tongue weight {number}") == f"noseweight {number}"
        assert len(one._said) <= 3


def test_names_that_an_owner_gave_stay() -> None:
    """Of rig, vehicle, trailer, place, thing, person, stage and tank, by key and title, in a page
    too; a tank that is called as the trade calls it is no name."""
    tank = {"content": "fresh", "capacity": "40 L", "station": "4 m"}
    rig = rig_of(
        country="GB",
        name="tongue jack",
        vehicle={"title": "GVWR & tire"},
        trailer={"title": "surge brake", "tanks": {"noseweight-limit": tank}},
        places={"tyre": {"station": "4 m", "title": "right wheels"}},
        items={"left-wheels": {"weight": "2 kg", "place": "tyre"}},
        people={"weigh-the-tongue": {"weight": "70 kg", "seat": "driver"}},
        stages={"empty-tongue": {"title": "tongue share"}},
    )
    one = trade_of(rig)
    kept = (
        "tongue jack",
        "surge brake",
        "right wheels",
        "left wheels",
        "left-wheels",
        "empty tongue",
    )
    for name in (*kept, "tongue share", "GVWR & tire", "GVWR &amp; tire", "weigh the tongue"):
        assert one.said(f"{name}.") == f"{name}."
    assert one.said("tongue weight") == "noseweight"
    assert trade_of(rig) is one
    tanks = trade_of(rig_of(trailer={"tanks": {"grey": tank, "grey-tyre": tank}}))
    assert tanks.said("grey, grey tyre, tyre") == "gray, grey tyre, tire"


def test_the_trade_that_is_spoken_now() -> None:
    """Within, its words; outside, North America's."""
    assert said("tyre") == "tire"
    with speaking(UK) as one:
        assert one is trade() is UK
        assert said("tyre") == "tyre"
        assert said("tongue weight") == "noseweight"
    assert said("tongue weight") == "tongue weight"
    assert trade().words == "us"
