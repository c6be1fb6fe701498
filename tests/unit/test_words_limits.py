"""What is said of limits: the number, its unit, its side and sign, by results built by hand.

Expected numbers are hand arithmetic: 0.45359237 kg to the pound, 25.4 mm to the inch, 1609.344 m to
the mile, 6894.757 Pa to the psi (NIST SP 811), 1.96 sd to the half of a 95 % interval.
"""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from tests.said import IN, LB, MPH, NEVER, NONE, answer_of, bare, limit, rig_of, spread, stage_of

from steelyard.assessment import assess
from steelyard.fault import Fault
from steelyard.files.reader import parse_rig
from steelyard.quantity import System
from steelyard.ratings import LimitStatus
from steelyard.words.assessed import (
    asked_line,
    chance,
    coupling,
    doubt,
    measured,
    missing_line,
    natural,
    number,
    odds,
    question_lines,
    room,
    settling,
    share_spread,
    stage_verdict,
    to_spare,
    unsure,
    verdict_line,
    weight_spread,
)
from steelyard.words.headline import headline, load, pressing

WEIGHED: Any = object()
"""An estimate's memory, of which nothing is asked but whether there is one."""


def pounds(value: float, rating: float, half: float = 0.0, **more: Any) -> LimitStatus:
    """A limit in pounds."""
    return limit(LB * value, LB * rating, LB * half, **more)


def weighed(*limits: LimitStatus, **more: Any) -> Any:
    """The answer of a rig that was weighed."""
    return answer_of(*limits, estimate=replace(bare().estimate, memory=WEIGHED), **more)


@pytest.mark.parametrize(
    ("kind", "style", "told"),
    [
        (None, "fifth-wheel", "pin"),
        ("fifth-wheel", "fifth-wheel", "pin"),
        ("gooseneck", "fifth-wheel", "ball"),
        ("ball", "rear-living", "ball"),
        (None, "rear-living", "ball"),
    ],
)
def test_a_fifth_wheel_rests_on_a_pin(kind: str | None, style: str, told: str) -> None:
    """By the hitch where one is named, else by the trailer; a gooseneck has a ball in the bed."""
    rig = rig_of(trailer={"style": style}, hitch={"kind": kind} if kind else {})
    assert coupling(rig) == told


@pytest.mark.parametrize(
    ("p", "tight", "told"),
    [
        (0.0, 0.025, "under 0.1 %"),
        (0.00099, 0.025, "under 0.1 %"),
        (0.001, 0.025, "0.1 %"),
        (0.0876, 0.025, "8.8 %"),
        (0.0996, 0.025, "10.0 %"),
        (0.1, 0.025, "10 %"),
        (0.147, 0.025, "15 %"),
        (0.1951, 0.025, "19 %"),
        (0.2, 0.025, "20 %"),
        (0.4951, 0.025, "49 %"),
        (0.797, 0.025, "79 %"),
        (0.8, 0.025, "80 %"),
        (0.0249, 0.025, "2.4 %"),
        (0.0334, 0.0333, "3.4 %"),
        (0.0332, 0.0333, "3.3 %"),
        (0.994, 0.025, "99 %"),
        (0.995, 0.025, "over 99 %"),
        (1.0, 0.025, "over 99 %"),
    ],
)
def test_a_chance_in_words(p: float, tight: float, told: str) -> None:
    """A tenth of a percent below a tenth, whole percents from there; never 0 nor 100 %, and never
    across 2.5 % (or what is called tight), 20, 50 and 80 %."""
    assert chance(p, tight) == told


@pytest.mark.parametrize(
    ("verdict", "side", "chance", "aside", "told"),
    [
        ("cannot tell", "over", 0.6, 0.09, "60 %"),
        ("cannot tell", "over", 0.6, 0.1, "50 % above, 10 % below"),
        ("cannot tell", "under", 0.6, 0.15, "45 % below, 15 % above"),
        ("exceeded", "over", 0.95, 0.12, "95 %"),
    ],
)
def test_both_sides_are_told_where_both_are_likely(
    verdict: Any, side: Any, chance: float, aside: float, told: str
) -> None:
    """From one in ten beyond the farther edge, where nobody can tell; the nearer edge's first."""
    one = limit(1, 1, verdict=verdict, side=side, chance=chance, aside=aside)
    assert odds(one) == told
    both = "," in told
    whole = f"chance of not holding {told}" if both else f"{told} chance of not holding"
    assert doubt(one) == whole


