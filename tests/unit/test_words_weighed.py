"""What is said of weighings, of what was learned and of changes, by results built by hand.

Expected numbers are hand arithmetic: 0.45359237 kg to the pound, 25.4 mm to the inch (NIST SP 811),
1.96 sd to the half of a 95 % interval.
"""

from types import SimpleNamespace
from typing import Any

import pytest
from tests.said import IN, LB, limit, rig_of

from steelyard.fault import Fault
from steelyard.learning import Learnt
from steelyard.quantity import System
from steelyard.rig import Rig
from steelyard.weighing.reconcile import Judged
from steelyard.words import weighed
from steelyard.words.changes import changes
from steelyard.words.learned import (
    moved_words,
    never_weighed,
    sentence,
    sharper_words,
    spread_words,
)
from steelyard.words.unstated import (
    helped_at,
    instead,
    plainly,
    stated_at,
    titled,
    without_keys,
)


def agreed(p: float = 0.4, degrees: int = 3) -> Any:
    """Whether some readings agree: they do by a chance of worse of 5 % and more."""
    return SimpleNamespace(chance=p, degrees=degrees, holds=p >= 0.05)


def read(**more: Any) -> Judged:
    """A reading of 1,000 lb that is 100 ± 20 lb too high, 2.6 sd."""
    parts: dict[str, Any] = {
        "name": "rear axle",
        "kind": "platform",
        "dimension": "mass",
        "value": 1000 * LB,
        "own_sd": 10 * LB / 1.96,
        "predicted": 900 * LB,
        "sd": LB,
        "standardised": 2.6,
        "error": 100 * LB,
        "error_sd": 20 * LB / 1.96,
        "detectable": LB,
        "alike": (),
    }
    return Judged(**{**parts, **more})


SLIP = Fault(due="a weight", found="9 lb", asks=True)


