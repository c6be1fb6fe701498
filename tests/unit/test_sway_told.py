"""Which speeds are orders: known to within 8 mph, or shown by a recording; tyres and law always."""

import re
import tomllib
from dataclasses import replace
from html import unescape
from typing import Any

import numpy as np
import pytest

from steelyard.assessment.sway_advice import Hurt
from steelyard.cards import card
from steelyard.cli.sway_words import weighed as changed_by
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.quantity.constants import HOUR, MILE
from steelyard.ratings import Verdict, fastest
from steelyard.rig import Rig
from steelyard.swaying.remedies import Move
from steelyard.swaying.result import Band, Edge, StageSway
from steelyard.swaying.stage_sway import sway
from steelyard.web.look import Look
from steelyard.web.page import part
from steelyard.web.sections import sway as section
from steelyard.web.session import Session
from steelyard.web.state import State
from steelyard.words.sway import (
    FAST,
    _understeer,
    calms,
    careful_end,
    critical_words,
    headline,
    hurt_words,
    onset_words,
    tellable,
)

CAMPER = demo_rigs()["perihelion-camper.toml"]
MPH = MILE / HOUR
DEGREE = np.asarray(np.pi / 180.0)


def answer() -> StageSway:
    """The camper on its way home: sway known to no better than 71 mph to never."""
    return sway(parse_rig(CAMPER), stages=("back-home",), speeds=(), samples=512)[0]


def known(found: StageSway, low: float, high: float, *, shown: bool = False) -> StageSway:
    """The same with both speeds between these, mph."""
    middle = MPH * (low + high) / 2
    parts = {"value": middle, "median": middle, "low": MPH * low, "high": MPH * high}
    wag, falls = (
        replace(one, **parts, never=0.0, shown=shown) for one in (found.wagging, found.falls)
    )
    return replace(found, wagging=wag, falls=falls)


@pytest.mark.parametrize(
    ("low", "high", "shown", "told"),
    [
        (50, 65.9, False, True),
        (50, 66.1, False, False),
        (50, 120, True, True),
        (50, float("inf"), False, False),
    ],
)
def test_a_speed_is_told_where_its_half_width_is_under_8_mph_or_a_recording_shows_it(
    low: float, high: float, told: bool, *, shown: bool
) -> None:
    """The rule as stated: 95 % half-width under 8 mph, or a recording; else the careful end."""
    said = " ".join(headline(known(answer(), low, high, shown=shown), "us"))
    assert ("Sway grows by itself at" in said) is told
    assert ("No sway speed is told" in said) is not told
    assert ("careful end a swing at 62 mph dies out too slowly" in said) is not told


def test_the_page_tells_no_speed_that_the_command_does_not() -> None:
    """The camper's sway on the page: what `sway` answers first, and no speed at which sway grows,
    in its advice neither; speeds that spread wide are folded away."""
    seen = Session(State(data=tomllib.loads(CAMPER)), CAMPER, None, "camper.toml", None).seen()
    shown = unescape(part(section.SECTION, seen, Look(choice={}, stage="back-home")))
    folded = re.search(r'<details id="sway-every">.*?</details>', shown, re.DOTALL)
    assert folded
    assert "Sway grows by itself" in folded[0]
    plain = shown.replace(folded[0], "")
    assert "No sway speed is told" in plain
    assert "What would calm it most" in plain
    assert "Sway grows by itself" not in plain
    assert "sway grows" not in plain.partition("What would calm it most")[2]


def test_a_speed_beyond_any_that_is_told_may_be_told_and_one_about_it_not() -> None:
    """From above 200 km/h to never needs no half-width; from below it to never does."""
    for low, told in ((FAST / MPH + 1, True), (FAST / MPH - 1, False)):
        assert tellable(known(answer(), low, float("inf")).wagging) is told