def test_a_limit_at_the_readers_own_tight() -> None:
    """3.34 % with 3.33 % called tight: 3.3 % would be under it."""
    one = limit(1, 1, verdict="tight", chance=0.0334)
    assert (odds(one, 0.0333), doubt(one, 0.0333)) == ("3.4 %", "3.4 % chance of not holding")


@pytest.mark.parametrize(
    ("measure", "x", "system", "told"),
    [
        ("weight", 1000 * LB, "us", "1,000 lb"),
        ("weight", 1000 * LB, "metric", "454 kg"),
        ("share", 0.1234, "us", "12.3 %"),
        ("force", 17500.0, "us", "17.50 kN"),
        ("fitted", 1.0, "us", "fitted"),
        ("fitted", 0.0, "us", "none"),
        ("length", 2 * IN, "us", "2.00 in"),
        ("speed", 65 * MPH, "us", "65 mph"),
        ("speed", 25.0, "metric", "90 km/h"),
        ("pressure", 65 * 6894.757, "us", "65 psi"),
        ("pressure", 450e3, "metric", "450 kPa"),
        ("pressure", 450e3, "continent", "4.5 bar"),
        ("ratio", 1.5, "us", "1.50"),
        ("ratio", 2.0, "us", "2.00"),
        ("weight", NONE, "us", "?"),
    ],
)
def test_a_limits_number_is_in_the_unit_of_what_it_measures(
    measure: Any, x: float, system: System, told: str
) -> None:
    """Of bar to a tenth: 4.5 bar called 5 would let a tyre be blown up beyond its limit."""
    assert measured(x, limit(1, 1, measure=measure), system) == told


@pytest.mark.parametrize(("x", "told"), [(2.0, "2"), (2.5, "2.50")])
def test_what_a_rule_counts_is_whole(x: float, told: str) -> None:
    """Two trailers, not 2.00."""
    assert measured(x, limit(1, 1, measure="ratio", kind="rule"), "us") == told


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (pounds(900, 1000), "100 lb under its 1,000 lb rating"),
        (pounds(1000, 1000), "at its 1,000 lb rating"),
        (pounds(1100, 1000), "100 lb over its 1,000 lb rating"),
        (limit(0.09, 0.1, measure="share", side="under"), "1.0 points below the floor of 10.0 %"),
        (limit(0.12, 0.1, measure="share", side="under"), "2.0 points above the floor of 10.0 %"),
        (limit(0.17, 0.15, measure="share"), "2.0 points above the ceiling of 15.0 %"),
        (limit(0.12, 0.15, measure="share"), "3.0 points below the ceiling of 15.0 %"),
        (
            limit(2.2 * IN, 2 * IN, name="hitch.fit.ball", measure="length"),
            "not fitting, by 0.20 in",
        ),
        (limit(2 * IN, 2 * IN, name="hitch.fit.ball", measure="length"), "fitting"),
        (limit(1, 0, measure="fitted"), "fitted, and they must not be"),
        (limit(2, 1, kind="rule", name="rules.chains", measure="ratio"), "with 1 fitted"),
        (pounds(1, NONE, verdict="unknown"), "no rating known: the label in the door"),
    ],
)
def test_room_in_words(one: LimitStatus, told: str) -> None:
    """How far from which edge, and on which side of it."""
    assert room(one, "us") == told


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (pounds(897, 1000), "103 lb to spare"),
        (limit(0.112, 0.1, measure="share", side="under"), "1.2 points to spare"),
        (limit(16000.0, 17500.0, measure="force"), "1.50 kN to spare"),
        (limit(IN, 2 * IN, measure="length"), ""),
        (limit(0, 0, measure="fitted"), ""),
        (pounds(NONE, 1000, margin=-NEVER), ""),
    ],
)
def test_what_is_to_spare(one: LimitStatus, told: str) -> None:
    """A load's room; nothing of a fit, nor where most of what may be tips over."""
    assert to_spare(one, "us") == told


def test_spreads_are_half_widths_of_95_percent() -> None:
    """812 ± 34 lb; 11.0 ± 0.9 %; a column's number has no unit."""
    assert weight_spread(spread(812 * LB, 34 * LB), "us") == "812 ± 34 lb"
    assert share_spread(spread(0.11, 0.009)) == "11.0 ± 0.9 %"
    assert number(4150 * LB, "us") == "4,150"


