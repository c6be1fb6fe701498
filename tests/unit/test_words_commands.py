"""What the commands print of built results: numbers, signs, units, cuts and counts.

Expected numbers are hand arithmetic: 0.45359237 kg to the pound, 1609.344 m to the mile, 25.4 mm to
the inch (NIST SP 811), 1.96 sd to the half of a 95 % interval.
"""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from tests.said import IN, LB, MPH, NEVER, NONE, rig_of

from steelyard.braking.settings import Setting
from steelyard.braking.stage_road import settings_for
from steelyard.cli import log_words, match_words, road_words, stow_words, sway_words, words
from steelyard.matching.pairing import FULL, TYPICAL
from steelyard.ratings import VERDICTS
from steelyard.rig import Rig


@pytest.mark.parametrize(
    ("verdict", "refuses", "doubts", "code"),
    [
        ("within", False, (), 0),
        ("within", False, ("a",), 3),
        ("tight", False, (), 3),
        ("unknown", False, (), 3),
        ("cannot tell", False, (), 3),
        ("cannot tell", True, (), 1),
        ("exceeded", False, (), 1),
    ],
)
def test_how_a_command_ends(verdict: Any, doubts: Any, code: int, *, refuses: bool) -> None:
    """0 within, 1 where it is refused, 3 where nobody can say or a weighing is in doubt."""
    assert words.exit_code(verdict, refuses=refuses, doubts=doubts) == code


def test_what_a_page_holds() -> None:
    """25 letters of a title; 80 columns of a table, whose first is cut to eight at least; empty
    lines go, the last first, where there are more than thirty; three things to do, each once."""
    assert words.clipped("a" * 25) == "a" * 25
    assert words.clipped("a" * 26) == "a" * 24 + "…"
    assert words.table([("ab", "c", "d"), ("a", "10", "20")], left=(0, 1), indent=" ") == (
        " ab  c    d\n a   10  20"
    )
    cut = words.table([("a" * 20, "b"), ("a", "c" * 65)]).splitlines()
    assert [len(one) for one in cut] == [80, 80]
    assert cut[0].split()[0] == "a" * 10 + "…"
    narrow = words.table([("a" * 20, "b" * 90)])
    assert narrow.split()[0] == "a" * 7 + "…"
    text = ["", *["x"] * 28, "", "y"]
    assert list(words.squeezed(text)) == [*text[:-2], "y"]
    assert list(words.squeezed(text[1:])) == text[1:]
    assert list(words.squeezed(["", "x"])) == ["", "x"]
    assert words.first_fitting([["x"] * 31, ["x"] * 30, ["y"]]) == ["x"] * 30
    assert words.first_fitting([["x"] * 32, ["x"] * 31]) == ["x"] * 31
    steps = list(words.do_next(("a", "b", "a", "c")))
    assert steps == ["Do next", "  1. a", "  2. b", ""]
    assert list(words.do_next(())) == []
    assert words.counted(["a\nb", "c"]) == 3
    assert words.paragraph("x" * 76 + " 12 lb") == "x" * 76 + "\n12 lb"


def advice(gain: float = 0.02, ball: float = 50.0, *, hurts: int = 0, breaks: int = 0) -> Any:
    """A move of 50 lb to the front, and limits that it hurts."""
    then = SimpleNamespace(wagging=64 * MPH)
    before = SimpleNamespace(wagging=60 * MPH)
    move = SimpleNamespace(
        kind="weight",
        amount=50 * LB,
        source="tail",
        target="front",
        gain=gain,
        before=before,
        after=then,
    )
    hurt = [
        SimpleNamespace(
            title=f"limit {n}", before="within", after="tight", margin=9 * LB, measure="weight"
        )
        for n in range(4)
    ]
    return SimpleNamespace(
        move=move, hurts=hurt[:hurts], breaks=hurt[2 : 2 + breaks], ball_change_kg=ball * LB
    )