@pytest.mark.parametrize(
    ("least", "how"),
    [
        (0.09, "dies out too slowly"),
        (0.1, "dies out as it should"),
        (0.11, "dies out as it should"),
        (-0.01, "grows by itself"),
    ],
)
def test_the_careful_end_in_words(least: float, how: str) -> None:
    """Of the least damping that the spread leaves, against 0.1 that is asked for."""
    found = replace(answer(), chosen_ratio=0.1)
    found = replace(found, at_damping=replace(found.at_damping, low=np.asarray(least)))
    assert careful_end(found, "us").endswith(f"{how}.")


@pytest.mark.parametrize(("chance", "mark"), [(0.0, "●"), (0.1, "◐"), (0.5, "‡"), (0.9, "▲")])
def test_how_a_swing_settles_bears_the_mark_of_its_verdict(chance: float, mark: str) -> None:
    """Of the chance that it settles too slowly: 1 in 40, 1 in 5 and 4 in 5 part the four."""
    first = next(headline(replace(answer(), chance_below=chance), "us"))
    assert first.startswith(f"{mark} At “")


def test_what_never_comes_does_not_come_first() -> None:
    """Of the camper's draws, in which most never jackknife and some never sway either."""
    found = answer()
    assert found.jackknife.never > 0.9
    assert found.jackknife_first <= 1 - found.jackknife.never
    assert found.wagging_first <= 1 - found.wagging.never


def test_understeer_is_told_in_degrees_per_g() -> None:
    """A degree more of steering for each 9.80665 m/s2 to the side."""
    band = replace(answer().understeer, **dict.fromkeys(("value", "low", "high"), DEGREE / 9.80665))
    assert _understeer(band) == "1.0 degrees per g (1.0 to 1.0)"


def test_a_critical_speed_in_words() -> None:
    """Within reach it is told with its 95 %; beyond 200 km/h, or never, it is `above`, with the
    speed from which it may begin after all."""
    at = known(answer(), 50, 66).wagging
    assert critical_words(at, "us") == "at 58 mph (50 mph to 66 mph)"
    far = replace(at, value=FAST + 1.0)
    for one in (far, replace(at, value=float("inf"))):
        assert critical_words(one, "us") == "above 124 mph, if at all (but perhaps from 50 mph)"


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        (60.0, 64.0, "+4 to 64 mph"),
        (64.0, 60.0, "-4 to 60 mph"),
        (float("inf"), 60.0, "60 mph"),
        (200.0, 60.0, "60 mph"),
        (60.0, float("inf"), "above 124 mph"),
        (60.0, 200.0, "above 124 mph"),
    ],
)
def test_a_move_in_words(before: float, after: float, told: str) -> None:
    """What it does to the speed at which sway grows: by how much and to what, where both are known;
    slowing down leaves that speed as it is."""
    was, then = (
        Edge(damping=0.1, falls=20.0, wagging=MPH * mph, jackknife=60.0) for mph in (before, after)
    )
    move = Move(kind="weight", what="", source="a", target="b", amount=9.0, before=was, after=then)
    assert onset_words(move, "us") == told
    assert onset_words(replace(move, kind="speed"), "us") == "as before"


def speed_lines(rig: Rig) -> str:
    """The card's section on speed."""
    return " ".join(next(one for one in card(rig).notes if one.title == "Speed").lines)


def test_labels_alone_order_no_sway_speed_on_the_card() -> None:
    """The camper's labels leave 54 mph to never: no `stay under`, but the careful end in words."""
    said = speed_lines(parse_rig(CAMPER))
    assert "Stay under" not in said
    assert "No sway speed is told" in said
    assert "No faster than 65 mph: the trailer tires are special trailer tires" in said


def test_the_law_of_the_country_stands_with_its_reason() -> None:
    """GB: 60 mph on motorways (The Highway Code, rule 124); NZ: 90 km/h (road code)."""
    bare = 'format = 1\n{}[vehicle]\nclass = "car"\n[trailer]\nstyle = "open-utility"\n'
    bare += 'gvwr = "750 kg"\n'
    for country, kmh in (("GB", 60 * 1.609344), ("NZ", 90.0), ("AU", 100.0)):
        rig = parse_rig(bare.format(f'country = "{country}"\n'))
        laws = [one for one in fastest(rig) if one.reason.startswith("Speed with a trailer")]
        assert [one.speed * 3.6 for one in laws] == pytest.approx([kmh])
    assert not [one for one in fastest(parse_rig(bare.format(""))) if "Speed" in one.reason]