@pytest.mark.parametrize(
    ("value", "half", "dimension", "system", "told"),
    [
        (0.125, 0.03, "share", "us", "12 ± 3 %"),
        (60 * IN, 9.9 * IN, "length", "us", "60.0 ± 9.9 in"),
        (60 * IN, 10.1 * IN, "length", "us", "60 ± 10 in"),
        (1.5, 0.1, "length", "metric", "1,500 ± 100 mm"),
        (np.pi / 90, np.pi / 360, "angle", "us", "2.0 ± 0.5 deg"),
        (812 * LB, 4 * LB, "mass", "us", "812 ± 4 lb"),
    ],
)
def test_a_parameter_with_its_spread(
    value: float, half: float, dimension: Any, system: System, told: str
) -> None:
    """A tenth of an inch or degree only where it is known to less than ten."""
    assert natural(value, half / 1.96, dimension, system) == told


def test_nobody_aboard_is_never_within() -> None:
    """What holds is not known to; what is exceeded is, whoever rides along."""
    for verdict, people, told in (
        ("within", ("people",), "unknown"),
        ("within", ("cargo in the trailer",), "within"),
        ("exceeded", ("people",), "exceeded"),
    ):
        found = answer_of(pounds(1, 2, verdict=verdict), missing=people)
        assert stage_verdict(found, found.stages[0]) == told


OPEN = pounds(1010, 1000, 100, verdict="cannot tell", chance=0.6)


@pytest.mark.parametrize(
    ("one", "more", "told"),
    [
        (OPEN, {}, "Likely over: do not tow until weighed. Weigh the rear axle on a platform"),
        (replace(OPEN, chance=0.5), {}, "Likely over: "),
        (replace(OPEN, chance=0.49), {}, "Weigh the rear axle on a platform scale, hitched."),
        (replace(OPEN, aside=0.4), {}, "Likely outside its band: "),
        (replace(OPEN, aside=0.1), {}, "Likely over: "),
        (replace(OPEN, chance=0.7, aside=0.55), {}, "Likely under: "),
        (replace(OPEN, chance=0.78, aside=0.27), {}, "Likely over: "),
        (replace(OPEN, side="under"), {}, "Likely under: "),
        (replace(OPEN, side="under", chance=0.7, aside=0.55), {}, "Likely over: "),
    ],
)
def test_what_to_do_where_nobody_can_tell(one: LimitStatus, more: Any, told: str) -> None:
    """Not towed from even chances on; the side is the likelier edge's, and none where neither edge
    alone is as likely as not to be passed."""
    assert unsure(one, answer_of(one, **more), "us").startswith(told)


@pytest.mark.parametrize(
    ("half", "more", "told"),
    [
        (10, {}, "It is weighed, and at its rating: take 15 lb off it."),
        (29, {}, "take 34 lb off it."),
        (30, {}, "Weigh the rear axle"),
        (10, {"sd": 0.015 * (LB * 1000)}, "Weigh the rear axle"),
        (10, {"measure": "pressure"}, "Weigh the rear axle"),
    ],
)
def test_what_was_weighed_is_not_weighed_again(half: float, more: Any, told: str) -> None:
    """1,005 lb on 1,000: 5 over and the spread besides, where 1.96 of 1.5 % of the rating, 29.4
    lb, is no less than the spread; a pressure is no weight to take off."""
    one = pounds(1005, 1000, half, verdict="cannot tell", chance=0.45, **more)
    assert told in unsure(one, weighed(one), "us")
    assert "Weigh the rear axle" in unsure(one, answer_of(one), "us")


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("vehicle.front.gawr", "front"),
        ("vehicle.rear.gawr", "rear"),
        ("vehicle.gvwr", "vehicle"),
        ("trailer.axles.gawr", "axles"),
        ("trailer.gvwr", "trailer"),
        ("places.bed.limit", "place"),
        ("hitch.ball.tongue", "tongue"),
        ("gcwr", "tongue"),
    ],
)
def test_what_goes_on_the_scale(name: str, key: str) -> None:
    """The narrowest part that the limit is about."""
    assert settling(limit(1, 2, name=name))[0] == key


