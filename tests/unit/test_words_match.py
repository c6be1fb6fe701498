"""Why a pair belongs together or doesn't, and what two trailers differ by, in words.

Results are built by hand for two pairs, of which the second is told of. Expected numbers are hand
arithmetic: 0.45359237 kg to the pound, 1609.344 m to the mile, 25.4 mm to the inch (NIST SP 811).
"""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from tests.said import IN, LB, MPH, NEVER, NONE, limit

from steelyard.matching.compare import Because
from steelyard.ratings.judge import UNKNOWN
from steelyard.words import matched
from steelyard.words.matched import (
    counted,
    first_sentence,
    reason,
    reasons,
    remedy_line,
    signed,
    sway_line,
    title_line,
    value,
)

STAGES = ("empty", "usual-load", "full-rating")
USUAL, PAIR = 1, 1


@pytest.mark.parametrize(
    ("counts", "told"),
    [
        (
            {"fits": 4, "may-fit": 9, "does-not-fit": 1023},
            "1,036 pairs of vehicle and trailer: 4 fit, 9 may fit, 1,023 do not fit",
        ),
        (
            {"fits": 1},
            "1 pair of vehicle and trailer: 1 fits, 0 may fit, 0 do not fit",
        ),
        (
            {"may-fit": 1, "does-not-fit": 1},
            "2 pairs of vehicle and trailer: 0 fit, 1 may fit, 1 does not fit",
        ),
    ],
)
def test_how_many_pairs_fit(counts: Any, told: str) -> None:
    """Singular and plural of each."""
    assert counted(counts) == told


def full(count: int, where: float) -> Any:
    """Numbers of some limits at every stage of both pairs: `where` as usually loaded, of the pair
    that is told of, and none elsewhere."""
    found = np.zeros((count, len(STAGES), 2), dtype=type(where))
    found[:, USUAL, PAIR] = where
    return found


def room(best: float, sure: float, by: int = 0) -> Any:
    """What more goes in, lb."""
    return SimpleNamespace(
        kg=np.array([[NONE, best * LB], [NONE, sure * LB]]), by=np.array([-1, by])
    )


def limits(count: int) -> Any:
    """Limits called by their number, the first with the least room."""
    return [SimpleNamespace(name=f"r{n}", title=f"limit {n}", due="") for n in range(count)]


@pytest.fixture
def pair(monkeypatch: pytest.MonkeyPatch) -> Any:
    """Builds a block of two pairs and its summary; limit n is over by 100 - 10 n lb as usually
    loaded, and by 500 at full rating."""

    def standing(_: Any, number: int, stage: int, pair: int) -> Any:
        assert pair == PAIR
        over = 500.0 if stage == 2 else 100.0 - 10.0 * number
        more = {"verdict": "exceeded", "chance": 0.9, "title": f"limit {number}"}
        return limit((1000.0 + over) * LB, 1000.0 * LB, 10 * LB, **more)

    monkeypatch.setattr(matched, "standing_of", standing)

    def build(count: int = 2, *, summary: Any = None, **more: Any) -> Any:
        parts: dict[str, Any] = {
            "stages": STAGES,
            "limits": limits(count),
            "refused": full(count, False),
            "verdict": np.zeros((count, len(STAGES), 2)),
            "tips": full(1, 0.0)[0],
            "tongue_kg": np.ones((2, len(STAGES), 2)),
            "cargo": room(455, 71),
            "cargo_band": room(0, 0, -1),
            "gear": room(200, 100, 1),
            "gear_band": room(0, 0, -1),
            "speed": 62 * MPH,
            "wags": full(1, 80 * MPH)[0],
            "wags_chance": full(1, 0.0)[0],
            "damping": full(1, 0.15)[0],
            "unsaid": (),
        }
        told = {
            "governs": np.array([-1, 0]),
            "full": np.array([-1, 4]),
            "governs_full": np.array([-1, 1]),
            "refused_full": np.array([False, True]),
            "unknown": np.array([9, 0]),
            **(summary or {}),
        }
        return SimpleNamespace(**{**parts, **more}), SimpleNamespace(**told)

    return build


def said(built: Any) -> str:
    """All that is said of the second pair."""
    block, found = built
    return " ".join(reasons(block, found, PAIR, "us"))