def test_the_slowest_tyre_sets_the_speed() -> None:
    """Speed letter L is 120 km/h and F 80 km/h (speed symbols, ECE R30 table), below a car's H at
    210; an axle's own tyres count as the group's do."""
    text = (
        'format = 1\n[vehicle]\nclass = "car"\n[vehicle.front.tyres]\nspeed_symbol = "H"\n'
        '[trailer]\nstyle = "open-utility"\ngvwr = "750 kg"\n[trailer.axles.tyres]\n'
        'speed_symbol = "L"\n'
    )
    (one,) = fastest(parse_rig(text))
    assert one.speed * 3.6 == pytest.approx(120.0)
    assert one.reason == "the trailer tyres say so on their sidewall"
    (own,) = fastest(parse_rig(f'{text}[trailer.axles.first.tyres]\nspeed_symbol = "F"\n'))
    assert own.speed * 3.6 == pytest.approx(80.0)
    assert own.reason == "the first trailer axle tyres say so on their sidewall"
    (bare,) = fastest(parse_rig(f'{text}[trailer.axles.first.tyres]\npressure = "50 psi"\n'))
    assert bare.speed / 0.44704 == pytest.approx(65.0)  # a special trailer tyre for all one knows


def test_a_swing_settles_within_an_interval() -> None:
    """Its time with both ends, slowest last; never, where it may grow."""
    ends = {"value": 3.1, "best": 3.0, "low": 2.6, "high": 3.9}
    band = Band(**{name: np.asarray(x) for name, x in ends.items()})
    assert calms(band) == "settles to a tenth in 3.1 s (2.6 to 3.9)"
    assert calms(replace(band, high=np.asarray(np.inf))).endswith("(2.6 to never)")
    assert calms(replace(band, value=np.asarray(np.inf))) == "does not settle: it grows"


@pytest.mark.parametrize(
    ("before", "after", "margin", "told"),
    [
        ("tight", "exceeded", -20.0, "rear axle over by 20 kg"),
        ("exceeded", "exceeded", -20.0, "rear axle further over by 20 kg"),
        ("within", "exceeded", 5.0, "rear axle over"),
        ("within", "tight", 10.0, "rear axle tight, 10 kg left"),
        ("cannot tell", "cannot tell", -36.0, "rear axle cannot tell, 36 kg over"),
        ("tight", "cannot tell", 12.0, "rear axle cannot tell, 12 kg left"),
    ],
)
def test_what_a_move_hurts_in_words(
    before: Verdict, after: Verdict, margin: float, told: str
) -> None:
    """By how much a limit is passed, or further passed; likelier than not with room left, no
    number."""
    hurt: dict[str, Any] = {"name": "a", "title": "rear axle", "chance": 0.9, "measure": "weight"}
    assert hurt_words(Hurt(**hurt, before=before, after=after, margin=margin), "metric") == told


def test_what_a_weighing_changed_is_told_before_and_after() -> None:
    """Damping and its chance of the rig file first, then with the weighing."""
    before = replace(answer(), chosen_ratio=0.1, chance_below=0.25)
    bands = (
        replace(before.at_damping, value=np.asarray(x), low=np.asarray(0.1), high=np.asarray(0.3))
        for x in (0.2, 0.15)
    )
    old, new = (replace(before, at_damping=band) for band in bands)
    new = replace(new, chance_below=0.05)
    said = " ".join(" ".join(changed_by(old, new, "us")).split())
    assert "mph 0.200 (0.100 to 0.300) 0.150 (0.100 to 0.300)" in said
    assert "chance of damping below 0.1 25.0 % 5.0 %" in said