@pytest.mark.parametrize(
    ("kind", "name", "told"),
    [
        ("towing", "vehicle.tow_rating_unbraked", "the whole trailer on a platform scale"),
        ("part's trailer", "hitch.receiver.trailer", "the whole trailer on a platform scale"),
        ("part's tongue", "hitch.receiver.tongue", "the tongue, with a hitch or tongue scale"),
        ("combined weight", "vehicle.gcwr", "vehicle and trailer on a platform scale, hitched"),
    ],
)
def test_the_body_that_a_rating_binds_is_weighed(kind: str, name: str, told: str) -> None:
    """The manual's tow rating binds the trailer, not the vehicle whose manual it is; the combined
    one both: the ratings' own definitions."""
    assert settling(limit(1, 2, kind=kind, name=name))[1] == told


TIGHT = pounds(960, 1000, 40, verdict="tight", chance=0.03)
UNRATED = pounds(1, NONE, verdict="unknown", title="hitch ball", chance=NONE, margin=NONE)


@pytest.mark.parametrize(
    ("limits", "more", "says", "leaves"),
    [
        (
            (TIGHT,),
            {},
            "◐ tight: at “Going out” what decides is rear axle 40 lb under",
            "not known",
        ),
        ((TIGHT, UNRATED), {}, "◐ tight: at “Going out”", ""),
        ((TIGHT, UNRATED), {}, "1 rating is not known", "ratings are"),
        ((TIGHT, UNRATED, UNRATED), {}, "2 ratings are not known", "1 rating"),
        ((UNRATED,), {}, "1 rating is not known, so nothing can be called within.", "decides"),
        ((TIGHT,), {"stage": {"chance": 0.05}}, "(3.0 % chance of not holding, 5.0 % that", ""),
        ((TIGHT,), {"stage": {"chance": 0.0395}}, "(3.0 % chance of not holding).", "that some"),
        ((TIGHT,), {"stage": {"chance": 0.0405}}, ", 4.0 % that some limit does not)", ""),
        ((OPEN,), {}, "Likely over: do not tow", ""),
        ((OPEN,), {"stage": {"chance": 0.9}}, "(60 % chance of not holding).", "that some"),
        ((TIGHT,), {"tight": 0.0305}, "chance of not holding", ""),
    ],
)
def test_the_answer_in_one_sentence(limits: Any, more: Any, says: str, leaves: str) -> None:
    """What decides, its room and chance; the chance of some other limit where it is a point more
    and the deciding one forbids nothing by itself; how many ratings are not known."""
    said = verdict_line(answer_of(*limits, **more), "us")
    assert says in said
    assert not leaves or leaves not in said


def test_nobody_aboard_is_why_nothing_is_within() -> None:
    """The verdict is unknown with every rating known: the reason is who rides, and the room told is
    of what is known; with a rating missing that is the reason."""
    held = replace(TIGHT, verdict="within", chance=0.0)
    said = verdict_line(answer_of(held, missing=("people",)), "us")
    assert said.startswith("? unknown: nobody is listed aboard. Of what is known, least room at")
    assert "40 lb under its 1,000 lb rating (under 0.1 % chance of not holding)" in said
    unrated = verdict_line(answer_of(held, UNRATED), "us")
    assert unrated.startswith("? unknown: 1 rating is not known. Of what is known")
    (asked,) = (Fault(due="a weight", found="9 lb", path=("items", one), asks=True) for one in "a")
    said = verdict_line(answer_of(held, UNRATED, questions=(asked,)), "us")
    assert "1 rating is not known (asked about: items.a). Of" in said
    assert "(asked about: " in verdict_line(answer_of(UNRATED, questions=(asked,)), "us")


def test_a_question_as_each_door_asks_it() -> None:
    """A file is told of its key and of `sure`; a page, which has a tick, of neither."""
    asked = Fault(due="a weight", found="9 lb", path=("items", "cot", "weight"), asks=True)
    assert "sure = true" in question_lines([asked])[0]
    assert asked_line(asked) == "Is that right? cot weight: expected a weight, found 9 lb."
    swapped = Fault(path=("passes", "bars off"), due="a weight", found="9 lb", asks=True)
    assert asked_line(swapped) == "Is that right? bars off: expected a weight, found 9 lb."