@pytest.fixture
def known(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Builds what a weighing found; excess: pounds by which the trailer is heavier than listed."""

    def build(excess: float = 0.0, gave: tuple[Any, ...] = (), **more: Any) -> Any:
        body = {"body": "trailer", "kg": excess * LB, "sd_kg": 50 * LB / 1.96}
        off = [SimpleNamespace(**body, listed_kg=5000 * LB)] if excess else []
        monkeypatch.setattr(weighed, "excesses", lambda _: off)
        monkeypatch.setattr(weighed, "given", lambda _: gave)
        ticket = SimpleNamespace(date="2025-05-01", place="", passes=(1, 2))
        parts: dict[str, Any] = {
            "weighed": SimpleNamespace(ticket=ticket, lines=()),
            "full": SimpleNamespace(names=("a", "b", "c", "d")),
            "whole": agreed(),
            "among": agreed(),
            "file": agreed(0.3),
            "suspect": None,
            "slips": (),
            "wider": 1.0,
        }
        return SimpleNamespace(**{**parts, **more})

    return build


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (
            {},
            "● The readings agree with each other and the rig file (chances of worse: 40 % and 30",
        ),
        ({"file": agreed(0.01)}, "● The readings agree with each other (chance of worse: 40 %)."),
        (
            {"among": agreed(0.01), "wider": 3.04},
            (
                "▲ The readings do not agree with each other (chance of worse: 1.0 %). Until that"
                " is clear, errors are taken 3.0 times as large."
            ),
        ),
        ({"among": agreed(0.01)}, "those asked about count for next to nothing."),
        ({"slips": (SLIP,)}, "‡ Were the readings written down as they were read? Until that"),
        (
            {"excess": 300},
            (
                "● The readings agree with each other. The trailer is 300 ± 50 lb heavier than"
                " the file lists: what is missing? (Listed, with what is usual: trailer 5,000 lb.)"
            ),
        ),
        (
            {"excess": -300},
            "The trailer is 300 ± 50 lb lighter than the file lists: what is not aboard",
        ),
        ({"excess": 300, "among": agreed(1.0, 0)}, "● The trailer is 300 ± 50 lb heavier"),
        (
            {"among": agreed(1.0, 0)},
            (
                "● The readings are too few to be held against each other; they agree with the"
                " rig file (chance of worse: 30 %)."
            ),
        ),
        (
            {"among": agreed(1.0, 0), "whole": agreed(degrees=1)},
            "● One reading has no other to be held against; it agrees with the rig file",
        ),
        (
            {"among": agreed(1.0, 0), "file": agreed(0.01)},
            "? The readings are too few to be held against each other.",
        ),
    ],
)
def test_whether_readings_agree(known: Any, more: Any, told: str) -> None:
    """With each other first, then with the file, each with its own chance of worse; what a body is
    heavier or lighter by; one reading has no other."""
    said = weighed.agreement(known(**more), "us")
    assert told in said
    assert said.startswith(told[0]) or told[0] not in "●▲‡?"


GAVE = SimpleNamespace(
    name="items.cot.weight", dimension="mass", before=20 * LB, after=120 * LB, effect=1.0
)
SHARED = SimpleNamespace(
    name="vehicle.front_share", dimension="share", before=0.55, after=0.6, effect=1.0
)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({}, None),
        ({"file": agreed(0.01), "slips": (SLIP,)}, None),
        ({"file": agreed(0.01), "among": agreed(0.01)}, None),
        ({"file": agreed(0.01)}, "◐ They do not agree with the rig file (chance of worse: 1.0 %)."),
        ({"file": agreed(0.01), "whole": agreed(degrees=1)}, "◐ It does not agree with the rig"),
        (
            {"file": agreed(0.01), "gave": (GAVE, SHARED)},
            (
                "What gives way most: cot weight, 20 lb before, 120 lb now; vehicle front share,"
                " 55.0 % before, 60.0 % now."
            ),
        ),
    ],
)
def test_whether_readings_agree_with_the_file(known: Any, more: Any, told: str | None) -> None:
    """What gives way, before and now; nothing where the readings are not to be trusted."""
    found = known(**more)
    said = weighed.file_line(found, "us")
    assert (said is None) is (told is None)
    assert (told or "") in (said or "")
    assert len(weighed.reading_lines(found, "us")) == 1 + (said is not None)


def test_how_much_was_read(known: Any) -> None:
    """Readings and passes, singular and plural, when and where; fewer readings than unknowns."""
    assert [weighed.counted(n, word) for n, word in ((1, "pass"), (2, "pass"), (0, "rig"))] == [
        "1 pass",
        "2 passes",
        "0 rigs",
    ]
    assert weighed.heading(known()) == "3 readings in 2 passes, 2025-05-01"
    ticket = SimpleNamespace(date="", place="the quarry", passes=(1,))
    at = known(weighed=SimpleNamespace(ticket=ticket), whole=agreed(degrees=1))
    assert weighed.heading(at) == "1 reading in 1 pass, at the quarry"
    assert weighed.rests_on(known(whole=agreed(degrees=4))) is None
    said = weighed.rests_on(known())
    assert said is not None
    assert said.startswith("Readings: 3, unknowns of the rig: 4.")


def test_passes_that_differ(known: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both totals and how far they are apart, whichever is the larger."""
    step = SimpleNamespace(
        first="a", second="b", first_kg=5000 * LB, second_kg=4850 * LB, sd_kg=20 * LB / 1.96
    )
    monkeypatch.setattr(weighed, "steps", lambda _: [step])
    (said,) = weighed.step_lines(known(), "us")
    assert "“a” and “b” weighed the same load on the same scale: 5,000 lb and 4,850 lb" in said
    assert "150 ± 20 lb apart" in said


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (read(), "it is 100 lb ± 20 lb too high (2.6 sd)."),
        (read(error=-100 * LB, standardised=-2.6), "it is 100 lb ± 20 lb too low (2.6 sd)."),
        (
            read(dimension="length", error=2 * IN, error_sd=0.5 * IN / 1.96),
            "it is 2.0 in ± 0.5 in too high",
        ),
        (read(dimension="share", error=0.05, error_sd=0.02 / 1.96), "5 % ± 2 % too high"),
    ],
)
def test_a_reading_that_does_not_belong(one: Judged, told: str) -> None:
    """By how much, which way, in its unit; another that would look the same is asked for too."""
    assert weighed.suspect_lines(one, "us")[0].endswith(told) or told in str(
        weighed.suspect_lines(one, "us")
    )
    assert len(weighed.suspect_lines(one, "us")) == 1
    both = weighed.suspect_lines(read(alike=("tongue", "nose")), "us")
    assert both[1].startswith("An error in “tongue”, “nose” would look the same")