def test_moves_that_settle_a_swing() -> None:
    """Those that gain more than 0.005 and break nothing, three at most, with two limits each."""
    lines = list(sway_words.step_lines((advice(0.005), advice(0.006), advice(breaks=1)), "us"))
    assert lines == ["Move 50 lb from tail to front: damping ratio +0.01."]
    assert len(list(sway_words.step_lines((advice(),) * 5, "us"))) == 3
    (hurt,) = sway_words.step_lines((advice(hurts=3),), "us")
    assert hurt.endswith("+0.02; but limit 0 tight, 9 lb left, limit 1 tight, 9 lb left.")


def test_the_table_of_moves() -> None:
    """Eight at most, numbered, with gain, speed and ball; three that break a limit are left out by
    name; nothing of no move."""
    found: Any = SimpleNamespace(chosen_speed=62 * MPH, title="Going out")
    text = " ".join("\n".join(sway_words.moved((advice(),) * 9, found, "us")).split())
    assert "What would settle it most at “Going out” and 62 mph:" in text
    assert "8. 50 lb from tail to front +0.020 +4 to 64 mph +50 lb" in text
    assert "9. " not in text
    assert "break a limit" not in text
    text = " ".join("\n".join(sway_words.moved((advice(breaks=1),) * 4, found, "us")).split())
    assert text.count("50 lb from tail to front (limit 2 tight, 9 lb left)") == 3
    assert "What would settle it most" not in text
    assert "Limits are those of this stage" in text
    text = "\n".join(sway_words.moved((advice(), advice(hurts=1)), found, "us"))
    assert "  but 2: limit 0 tight, 9 lb left" in text
    assert "but 1" not in text
    assert list(sway_words.moved((advice(0.005),), found, "us")) == []


@pytest.mark.parametrize(
    ("value", "low", "high", "told"),
    [
        (62, 55, NEVER, "62 (55 to never)"),
        (62, 0, 124, "62 (any to 124)"),
        (62, 1, 124.5, "62 (1 to never)"),
        (NEVER, 90, NEVER, "never (90 to never)"),
    ],
)
def test_a_critical_speed_in_a_table(value: float, low: float, high: float, told: str) -> None:
    """Never from 200 km/h on, any at a standstill."""
    found: Any = SimpleNamespace(value=value * MPH, low=low * MPH, high=high * MPH)
    assert sway_words.critical_words(found, "us") == told
    assert sway_words._from(found, "us") == f"{told} mph"
    never: Any = SimpleNamespace(value=NEVER, low=NEVER, high=NEVER)
    assert sway_words._from(never, "us") == "never (never to never)"


def test_damping_against_speed() -> None:
    """A row a speed: ratio with its interval, seconds to a tenth, hertz: 2 pi rad/s is one."""

    def band(value: Any, low: Any, high: Any) -> Any:
        return SimpleNamespace(value=np.array(value), low=np.array(low), high=np.array(high))

    found: Any = SimpleNamespace(
        speeds=np.array([40, 60]) * MPH,
        damping=band([0.3, 0.2], [0.25, 0.15], [0.35, 0.25]),
        calm=band([2.0, 3.0], [1.5, 2.5], [2.6, NEVER]),
        frequency=band([2 * np.pi, np.pi], [0, 0], [0, 0]),
    )
    lines = next(sway_words.curve(found, "us")).splitlines()
    assert lines[1].split() == ["40", "0.30", "(0.25", "to", "0.35)", "1.5", "to", "2.6", "1.00"]
    assert lines[2].split() == ["60", "0.20", "(0.15", "to", "0.25)", "2.5", "to", "never", "0.50"]


def spread(value: float, low: float, high: float) -> Any:
    """A number with its interval."""
    return SimpleNamespace(value=value, low=low, high=high)


def stop(*, down: bool, brakes: bool, firm: float = 61.0) -> Any:
    """A stop that is slowed by 0.5 g, in 50 m."""
    return SimpleNamespace(
        down=down,
        trailer_brakes=brakes,
        reachable=spread(4.903325, 3.92266, 5.88399),
        shortest=spread(50.0, 45.0, 55.0),
        firm=spread(firm, firm, firm),
    )