def with_unlisted(**more: Any) -> Any:
    """An answer that reckons with what nobody listed, 100 lb in the vehicle and 200 in the
    trailer."""
    base = bare().estimate
    known = {**base.at_mean(), "vehicle.unlisted": 100 * LB, "trailer.unlisted": 200 * LB}

    class Reckoned:
        memory = more.pop("memory", None)

        def at_mean(self) -> Any:
            return known

    return answer_of(TIGHT, estimate=Reckoned(), **more)


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({}, "Not listed, perhaps: 100 lb in the vehicle, 200 lb in the trailer. List"),
        (
            {"missing": ("cargo in the trailer",)},
            (
                "Not listed: cargo in the trailer. Reckoned with: 100 lb in the vehicle, 200 lb"
                " in the trailer. List what rides along, or say that everything is listed."
            ),
        ),
        ({"missing": ("people",)}, "Not listed: people, so a driver alone is assumed. Reckoned"),
        (
            {"stage": {"unlisted": frozenset({TIGHT.name})}},
            (
                "Not listed, perhaps: 100 lb in the vehicle, 200 lb in the trailer. Only this"
                " tips the verdict. List"
            ),
        ),
        ({"missing": ("people",), "memory": WEIGHED}, "Not listed: people, so a driver alone is "),
        ({"memory": WEIGHED, "stage": {"unlisted": frozenset({TIGHT.name})}}, None),
    ],
)
def test_what_is_reckoned_with_that_nobody_listed(more: Any, told: str | None) -> None:
    """Said where something is missing or a limit is pressed, and not of what was weighed, which
    holds whatever rode along."""
    said = missing_line(with_unlisted(**more), "us")
    assert (said or "").startswith(told or "")
    assert (said is None) is (told is None)
    assert said is None or ("Only this tips" in said) is ("stage" in more)
    assert said is None or ("Reckoned" in said or "perhaps" in said) is ("memory" not in more)


BAND: Any = {"measure": "share", "name": "tongue.share", "title": "tongue share"}


@pytest.mark.parametrize(
    ("one", "spoken", "brief"),
    [
        (
            pounds(892, 1000, 30),
            "Closest: rear axle, 892 ± 30 of 1,000 lb. 108 lb to spare.",
            "rear axle, 108 lb to spare",
        ),
        (
            pounds(970, 1000, verdict="tight"),
            "Closest: rear axle, 970 of 1,000 lb. 30 lb to spare.",
            "rear axle, 30 lb to spare",
        ),
        (
            limit(IN, 2 * IN, measure="length"),
            "Closest: rear axle, 1.00 in under its 2.00 in rating.",
            "rear axle",
        ),
        (
            limit(0.123, 0.1, 0.01, side="under", **BAND),
            "Closest: tongue share, 12.3 ± 1.0 %, at least 10.0 %. 2.3 points to spare.",
            "tongue share, 2.3 points to spare",
        ),
        (
            limit(0.123, 0.15, 0.01, **BAND),
            "Closest: tongue share, 12.3 ± 1.0 %, at most 15.0 %. 2.7 points to spare.",
            "tongue share, 2.7 points to spare",
        ),
        (
            limit(0.123, 0.15, **BAND),
            "Closest: tongue share, 12.3 %, at most 15.0 %. 2.7 points to spare.",
            "tongue share, 2.7 points to spare",
        ),
        (
            pounds(1100, 1000, 20, verdict="exceeded", title="coupler: tongue"),
            "Coupler: tongue, 1,100 ± 20 lb, 100 lb over its 1,000 lb rating.",
            "coupler: tongue, 100 lb over",
        ),
        (
            pounds(1100, 1000, 20, verdict="exceeded"),
            "Rear axle: 1,100 ± 20 lb, 100 lb over its 1,000 lb rating.",
            "rear axle, 100 lb over",
        ),
        (
            limit(0.09, 0.1, side="under", verdict="exceeded", **BAND),
            "Tongue share: 9.0 %, 1.0 points below the floor of 10.0 %.",
            "tongue share",
        ),
        (
            pounds(NONE, 1000, verdict="exceeded", margin=-NEVER),
            "Rear axle: in most of what may be, the trailer would tip over its axles.",
            "rear axle",
        ),
        (
            limit(1, 0, verdict="exceeded", measure="fitted"),
            "Rear axle: fitted, and they must not be.",
            "rear axle",
        ),
        (replace(OPEN, chance=0.61), "Rear axle: 1,010 ± 100 of 1,000 lb. Over or under: 61 %", ""),
        (replace(OPEN, chance=0.6), "Over or under: about even.", "rear axle"),
        (replace(OPEN, chance=0.4), "Over or under: about even.", "rear axle"),
        (replace(OPEN, chance=0.39), "Over or under: 39 % chance over.", "rear axle"),
        (
            limit(0.1, 0.1, 0.01, side="under", verdict="cannot tell", chance=0.7, **BAND),
            "Tongue share: 10.0 ± 1.0 %, at least 10.0 %. Below or not: 70 % chance below.",
            "tongue share",
        ),
        (
            limit(0.1, 0.1, 0.1, verdict="cannot tell", chance=0.5, aside=0.1, **BAND),
            "Over or under: 40 % above, 10 % below the band.",
            "tongue share",
        ),
        (
            limit(0.1, 0.1, 0.1, verdict="cannot tell", chance=0.5, aside=0.09, **BAND),
            "Over or under: about even.",
            "tongue share",
        ),
        (
            replace(UNRATED, value=500 * LB, sd=10 * LB / 1.96),
            "A rating is missing: hitch ball. There is nothing to hold 500 ± 10 lb against.",
            "hitch ball has no rating",
        ),
        (
            replace(UNRATED, value=NONE),
            "There is nothing to hold it against.",
            "hitch ball has no rating",
        ),
    ],
)
def test_the_headline_of_one_limit(one: LimitStatus, spoken: str, brief: str) -> None:
    """Its reason and the same in a few words, by verdict, measure and side."""
    said = headline(answer_of(one), "us")
    assert spoken in said.spoken
    assert said.brief == (brief or "rear axle")
    assert said.decides == one.name
    assert said.word == ("not known" if one.verdict == "unknown" else one.verdict)