def test_what_governs_a_pair(pair: Any) -> None:
    """As usually loaded and loaded up to its rating, each at its own stage."""
    block, found = pair()
    assert title_line(block, found, PAIR, "us") == (
        "Usually loaded, what governs is limit 0 100 lb over its 1,000 lb rating (90 % chance of"
        " not holding)."
    )
    assert (
        "Loaded up to the trailer's GVWR, does not hold: limit 1 500 lb over its 1,000 lb rating"
        " (90"
        " % chance of not holding)." in said((block, found))
    )
    held = pair(summary={"refused_full": np.array([True, False])})
    assert "Loaded up to the trailer's GVWR, what governs: limit 1" in said(held)
    first = pair(summary={"governs": np.array([-1, 0]), "governs_full": np.array([-1, 0])})
    assert "what governs is limit 0" in said(first)
    assert "does not hold: limit 0" in said(first)
    none = pair(summary={"governs": np.array([0, -1]), "governs_full": np.array([0, -1])})
    assert said(none).startswith("Nothing can be said: no rating is known.")
    assert "Loaded up to the trailer's GVWR: no rating is known." in said(none)
    unrated = pair(summary={"full": np.array([4, -1])})
    assert "The trailer's GVWR is not known, so nothing can be said of it loaded" in said(unrated)
    known = pair(summary={"full": np.array([-1, 0])})
    assert "The trailer's GVWR is not known" not in said(known)


@pytest.mark.parametrize(
    ("count", "told"),
    [
        (1, ""),
        (2, "limit 1 90 lb over its 1,000 lb rating."),
        (3, "limit 2 80 lb over its 1,000 lb rating."),
        (5, "limit 4 60 lb over its 1,000 lb rating."),
        (6, "limit 4 60 lb over its 1,000 lb rating; and 1 more."),
        (7, "limit 4 60 lb over its 1,000 lb rating; and 2 more."),
    ],
)
def test_what_else_is_exceeded(pair: Any, count: int, told: str) -> None:
    """Beside what governs, the least room first, four at most."""
    text = said(pair(count, refused=full(count, True)))
    assert ("Exceeded too, or likely so: limit 1 90 lb over its 1,000 lb rating" in text) is (
        count > 1
    )
    assert told in text
    assert "limit 5 " not in text
    assert text.index("Usually loaded") < text.index("Loaded up to")


def test_a_pair_that_may_tip(pair: Any) -> None:
    """Said first from one draw in a hundred; where there is no answer nothing else is."""
    assert said(pair(tips=full(1, 0.0099)[0])).startswith("Usually loaded")
    assert said(pair(tips=full(1, 0.01)[0])).startswith(
        "In 1 % of what may be true of it, it would"
    )
    heavy = full(2, 0.0)
    heavy[0, USUAL, PAIR] = NONE
    assert said(pair(tongue_kg=heavy, tips=full(1, 0.25)[0])).endswith("weights given.")
    assert said(pair(tongue_kg=heavy)) == ""
    other = full(2, 0.0)
    other[1, USUAL, PAIR] = other[0, 0, PAIR] = other[0, USUAL, 0] = NONE
    assert said(pair(tongue_kg=other)).startswith("Usually loaded")