@pytest.mark.parametrize(
    ("x", "dimension", "system", "told"),
    [
        (1000 * LB, "mass", "us", "1,000 lb"),
        (1000 * LB, "mass", "metric", "454 kg"),
        (21.84 * IN, "length", "us", "21.8 in"),
        (0.555, "length", "metric", "555 mm"),
        (0.054, "share", "us", "5 %"),
    ],
)
def test_a_number_as_it_is_read(x: float, dimension: str, system: System, told: str) -> None:
    """Tenths of an inch, whole of all else."""
    assert weighed.read_number(x, read(dimension=dimension), system) == told


def test_readings_that_cannot_be(known: Any) -> None:
    """With the slip that was asked about and the suspect, where there is one."""
    assert weighed.impossible(known()).endswith("no rig could stand like this.")
    asked = weighed.impossible(known(slips=(SLIP,), suspect=read()))
    assert asked.endswith("It was expected a weight, found 9 lb. Suspect: “rear axle”.")


BAD = read(name="tongue", alike=("nose",))


@pytest.mark.parametrize(
    ("one", "more", "told"),
    [
        (read(standardised=1.0), {}, "● agrees: 1.0 sd high"),
        (read(standardised=-1.0), {}, "● agrees: 1.0 sd low"),
        (read(standardised=1.06), {}, "● agrees, a little off: 1.1 sd high"),
        (read(standardised=0.96), {}, "● agrees: 1.0 sd high"),
        (read(standardised=2.0), {}, "● agrees, a little off: 2.0 sd high"),
        (read(standardised=-1.96), {}, "● agrees, a little off: 2.0 sd low"),
        (read(standardised=-2.06), {}, "◐ further off than 19 in 20: 2.1 sd low"),
        (BAD, {"suspect": BAD}, "▲ does not belong: 2.6 sd high"),
        (read(name="nose"), {"suspect": BAD}, "▲ could be the wrong one instead: 2.6 sd high"),
        (read(), {"suspect": BAD}, "◐ drawn off by the suspect, or wrong too: 2.6 sd high"),
        (read(), {"slips": (SLIP,)}, "◐ asked about, or at odds with what is: 2.6 sd high"),
        (
            BAD,
            {"suspect": BAD, "slips": (SLIP,)},
            "◐ asked about, or at odds with what is: 2.6 sd high",
        ),
    ],
)
def test_how_far_off_a_reading_is(known: Any, one: Judged, more: Any, told: str) -> None:
    """Within one sd it agrees, within two a little off; the suspect by itself, and what would look
    the same; while a slip is asked about nothing is suspected."""
    assert weighed.off_by(one, known(**more)) == told


def test_a_reading_that_spans_a_rating() -> None:
    """The reading with its own spread, the rating, and how the limit stands by everything."""
    standing = limit(980 * LB, 1000 * LB, 10 * LB, verdict="tight", chance=0.03)
    one: Any = SimpleNamespace(reading=read(), standing=standing)
    said = weighed.spanning_line(one, "us")
    assert "“rear axle”, 1,000 lb ± 10 lb, spans the 1,000 lb rating" in said
    assert "rear axle is 20 lb under its 1,000 lb rating: ◐ tight (3.0 % chance of not" in said