ASKED = Fault(due="a", path=("items", "cot", "weight"), asks=True)


@pytest.mark.parametrize(
    ("limits", "more", "spoken", "brief"),
    [
        (
            (pounds(1, 2),),
            {"missing": ("people",)},
            "Nobody is listed aboard: the loads are those of a driver alone, and nothing",
            "nobody is listed aboard",
        ),
        (
            (UNRATED,),
            {"questions": (ASKED,)},
            "Cot weight is asked about: nothing that rests on it is called within.",
            "cot weight is asked about",
        ),
        ((), {}, "No rating is known.", "no rating is known"),
    ],
)
def test_the_headline_where_nothing_decides(
    limits: Any, more: Any, spoken: str, brief: str
) -> None:
    """Who rides along, what is asked about, or that no rating is known."""
    said = headline(answer_of(*limits, **more), "us")
    assert said.spoken.startswith(spoken)
    assert (said.brief, said.decides) == (brief, "")


@pytest.mark.parametrize(
    ("found", "told"),
    [
        (answer_of(pounds(892, 1000)), ["rear axle", "108 lb to spare."]),
        (answer_of(limit(IN, 2 * IN, measure="length")), ["rear axle"]),
        (answer_of(pounds(1100, 1000, verdict="exceeded")), ["Rear axle", "100 lb over"]),
        (
            answer_of(limit(0.09, 0.1, side="under", verdict="exceeded", **BAND)),
            ["Tongue share", "1.0 points below the floor of 10.0 %."],
        ),
        (answer_of(limit(1, 0, verdict="exceeded", measure="fitted")), ["Rear axle"]),
        (answer_of(pounds(NONE, 1, verdict="exceeded", margin=-NEVER)), ["Rear axle"]),
        (answer_of(OPEN), ["Rear axle"]),
        (answer_of(UNRATED), ["hitch ball"]),
        (answer_of(), ["No rating is known."]),
        (answer_of(UNRATED, questions=(ASKED,)), ["Cot weight"]),
        (answer_of(missing=("people",)), ["Nobody is listed aboard"]),
    ],
)
def test_what_is_seen_from_two_metres_away(found: Any, told: list[str]) -> None:
    """What it is about, and the number that decides."""
    assert [text for text, strong in headline(found, "us").reason if strong] == told


def test_the_first_missing_rating_is_named() -> None:
    """That of the coupling, of several."""
    ball = replace(UNRATED, title="coupler", name="hitch.coupler.tongue", chain=True)
    assert headline(answer_of(UNRATED, ball, UNRATED), "us").decides == ball.name