@pytest.mark.parametrize(
    ("more", "told"),
    [
        (
            {},
            (
                "Room in the trailer by the weight ratings known: 455 lb at the best estimate, 71"
                " lb to be sure; stopped by limit 0."
            ),
        ),
        (
            {},
            "Room in the vehicle by the weight ratings known: 200 lb at the best estimate, 100 lb",
        ),
        (
            {"cargo": room(455, 0)},
            "455 lb at the best estimate, none to be sure: limit 0 may be pa",
        ),
        ({"cargo": room(455, 0)}, "past its limit as it is (90 % chance)."),
        ({"cargo": room(0, 0)}, "by the weight ratings known: none; stopped by limit 0."),
        ({"cargo": room(NEVER, NEVER, -1)}, "by the weight ratings known: nothing stops it."),
        (
            {"cargo": room(NONE, NONE, -1)},
            "trailer cannot be said: the trailer's GVWR is not known",
        ),
        ({"gear": room(NONE, NONE)}, "vehicle cannot be said: neither placard payload nor GVWR"),
        ({"cargo_band": room(300, 50, 0)}, "Room in the trailer by the tongue band: 300 lb at the"),
        ({"gear_band": room(250, 50, 0)}, "Room in the vehicle by the tongue band: 250 lb at the"),
    ],
)
def test_what_more_goes_in(pair: Any, more: Any, told: str) -> None:
    """By the best estimate and to be sure, with what stops it; by the band only where it stops."""
    text = said(pair(**more))
    assert told in text
    assert ("by the tongue band" in text) is any(key.endswith("band") for key in more)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({}, "At 62 mph a swing dies out with damping ratio 0.15; it grows from 80 mph on."),
        (
            {"wags_chance": full(1, 0.03)[0]},
            "from 80 mph on (3.0 % chance that it does at 62 mph).",
        ),
        ({"wags": full(1, 62 * MPH)[0]}, "At 62 mph a swing grows: it does from 62 mph on."),
        ({"wags": full(1, 50 * MPH)[0]}, "At 62 mph a swing grows: it does from 50 mph on."),
        ({"wags": full(1, 63 * MPH)[0]}, "it grows from 63 mph on."),
        ({"wags": full(1, NEVER)[0]}, "it grows at no speed."),
        ({"wags": full(1, 90.1)[0]}, "it grows at no speed."),
        ({"wags": full(1, 90.0)[0]}, "it grows from 201 mph on."),
        ({"damping": full(1, NONE)[0]}, "Sway at 62 mph: not known, an axle carries nothing."),
    ],
)
def test_how_a_pair_sways(pair: Any, more: Any, told: str) -> None:
    """At the speed asked about as usually loaded, from where a swing grows; beyond 90 m/s never."""
    block, _ = pair(**more)
    assert sway_line(block, PAIR, "us").endswith(told)


@pytest.mark.parametrize(
    ("count", "unsaid", "told"),
    [
        (0, (), ""),
        (1, (), "One rating is not known, which is no pass: limit 0."),
        (2, (), "2 ratings are not known, which is no pass: limit 0, limit 1."),
        (6, (), "limit 4, limit 5."),
        (7, (), "limit 4, limit 5 and 1 more."),
        (8, (), "limit 4, limit 5 and 2 more."),
        (
            1,
            ("trailer.brakes", "trailer.empty.weight"),
            (
                "One rating is not known, which is no pass: limit 0. Not stated, taken as usual"
                " of the style, which is no pass either: whether it has brakes, the trailer's"
                " empty weight."
            ),
        ),
        (0, ("trailer.brakes",), "no pass either: whether it has brakes."),
    ],
)
def test_what_of_a_pair_is_not_known(pair: Any, count: int, unsaid: Any, told: str) -> None:
    """Six ratings by name; what else is unstated is counted apart."""
    unknown = {"unknown": np.array([9, count + len(unsaid)])}
    built = pair(count, summary=unknown, verdict=full(count, float(UNKNOWN)), unsaid=unsaid)
    assert said(built).endswith(told)
    assert ("not known, which" in said(built)) is bool(count)


def test_a_remedy_tells_what_it_leaves_and_brings() -> None:
    """Both by their titles, what is left first."""
    block = SimpleNamespace(limits=limits(2))
    found = SimpleNamespace(unknown=[0])
    one: Any = SimpleNamespace(
        what="Bars: fit: them", mends=False, block=block, found=found, left=("r1",), new=("r0", "x")
    )
    assert remedy_line(one) == "Bars, fit: them: helps, but still over: limit 1, limit 0, x."
    one.mends, one.found = True, SimpleNamespace(unknown=[0, 3])
    assert remedy_line(one) == "Bars, fit: them: nothing is exceeded any more."


def because(name: str, pounds: float, a: float | None = 1.0, b: float | None = 2.0) -> Because:
    """One reason, lb on the ball, and a factor's value in each."""
    parts: dict[str, Any] = {"kind": "empty", "a_kg": None, "b_kg": None, "assumed": False}
    return Because(
        name=name, difference_kg=pounds * LB, value_a=a, value_b=b, dimension="length", **parts
    )