@pytest.mark.parametrize(
    ("restated", "new", "gone", "told"),
    [
        (1, 2, 3, "of its values 1 stated anew, 2 new, 3 gone."),
        (0, 2, 0, "of its values 2 new."),
        (0, 0, 0, None),
    ],
)
def test_what_changed_since_a_weighing(restated: int, new: int, gone: int, told: Any) -> None:
    """How many of each."""
    parts = {"restated": "a" * restated, "new": "b" * new, "gone": "c" * gone}
    found: Any = SimpleNamespace(**parts)
    said = weighed.changed_line(found)
    assert (said is None) is (told is None)
    assert (said or "").endswith(told or "")


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("Camper", "camper", None),
        ("Camper", "Observatory", "That weighing is of “Camper”, and this file of “Observatory”."),
        ("", "Observatory", None),
        ("Camper", "", None),
    ],
)
def test_a_weighing_of_another_rig(old: str, new: str, told: str | None) -> None:
    """By its name, or its vehicle's, where both are told."""

    def driven(title: str) -> Rig:
        return rig_of(vehicle={"title": title} if title else {})

    assert weighed.other_line(driven(old), driven(new)) == told
    named = [rig_of(**({"name": one} if one else {})) for one in (old, new)]
    assert weighed.other_line(*named) == told


def test_what_one_more_reading_tells() -> None:
    """0.51 points of a share are 1.96 sd of 0.0026; a chance of 4.2 %."""
    advice: Any = SimpleNamespace(share_sd_now=0.0051 / 1.96, wrong_now=0.042)
    said = weighed.advice_line(advice)
    assert "± 0.51 points" in said
    assert "is 4.2 %" in said
    none: Any = SimpleNamespace(share_sd_now=0.0051 / 1.96, wrong_now=0.0)
    assert "is under 0.1 %" in weighed.advice_line(none)  # no chance is known to be nothing
    assert "is 400 days old" in weighed.age_line(400)
    assert weighed.contradicted_line(()) is None
    assert str(weighed.contradicted_line(("a", "b"))).endswith("weighed: a, b.")


def learnt(**more: Any) -> Learnt:
    """A share of 11 ± 2 %, from 12 ± 2.5 % shipped."""
    parts: dict[str, Any] = {
        "part": "trailer",
        "style": "boat",
        "name": "tongue_share",
        "rigs": 3,
        "value": 0.11,
        "sd": 0.02 / 1.96,
        "mean_sd": 0.01,
        "shipped": 0.12,
        "shipped_sd": 0.025 / 1.96,
    }
    return Learnt(**{**parts, **more})


def test_what_was_learned() -> None:
    """2 of 2.5 is 20 % sharper, 3 of it 20 % wider; a point down is -1.0."""
    assert spread_words(0.11, 0.02 / 1.96) == "11.0 ± 2.0 %"
    assert moved_words(learnt()) == "-1.0"
    assert moved_words(learnt(value=0.135)) == "+1.5"
    told = [sharper_words(learnt(sd=x / 196)) for x in (2.0, 3.0, 2.49, 2.51, 2.47)]
    assert told == ["20 % sharper", "20 % wider", "as before", "as before", "1 % sharper"]
    assert sentence(learnt()) == (
        "3 rigs: 12.0 ± 2.5 % shipped, 11.0 ± 2.0 % now; the next rig 20 % sharper"
    )
    rows = (learnt(), learnt(part="vehicle", style="car"))
    assert never_weighed(rows, "trailer", ("boat", "car")) == (
        "Never weighed, so as shipped: trailers car."
    )
    assert never_weighed(rows, "vehicle", ("boat", "car")).endswith(": vehicles boat.")
    assert never_weighed(rows, "trailer", ("boat",)) == ""