def braking(brakes: bool | None, **more: Any) -> Any:
    """A stage of the road with four stops."""
    asked = SimpleNamespace(
        speed=25.0, reaction=2.5, friction=SimpleNamespace(value=0.7), deceleration=3.4, grade=0.06
    )
    stops = [stop(down=down, brakes=on) for down in (False, True) for on in (True, False)]
    return SimpleNamespace(**{"brakes": brakes, "settings": asked, "stops": stops, **more})


@pytest.mark.parametrize(
    ("brakes", "everything", "told"),
    [
        (True, False, ["level brakes", "level rolls", "down 6 % brakes", "down 6 % rolls"]),
        (None, False, ["level if braked", "level rolls", "down 6 % if braked", "down 6 % rolls"]),
        (False, False, ["level rolls", "down 6 % rolls"]),
        (False, True, ["level if braked", "level rolls", "down 6 % if braked", "down 6 % rolls"]),
    ],
)
def test_the_table_of_stops(brakes: Any, told: list[str], *, everything: bool) -> None:
    """By road and by what the trailer's brakes do; of one without only how it is."""
    head, table, _ = road_words.stops(braking(brakes), "metric", everything=everything)
    assert head == "Stopping from 90 km/h, 2.5 s of reaction included; friction 0.7"
    rows = [" ".join(row.split()) for row in table.splitlines()[1:]]
    assert rows == [f"{one} 0.50 (0.40 to 0.60) 50 m (45 to 55) 61 m" for one in told]
    none = braking(True, stops=[stop(down=False, brakes=True, firm=NEVER)])
    assert list(road_words.stops(none, "metric"))[1].endswith("no grip")


def test_the_table_of_loads_that_move() -> None:
    """Each axle's change with its half interval; where the ball is pulled up that is said."""
    change = spread(100 * LB, 80 * LB, 120 * LB)

    def stance(coupling: float, moved: Any = change) -> Any:
        axle = SimpleNamespace(name="front", change_kg=spread(-50 * LB, -60 * LB, -40 * LB))
        return SimpleNamespace(
            coupling_kg=spread(coupling, 0, 0), coupling_change_kg=moved, axles=(axle,)
        )

    stances = [stance(1.0)] * 4
    lines = list(road_words.loads(braking(True, stances=[*stances, stance(0.0)]), "us"))
    assert "What moves, lb: braking at 0.35 g, and on 6.0 %" in lines[0]
    assert lines[1].splitlines()[1].split()[:4] == ["ball", "+100", "±", "20"]
    assert lines[1].splitlines()[2].split()[:4] == ["front", "-50", "±", "10"]
    assert not any("pulled up" in one for one in lines)
    up = list(road_words.loads(braking(True, stances=[*stances, stance(-1.0)]), "metric"))
    assert "What moves, kg" in up[0]
    assert "The ball is pulled up in some of these: the coupler's latch holds it down." in up
    tips = [*stances, stance(1.0, spread(NONE, NONE, NONE))]
    assert list(road_words.loads(braking(True, stances=tips), "us"))[1].count("tips") == 1


def test_what_of_the_road_is_assumed() -> None:
    """Friction as 0.7 ± 0.1, the half of its 95 % interval; not what was asked."""
    text = "\n".join(road_words.assumed(rig_of(), braking(True, settings=settings_for(rig_of()))))
    assert "  - friction: 0.7 ± 0.1" in text
    asked = settings_for(rig_of(), friction=Setting(value=0.6))
    assert "friction" not in "\n".join(road_words.assumed(rig_of(), braking(True, settings=asked)))


def rule(verdict: str, *, note: bool = False) -> Any:
    """A rule on brakes."""
    parts = {"title": "Rule", "text": "Due.", "due": "", "source": "", "chance": NONE}
    return SimpleNamespace(verdict=verdict, note=note, **parts)