def test_readings_in_doubt_are_said_first() -> None:
    """What is doubted stands out; nothing is called within on it, and what is graver stays so. An
    abbreviation keeps its capitals within a sentence, an article does not."""
    doubted = headline(answer_of(pounds(1, 2)), "us", doubt="GVW does not add up")
    assert doubted.word == "not known"
    assert doubted.reason == (
        ("GVW does not add up", True),
        (": nothing that rests on them is called within.", False),
    )
    assert doubted.brief == "GVW does not add up"
    assert (doubted.step.kind, doubted.step.about) == ("weigh", "readings")
    over = headline(answer_of(pounds(3, 2, verdict="exceeded")), "us", doubt="They differ")
    assert over.word == "exceeded"
    assert over.step.words == "They differ: look at them before trusting this."
    assert headline(answer_of(OPEN), "us", doubt="A pass differs").word == "cannot tell"
    assert headline(answer_of(TIGHT), "us", doubt="A pass differs").brief == "a pass differs"


@pytest.mark.parametrize(
    ("one", "asked"),
    [
        (pounds(3, 2, verdict="exceeded"), True),
        (TIGHT, True),
        (OPEN, False),
        (pounds(1, 2), False),
        (replace(TIGHT, measure="pressure"), False),
    ],
)
def test_moves_are_sought_where_they_may_mend(one: LimitStatus, *, asked: bool) -> None:
    """Of what is exceeded by weight or is tight; nobody can tell whether the rest wants mending."""
    sought = []
    headline(answer_of(one), "us", mends=lambda: sought.append(1))
    assert bool(sought) is asked


def test_only_what_nobody_listed_tips_it() -> None:
    """It is said of the limit it tips, and not where the step says it already or of another."""
    said = "Only what nobody listed tips it."
    tips = {"unlisted": frozenset({OPEN.name})}
    over = pounds(1100, 1000, verdict="exceeded", name="vehicle.front.gawr")
    assert said not in headline(answer_of(OPEN, stage=tips), "us").spoken
    assert said not in headline(answer_of(OPEN, over, stage=tips), "us").spoken
    both = {"unlisted": frozenset({OPEN.name, over.name})}
    assert said not in headline(answer_of(over, stage={"unlisted": frozenset()}), "us").spoken
    doubted = headline(answer_of(over, stage=both), "us", doubt="The readings do not agree")
    assert (f" {said}", False) == doubted.reason[-1]


def test_what_presses_is_told_the_gravest_first() -> None:
    """Of one verdict the one with the least room; no note, and nothing that is within."""
    over, close = (pounds(n, 1000, 10, verdict="exceeded", name=str(n)) for n in (1100, 1200))
    told = (TIGHT, over, pounds(1, 2), OPEN, close, replace(OPEN, note=True), UNRATED)
    assert pressing(stage_of(*told)) == (close, over, OPEN, TIGHT)


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (pounds(500, 1000, 10), "500 ± 10 lb"),
        (pounds(500, 1000), "500 lb"),
        (pounds(500, 1000, sd=NEVER), "500 lb"),
        (limit(0.1, 0.2, 0.01, measure="share"), "10.0 ± 1.0 %"),
        (limit(0.1, 0.2, measure="share", sd=NEVER), "10.0 %"),
        (limit(12500.0, 2e4, 100.0, measure="force"), "12.50 kN"),
        (limit(NONE, 2, verdict="unknown"), "it"),
        (limit(NONE, 2, verdict="exceeded"), "?"),
    ],
)
def test_what_a_limit_is_held_against(one: LimitStatus, told: str) -> None:
    """With its spread where it has one that is known."""
    assert load(one, "us") == told


def test_what_nobody_listed_is_told_of_a_weight_that_is_over() -> None:
    """A caravan of 1,310 kg with 111 kg listed is 1,421 kg: that its file answers 1,600 kg and more
    on a plate of 1,500 kg is what nobody listed, and is said."""
    found = assess(parse_rig(CARAVAN))
    (limit,) = (one for one in found.worst_stage.limits if one.name == "trailer.gvwr")
    assert limit.value > 1500 > 1310 + 111
    assert "in the trailer. List what rides along" in (missing_line(found, "metric") or "")


CARAVAN = """
format = 1
region = "europe"
[vehicle]
class = "mid-size-suv"
[trailer]
style = "centre-axle-caravan"
gvwr = "1500 kg"
empty.weight = { value = "1310 kg", kind = "running-order" }
[places.boot]
on = "vehicle"
station = "3.4 m"
[places.locker]
station = "4 m"
[items.awning]
weight = "111 kg"
place = "locker"
[items.crate]
weight = "38 kg"
place = "boot"
[people.Ada]
seat = "driver"
"""