PLACES = {"tail": {"station": "6 m"}, "galley": {"title": "Galley"}}
COT = {"weight": "20 kg", "place": "tail"}


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ({}, {"items": {"cot": COT}}, ["cot put in tail"]),
        ({}, {"items": {"cot": {"weight": "20 kg"}}}, ["cot put in"]),
        ({"items": {"big_cot": COT}}, {"items": {}}, ["big cot taken out"]),
        ({"items": {"cot": COT}}, {"items": {"cot": COT}}, []),
        (
            {"items": {"cot": COT}},
            {"items": {"cot": {"weight": {"value": "25 kg"}, "place": "galley", "title": "Bed"}}},
            ["Bed moved to Galley", "Bed: 20 kg → 25 kg"],
        ),
        ({"name": "a", "format": 1, "since": "x"}, {"name": "b", "format": 2, "since": "y"}, []),
        ({"trailer": {"gvwr": "1 t"}}, {"trailer": {"gvwr": "2 t"}}, ["trailer gvwr: 1 t → 2 t"]),
        ({"country": "US"}, {}, ["country: US → unsaid"]),
        ({}, {"a-b": {"c_d": True}}, ["a b c d: unsaid → True"]),
        ({}, {"tags": ["x", "y"]}, ["tags: unsaid → x, y"]),
        (
            {"trailer": {"gvwr": {"value": "1 t", "basis": "stated"}}},
            {"trailer": {"gvwr": {"value": "1 t", "basis": "weighed"}}},
            ["trailer gvwr: 1 t → 1 t"],
        ),
        ({"a": {"one": 1}, "b": 1}, {"a": {"one": 2}, "b": 1}, ["a one: 1 → 2"]),
    ],
)
def test_what_became_of_a_rig(before: Any, after: Any, told: list[str]) -> None:
    """Put in, moved, weighed anew, taken out; any other value by its path, names and formats
    apart."""
    both = {"places": PLACES}
    assert list(changes({**both, **before}, {**both, **after})) == told


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("items.pantry.station", "pantry station"),
        ("people.anna.weight", "anna weight"),
        ("trailer.axles.gawr_each", "trailer axles gawr each"),
        ("vehicle.unlisted", "what nobody listed in the vehicle"),
    ],
)
def test_a_parameter_as_a_person_reads_it(name: str, told: str) -> None:
    """A thing or a person by its own name alone."""
    said = plainly(name)
    assert said == told or ("unlisted" in name and "unlisted" not in said and "." not in said)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Look at items.cot.weight again", "Look at cot weight again"),
        ("The axle (trailer.axles.gawr) is", "The axle is"),
        ("load.x and road.y_z", "load x and road y z"),
        ("my.own.key and 1.5 lb", "my.own.key and 1.5 lb"),
    ],
)
def test_keys_are_names_on_a_page(text: str, told: str) -> None:
    """A key in brackets goes, another is read as a name; what is no key stays."""
    assert without_keys(text) == told


def test_where_a_seats_place_is_stated() -> None:
    """A row's place is that of the seat somebody sits in, else of the row's first; a seat that has
    one of its own is none of the row's."""
    row = "vehicle.seats.first"
    seats: Any = {"driver": {"station": "1.5 m"}}

    def at(name: str, **rig: Any) -> str:
        return stated_at(name, rig_of(**rig))

    sat = {"people": {"anna": {"weight": "70 kg", "seat": "passenger"}}}
    assert at(row) == "vehicle.seats.driver.station"
    assert at(row, **sat) == "vehicle.seats.passenger.station"
    assert at("vehicle.seats.driver", vehicle={"seats": seats}) == "vehicle.seats.driver"
    assert at("vehicle.weight") == "vehicle.weight"
    both = {"people": {"anna": {"weight": "70 kg", "seat": "driver"}}, "vehicle": {"seats": seats}}
    assert at(row, **both) == "vehicle.seats.driver.station"


def test_what_else_may_be_said_of_a_value() -> None:
    """What is nowhere in the table of parameters helps nobody and is weighed with the rig."""
    assert helped_at("nuisance.of.a.scale") == ""
    assert instead("nuisance.of.a.scale").startswith("weighing the rig narrows it")
    assert titled("nuisance.one,items.cot.weight").startswith("nuisance one and ")