@pytest.mark.parametrize(
    ("rules", "everything", "said", "left"),
    [
        ([rule("exceeded"), rule("within")], False, 1, "1 rule on brakes that holds or decides"),
        (
            [rule("exceeded"), rule("tight", note=True), rule("within")],
            False,
            1,
            "2 rules on brakes that hold or decide nothing here: --rules.",
        ),
        ([rule("exceeded"), rule("within")], True, 2, ""),
    ],
)
def test_rules_that_decide(rules: Any, said: int, left: str, *, everything: bool) -> None:
    """The others are counted unless asked for."""
    lines = list(road_words.ruled(braking(True, rules=rules), everything=everything))
    assert sum(one.startswith("  - ") for one in lines) == said
    assert " ".join(lines[said:]).startswith(left)
    assert len(lines) == said + bool(left)


def block(**more: Any) -> Any:
    """Two pairs at two stages, the second of which is told of."""
    parts: dict[str, Any] = {
        "stages": ("empty", TYPICAL, FULL),
        "share": np.array([[[0, 0], [0, 0.123], [0, 0]]]),
        "tongue_kg": np.array([[[0, 0], [0, 600 * LB], [0, 0]]]),
        "cargo": SimpleNamespace(kg=np.array([[0, 455 * LB], [0, 71]])),
        "cargo_band": SimpleNamespace(kg=np.array([[0, NEVER], [0, NEVER]])),
    }
    return SimpleNamespace(**{**parts, **more})


@pytest.mark.parametrize(
    ("list_", "standing", "failed", "unknown", "more", "told"),
    [
        ("fits", "within", 0, 0, {}, "7 half-ton camper ● within ◐ 12.3 % 600 455 free"),
        ("may-fit", "unknown", 0, 3, {}, "7 half-ton camper ? 3 ◐ 12.3 % 600 455 free"),
        ("does-not-fit", "exceeded", 2, 3, {}, "7 half-ton camper ▲ 2, ? 3 ◐ 12.3 % 600 455 free"),
        ("does-not-fit", "exceeded", 2, 0, {}, "7 half-ton camper ▲ 2 ◐ 12.3 % 600 455 free"),
        (
            "fits",
            "tight",
            0,
            0,
            {"stages": ("empty", TYPICAL), "cargo": SimpleNamespace(kg=np.full((2, 2), NONE))},
            "7 half-ton camper ◐ tight ? 12.3 % 600 ? free",
        ),
    ],
)
def test_a_row_of_matched_pairs(
    list_: Any, standing: Any, failed: int, unknown: int, more: Any, told: str
) -> None:
    """Mark with counts, the mark at full rating, share, ball, room and band."""
    code, tight = VERDICTS.index(standing), VERDICTS.index("tight")
    found = SimpleNamespace(
        full=[0, tight], failed=[0, failed], unknown=[0, unknown], standing=[0, code]
    )
    names = ("half-ton", "camper")
    pair: Any = SimpleNamespace(block=block(**more), number=1, found=found, list=list_, names=names)
    assert " ".join(match_words.listed([(7, pair)], "us").splitlines()[1].split()) == told


def change(first: float, second: float, half: float) -> Any:
    """A change of so many lb, with the half-width of its 95 % interval."""
    parts = {"first_sd": 10 * LB / 1.96, "second_sd": 20 * LB / 1.96, "sd": half * LB / 1.96}
    return SimpleNamespace(
        first=first * LB, second=second * LB, change=(second - first) * LB, **parts
    )


SLOPE: Any = {"per_100_days": 55 * LB, "per_100_days_sd": 15 * LB / 1.96, "scatter": 2.0}