def compared(ball: float, heavier: float, *rows: Because) -> Any:
    """The observatory against the camper: so many lb more on the ball, so many heavier."""
    a, b = (
        SimpleNamespace(trailer_kg=SimpleNamespace(value=kg * LB)) for kg in (5000, 5000 + heavier)
    )
    return SimpleNamespace(
        name_a="camper",
        name_b="observatory",
        difference_kg=ball * LB,
        stage_a=a,
        stage_b=b,
        rows=rows,
    )


ROWS = (because("crates", -310), because("length of the box", 120), because("cot", 50))


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (
            compared(100, 200, *ROWS),
            (
                "“observatory” puts 100 lb more on the ball than “camper”, and is 200 lb heavier."
                " What counts most: crates (−310 lb); a longer box (+120 lb)."
            ),
        ),
        (compared(-100, 200), "puts 100 lb less on the ball than “camper”, though it is 200 lb he"),
        (compared(-100, -200), "less on the ball than “camper”, and is 200 lb lighter."),
        (compared(100, -200), "more on the ball than “camper”, though it is 200 lb lighter."),
        (compared(100, 1), "puts 100 lb more on the ball than “camper”."),
        (compared(100, -1), "puts 100 lb more on the ball than “camper”."),
        (compared(1.2, 200), "puts 1 lb more on the ball than “camper”, and is 200 lb heavier."),
        (compared(100, -1.2), "though it is 1 lb lighter."),
        (compared(100, 1.2), "than “camper”, and is 1 lb heavier."),
        (compared(0.3, 200), "puts as much on the ball as “camper”, though it is 200 lb heavier."),
        (compared(0.3, 0), "“observatory” puts as much on the ball as “camper”."),
        (compared(100, 0, because("a", 1), because("b", 1.2)), "What counts most: b (+1 lb)."),
        (compared(100, 0, because("a", -1.2), because("b", -1)), "What counts most: a (−1 lb)."),
        (compared(100, 0, because("a", 1)), "puts 100 lb more on the ball than “camper”."),
    ],
)
def test_what_two_trailers_differ_by(found: Any, told: str) -> None:
    """How much more on the ball, how much heavier from half a kilogram on, and the two reasons
    that count most, if more than half a kilogram."""
    text = first_sentence(found, "us")
    assert told in text
    assert ("heavier" in text or "lighter" in text) is (
        "heavier" in told or " he" in told or "lighter" in told
    )
    assert ("counts most" in text) is ("counts most" in told)


@pytest.mark.parametrize(
    ("name", "more", "less"),
    [
        ("mass behind the axles", "more of its own weight towards the rear", "less of its own"),
        ("axle place along the box", "axles further back along", "axles further forward along"),
        ("weight of the empty trailer", "the empty trailer is heavier", "empty trailer is lighter"),
        ("length of the box", "a longer box", "a shorter box"),
        ("crates", "crates (", "crates ("),
    ],
)
def test_a_reason_for_the_difference(name: str, more: str, less: str) -> None:
    """Which way the factor went; one that is unstated counts as none."""
    assert more in reason(because(name, -310), "us")
    assert reason(because(name, -310), "us").endswith("(−310 lb)")
    assert less in reason(because(name, 120, 2.0, 1.0), "us")
    assert more in reason(because(name, 120, None, 1.0), "us")
    assert less in reason(because(name, 120, 1.0, None), "us")
    assert less in reason(because(name, 120, 1.0, 1.0), "us")
    assert more in reason(because(name, 120, None, 0.05), "us")
    assert less in reason(because(name, 120, 0.05, None), "us")


def test_numbers_of_a_comparison() -> None:
    """Each trailer's own, in its unit; none where there is none."""
    row = because("length of the box", 1, 100 * IN, 120 * IN)
    assert (value(row, "a", "us"), value(row, "b", "us")) == ("100 in", "120 in")
    share = replace(row, dimension="share", value_a=0.123)
    assert value(share, "a", "us") == "12.3 %"
    assert value(replace(row, value_a=None), "a", "us") == ""
    assert value(replace(row, dimension=None), "a", "us") == ""
    assert [signed(x * LB, "us") for x in (120, -310, 0)] == ["+120 lb", "−310 lb", "+0 lb"]