def drift(first: float, second: float, half: float = 30.0, **more: Any) -> Any:
    """What became of a trailer over 100 days."""
    share = SimpleNamespace(
        first=0.12, first_sd=0.005, second=0.13, second_sd=0.005, change=0.01, sd=0.0051
    )
    parts: dict[str, Any] = {
        "rig_name": "camper",
        "first": SimpleNamespace(taken="2025-01-01T10:00"),
        "last": SimpleNamespace(taken="2025-04-11T10:00"),
        "weighings": 3,
        "rig_files": 1,
        "doubtful": (),
        "days": 100.0,
        "trailer_kg": SimpleNamespace(ends=change(first, second, half), **SLOPE),
        "tongue_kg": SimpleNamespace(ends=change(600, 580, 30), **SLOPE),
        "share": SimpleNamespace(ends=share, per_100_days=None, per_100_days_sd=None, scatter=None),
    }
    return SimpleNamespace(**{**parts, **more})


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (
            drift(5000, 5100),
            "the trailer gained 100 lb (± 30) from 2025-01-01 to 2025-04-11 (100 da",
        ),
        (drift(5000, 4900), "the trailer lost 100 lb (± 30) from"),
        (drift(5000, 5031), "the trailer gained 31 lb"),
        (drift(5000, 5029), "no change beyond the spread, 29 lb more (± 30)"),
        (drift(5000, 4971), "no change beyond the spread, 29 lb less (± 30)"),
        (drift(5000, 5000), "no change beyond the spread, 0 lb more (± 30)"),
        (
            drift(5000, 5020, tongue_kg=SimpleNamespace(ends=change(600, 640, 30), **SLOPE)),
            "trailer beyond the spread, 20 lb more (± 30); the tongue gained 40 lb (± 30), from",
        ),
        (drift(5000, 5100, weighings=1), "days, 1 weighing)."),
        (drift(5000, 5100), "days, 3 weighings)."),
        (drift(5000, 5100), "trailer weight 5,000 ± 10 lb 5,100 ± 20 lb +100 ± 30 lb +55 ± 15 lb"),
        (drift(5000, 5100), "tongue weight 600 ± 10 lb 580 ± 20 lb -20 ± 30 lb +55 ± 15 lb"),
        (drift(5000, 5100), "tongue share, % 12.0 ± 1.0 13.0 ± 1.0 +1.0 ± 1.0 -"),
        (drift(5000, 5100, rig_files=2), "The rig file was changed between them: 2 versions."),
    ],
)
def test_what_became_of_a_rig_over_a_season(found: Any, told: str) -> None:
    """Gained or lost beyond the spread, more or less within it, the tongue too where it changed;
    slopes per 100 days."""
    text = " ".join("\n".join(log_words.drifted(found, "us")).split())
    assert told in text
    assert "per 100 days" in text
    assert ("was changed" in text) is (found.rig_files > 1)
    assert "times wider" not in text


def test_a_slope_takes_a_fortnight() -> None:
    """Over less than 14 days it would be mostly weather; twice the spreads' scatter is said."""
    for days, told in ((13.9, False), (14.0, True)):
        text = "\n".join(log_words.drifted(drift(5000, 5100, days=days), "us"))
        assert ("per 100 days" in text) is told
    wide = drift(5000, 5100)
    wide.trailer_kg.scatter = 2.04
    assert "lie 2.0 times wider" in " ".join("\n".join(log_words.drifted(wide, "us")).split())


@pytest.mark.parametrize(
    ("asked", "units", "told"),
    [
        (None, ("lb", "lb", "kg"), "us"),
        (None, ("lb", "kg", "mm"), "metric"),
        (None, ("lb", "kg"), "us"),
        (None, (), "us"),
        ("us", ("kg",), "us"),
        ("metric", ("lb",), "metric"),
    ],
)
def test_units_of_most_readings(asked: str | None, units: tuple[str, ...], told: str) -> None:
    """Metric where more than half are."""
    readings = [SimpleNamespace(unit=unit) for unit in units]
    logged: Any = SimpleNamespace(weighing=SimpleNamespace(readings=readings))
    assert log_words.read_in(logged, asked) == told


def line(number: int, chance: float | None = 0.4) -> Any:
    """A line of the list."""
    return SimpleNamespace(
        id=number,
        taken="2025-05-01T10:00",
        rig_name="camper",
        place=None,
        chance=chance,
        trailer_kg=5000 * LB,
        trailer_sd_kg=30 * LB / 1.96,
        tongue_kg=600 * LB,
        tongue_sd_kg=20 * LB / 1.96,
        share=0.12,
        share_sd=0.005 / 1.96,
    )


def test_the_list_of_weighings() -> None:
    """Weights and share with their halves; those whose readings do not agree by number, twelve at
    most."""
    text = " ".join(log_words.listed([line(1), line(2, None)], "us").split())
    assert " 1 2025-05-01 camper - 5,000 ± 30 600 ± 20 12.0 ± 0.5 2 2025" in text
    assert "▲" not in text
    few = log_words.listed([line(n, 0.0) for n in range(1, 13)], "us")
    assert "weighings 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 do not" in " ".join(few.split())
    many = log_words.listed([line(n, 0.0) for n in range(1, 14)], "us")
    assert "11, 12 … do not agree" in " ".join(many.split())
    assert "of weighing 3 do not agree" in " ".join(log_words.listed([line(3, 0.0)], "us").split())


def footing(**more: Any) -> Any:
    """A tractor whose front wheels stand 96 in behind the headboard, best within 80 and 100."""
    zero, ahead = 1.0, 20 * IN
    parts: dict[str, Any] = {
        "item": "tractor",
        "place": "deck",
        "backwards": False,
        "ahead": ahead,
        "behind": ahead,
        "wheels": True,
        "headboard": zero,
        "best": zero + ahead + 96 * IN,
        "low": zero + ahead + 80 * IN,
        "high": zero + ahead + 100 * IN,
        "share": (0.12, 0.13),
        "share_low": 0.1,
        "share_high": 0.15,
        "exceeded": False,
        "stopped_by": None,
        "stop": None,
    }
    return SimpleNamespace(**{**parts, **more})


DECK: Rig = rig_of(
    places={"deck": {"station": "4 m"}},
    items={name: {"weight": "200 kg", "place": "deck"} for name in ("tractor", "crate")},
)


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (
            footing(),
            (
                "● within: tractor: front wheels 96 in behind the headerboard of deck (12.0 % to"
                " 13.0 %), ± 4 in keeps 10-15 %; anywhere from 80 in to 100 in does, with every"
                " known limit that it alters kept. Room beside crate"
            ),
        ),
        (footing(low=1.0 + 115 * IN), "± 1 in keeps 10-15 %; anywhere from 95 in to 100 in does"),
        (footing(backwards=True), "tractor: rear wheels 96 in behind"),
        (footing(wheels=False), "tractor: front end 96 in behind"),
        (footing(ahead=0.0), "tractor: center 116 in behind"),
        (footing(share=(0.12, 0.12)), "of deck (12.0 %), ±"),
        (footing(stopped_by="the deck's end"), "12.0 % to 13.0 %: the deck's end stops less."),
        (
            footing(stopped_by="the deck's end", share=(0.11, 0.12)),
            "11.0 % to 12.0 %: the deck's end stops more.",
        ),
        (
            footing(low=None, exceeded=True, stopped_by="the deck's end"),
            (
                "▲ exceeded: tractor: front wheels 96 in behind the headerboard of deck is the best"
                " there is. 12.0 % to 13.0 %: the deck's end stops less."
            ),
        ),
        (
            footing(high=None, stopped_by="axle"),
            (
                "‡ cannot tell: tractor: front wheels 96 in behind the headerboard of deck is the"
                " best there is (12.0 % to 13.0 %); weigh first: axle may not hold, for the"
                " spread alone."
            ),
        ),
    ],
)
def test_where_on_its_deck_a_thing_stands(one: Any, told: str) -> None:
    """Its leading end behind the headboard, how far it may be off, what stops it and which way; its
    facing where both are told."""
    text = " ".join("\n".join(stow_words.footing_lines(DECK, (one,), "us")).split())
    assert told in text
    both = " ".join("\n".join(stow_words.footing_lines(DECK, (one, footing()), "us")).split())
    assert f"tractor facing {'backwards' if one.backwards else 'forwards'}: " in both
