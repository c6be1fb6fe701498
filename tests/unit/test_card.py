"""The card as printed: sizes, words, codes and pages, read back by other hands."""

import re
from dataclasses import replace
from datetime import date
from functools import cache
from typing import Final

import pytest
from tests.cards import codes, letters, pages, text

from steelyard.assessment import assess
from steelyard.cards import Content, Paper, as_html, as_pdf, card, unpacked
from steelyard.cards.card_tables import axle_title
from steelyard.cards.codes import MODULE, Packed, drawn
from steelyard.cards.content import code_words
from steelyard.cards.result import Section
from steelyard.cards.tyres import Pressure, to_run, together
from steelyard.cards.walk import walk
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.rig import Rig
from steelyard.words.headline import headline

SIZES: Final[dict[Paper, tuple[float, float]]] = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
"""mm: ANSI Y14.1 size A; ISO 216 A4."""
HOSTILE: Final = (
    '#let x = 1 $x^2$ *b* _i_ `c` @ref <lab> // "q" \\ [x]',
    "<script>alert(1)</script> {{ 7*7 }} {% raw %} &amp; 'x'",
    "😀🚚 שלום עולם مرحبا 漢字 ‮turned",
    "long " * 40,
    "W" * 200,
)
CROWDED: Final = """
format = 1
name = "Crowded rig of the whole club with everything they own"
region = "europe"
speed = "130 km/h"
[vehicle]
class = "one-ton-dual-rear-wheel"
gvwr = "3500 kg"
[hitch.bars]
rating = "700 kg"
[trailer]
style = "rear-living"
gvwr = "3500 kg"
[trailer.empty]
weight = "1800 kg"
[trailer.axles]
count = 3
[trailer.tanks.fresh]
content = "fresh"
capacity = "100 L"
station = "4 m"
"""


def demo(name: str) -> Rig:
    """One of the example rigs."""
    return parse_rig(demo_rigs()[f"perihelion-{name}.toml"])


def crowded() -> Rig:
    """60 items in 30 places, 12 stages, all with long names."""
    body = CROWDED
    for i in range(30):
        body += (
            f'[places."place number {i} in the far corner"]\nstation = "{2 + i / 10} m"\n'
            f'capacity = "{70 + i} kg"\n'
        )
    for i in range(60):
        body += (
            f'[items."thing number {i} of a very long name indeed"]\nweight = "{i / 4 + 1} kg"\n'
            f'place = "place number {i % 30} in the far corner"\n'
        )
    for i in range(12):
        body += f'[stages.s{i}]\ntitle = "stage {i}, of a name longer than one line of it"\n'
        body += f'tanks = {{ fresh = "{8 * i} %" }}\n'
    return parse_rig(body)


@pytest.fixture(scope="module")
def camper() -> Content:
    """The camper's card."""
    return card(demo("camper"), today=date(2026, 7, 1))


@cache
def rig_and_card(name: str) -> tuple[Rig, Content]:
    """An example rig or the crowded one, with its card."""
    rig = crowded() if name == "crowded" else demo(name)
    return rig, card(rig)


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("name", ["camper", "observatory", "tractor", "crowded"])
def test_two_pages_of_the_exact_size_with_the_rig_in_them(name: str, paper: Paper) -> None:
    """Two pages of Letter or A4; the codes, seen at 300 dpi, hold an equal rig."""
    rig, content = rig_and_card(name)
    pdf = as_pdf(content, paper)
    assert len(pages(pdf)) == 2
    for found in pages(pdf):
        assert found == pytest.approx(SIZES[paper], abs=0.05)
    seen = codes(pdf)
    assert len(seen) == len(content.codes) >= 1
    assert parse_rig(unpacked(one.text for one in seen)) == rig
    for one in content.codes:
        assert one.module >= MODULE[0] - 1e-9


def test_modules_are_printed_as_large_as_told(camper: Content) -> None:
    """The code's corners on the raster, over its modules without quiet zone: at least 0.4 mm."""
    (code,) = codes(as_pdf(camper), dpi=600)
    corners = code.position
    side = (corners.top_right.x - corners.top_left.x) * 25.4 / 600
    modules = camper.codes[0].modules - 8
    assert side / modules == pytest.approx(camper.codes[0].module, rel=0.01)
    assert side / modules >= 0.4


@pytest.mark.parametrize("paper", SIZES)
@pytest.mark.parametrize("name", ["camper", "observatory", "tractor"])
def test_the_front_is_read_at_arms_length(name: str, paper: Paper) -> None:
    """Ink of every digit on the front is 8 mm high or more, of every capital 3.5 mm or more; the
    date and the notch's own number, which is read beside it, apart."""
    found = letters(as_pdf(replace(rig_and_card(name)[1], day="", notch=""), paper), 0)
    digits = [one for one in found if one.letter in "0123456789"]
    capitals = [one for one in found if one.letter in "BDEFHILMNPRTXZ"]
    assert len(digits) > 30
    assert len(capitals) >= 5
    assert min(one.height for one in digits) >= 8.0
    assert min(one.height for one in capitals) >= 3.5


def test_paper_and_page_say_the_same(camper: Content) -> None:
    """Every word of the content stands in the PDF, and in the HTML."""
    pdf = as_pdf(camper)
    printed = _letters(text(pdf, 0) + text(pdf, 1))
    shown = _letters(
        re.sub(r"<svg.*?</svg>|<style.*?</style>|<[^>]*>", " ", as_html(camper), flags=re.DOTALL)
    )
    for words in _words(camper):
        assert _letters(words) in printed
        assert _letters(words) in shown


def _letters(words: str) -> str:
    """Letters and digits only: lines may break where they like."""
    import html

    return "".join(c for c in html.unescape(words) if c.isalnum())


def _words(content: Content) -> list[str]:
    sections: tuple[Section, ...] = (*content.notes, content.walk, content.swaying)
    said = [content.name, content.parts, content.word, content.do, content.sentence]
    said += ["".join(text for text, _ in content.reason), content.made, *content.cautions]
    said += [x for s in sections for x in (s.title, *s.lines, s.more, s.source)]
    said += [x for t in (content.limits, content.trip, content.tyres) for r in t.rows for x in r]
    said += [x for one in (*content.loads, *content.pressures) for x in (one.title, one.number)]
    return said


def test_names_date_and_doubts_stand_on_the_front() -> None:
    """Owner, adviser and day where they are told, lines to sign always; what does not agree is
    said before the loads; no command and no dotted key anywhere on the card."""
    day = date(2031, 5, 7)
    bare = card(demo("tractor"), today=day)
    named = card(
        demo("tractor"),
        owner="Milo <b>Reyes",
        adviser="Ada",
        doubts=("They differ.",),
        doubt="Doubtful",
        today=day,
    )
    front = text(as_pdf(named), 0)
    for words in ("owner Milo <b>Reyes", "adviser: Ada", "7 May 2031", "They differ."):
        assert words in front
    assert front.index("They differ.") < front.index("Loads in")
    assert named.verdict == "unknown"
    assert named.reason[0] == ("Doubtful", True)
    assert "read and understood" in text(as_pdf(bare), 0)
    assert "<b>Reyes" not in as_html(named)
    whole = " ".join(_words(bare)) + bare.code_words
    assert not re.search(r"steelyard [a-z]+ |--[a-z]|\b(vehicle|trailer|hitch)\.[a-z]", whole)


def test_the_card_has_the_pages_headline(camper: Content) -> None:
    """Word, reason and thing to do are `headline`'s, for page and card alike."""
    found = assess(demo("camper"))
    first = headline(found, "us")
    assert (camper.word, camper.verdict) == (first.word, first.verdict)
    assert "".join(words for words, _ in camper.reason) == first.spoken
    assert camper.do == first.step.words


@pytest.mark.parametrize("hostile", HOSTILE)
def test_hostile_words_are_words(camper: Content, hostile: str) -> None:
    """Markup, quotes, emoji, right-to-left and 200 letters are set as text, on two pages."""
    line = replace(camper.walk, lines=(hostile, *camper.walk.lines[:5]))
    trip = replace(camper.trip, rows=((hostile, "1 %", "2 lb", "?"), *camper.trip.rows))
    bad = replace(
        camper, name=hostile, parts=hostile, sentence=hostile, stage=hostile, walk=line, trip=trip
    )
    pdf = as_pdf(bad)
    assert len(pages(pdf)) == 2
    if hostile.isascii():
        assert _letters(hostile) in _letters(text(pdf, 1))
    page = as_html(bad)
    assert "<script>alert" not in page
    assert "49" not in re.findall(r"<h1>(.*?)</h1>", page)[0]


def test_nothing_is_cut_in_silence() -> None:
    """A rig of 60 items and 12 stages: what is left out is counted, the worst stage kept."""
    _, content = rig_and_card("crowded")
    assert re.fullmatch(r"… and \d+ more.*", content.limits.more)
    assert content.trip.more == "… and 5 more in the file"
    assert len(content.trip.rows) == 7
    assert any(row[0].startswith("→ ") for row in content.trip.rows)
    pdf = as_pdf(content)
    assert "… and 5 more in the file" in text(pdf, 1)
    assert _letters(content.made) in _letters(text(pdf, 1))
    assert _letters(content.notes[-1].more) in _letters(text(pdf, 1))


@pytest.mark.parametrize("count", [0, 2, 3])
def test_several_codes_or_none_fit_the_back(camper: Content, count: int) -> None:
    """Three codes side by side are read; with none the whole fingerprint stands there in print."""
    bundle = Packed(codes=("SYC1:1/3:0:" + "A1 $" * 560,) * count, fingerprint="ab" * 32, needed=9)
    made = drawn(bundle)
    bare = replace(camper, codes=made, code_words=code_words(bundle, made))
    pdf = as_pdf(bare)
    assert len(pages(pdf)) == 2
    assert [one.text for one in codes(pdf)] == list(bundle.codes)
    assert all(one.module >= MODULE[0] - 1e-9 for one in made)
    assert count or "ab" * 32 in _letters(text(pdf, 1))


def test_an_assessment_is_not_worked_out_again() -> None:
    """With the assessment at hand the card is the same as without."""
    rig = demo("observatory")
    day = date(2026, 7, 1)
    assert card(rig, found=assess(rig), today=day) == card(rig, today=day)


def test_the_list_is_fitted_to_the_rig() -> None:
    """No spring bars, awning or chains to look at on a rig that has none."""
    camper = " ".join(rig_and_card("camper")[1].walk.lines)
    tractor = " ".join(rig_and_card("tractor")[1].walk.lines)
    for word in ("Spring bars", "awning", "Gas", "Chains crossed"):
        assert word in camper
        assert word not in tractor
    assert "tied down" in tractor


@pytest.mark.parametrize(
    ("name", "said", "unsaid"),
    [
        ("camper", "set them until it stands", "They carry"),
        ("observatory", "Spring bars may be due", "Exactly level"),
        ("tractor", "Exactly level", "They carry"),
    ],
)
def test_the_hitch_set_up_is_what_is_still_to_do(name: str, said: str, unsaid: str) -> None:
    """Bars that are on are to be set by the fenders; those that may be due are to be bought, by
    what they carry; where none are due it is the ball that is to stand level."""
    told = " ".join(next(n for n in rig_and_card(name)[1].notes if n.title == "Hitch set-up").lines)
    assert said in told
    assert unsaid not in told


def test_brakes_on_the_back() -> None:
    """No brakes, or none stated, is said beside how hard the trailer pushes; a pin is no ball."""
    rig = demo("tractor")
    notes = {}
    for brakes in (True, None, False):
        trailer = rig.trailer.model_copy(update={"brakes": brakes})
        made = card(rig.model_copy(update={"trailer": trailer}))
        notes[brakes] = " ".join(next(n for n in made.notes if "Brakes" in n.title).lines)
    assert "with trailer brakes" in notes[True]
    assert "unknown: trailer brakes. To know:" in notes[None]
    assert "(trailer." not in notes[None]
    assert "which has no brakes, pushes" in notes[False]
    assert "unknown: a trailer without brakes" in notes[False]
    pin = {"vehicle": {"class": "three-quarter-ton"}, "trailer": {"style": "fifth-wheel"}}
    pin["trailer"]["empty"] = {"weight": "9000 lb"}  # type: ignore[assignment]
    assert "on the pin" in card(Rig.model_validate(pin)).trip.head


def test_trailer_axles_by_name() -> None:
    """One axle needs no number, of two each has its own, of three the heaviest speaks."""
    told = [[axle_title(f"trailer {n}", axles) for n in range(1, axles + 1)] for axles in (1, 2, 3)]
    assert told[0] == ["trailer axle"]
    assert told[1] == ["first trailer axle", "second trailer axle"]
    assert {*told[2]} == {"heaviest trailer axle"}


def test_one_number_for_axles_that_differ() -> None:
    """Printed for all axles of the trailer, it is above no sidewall, and hides no soft tyre."""
    psi = 6894.757

    def axle(asked: float | None, most: float, now: float) -> Pressure:
        return Pressure(
            title="trailer 1",
            load=700.0,
            pressure=None if asked is None else asked * psi,
            placard=False,
            now=now * psi,
            most=most * psi,
            why="",
        )

    small, large = axle(50, 50, 50), axle(80, 80, 80)
    assert together((small, large), "us") == ("?", "see the back")
    assert together((large, large), "us") == to_run(large, "us")
    enough, soft = axle(30, 80, 65), axle(35, 80, 30)
    assert to_run(soft, "us")[1] == "too low now: raise"
    assert together((enough, soft), "us") == ("65", "axles differ: back")
    assert together((enough, axle(None, 80, 65)), "us")[0] == "?"


@pytest.mark.parametrize(
    ("brakes", "breakaway", "due"),
    [(None, None, True), (True, None, True), (False, None, False), (True, False, False)],
)
def test_a_breakaway_is_looked_at_where_there_may_be_one(
    brakes: bool | None, breakaway: bool | None, due: bool
) -> None:
    """It works the trailer's own brakes: without these, or without it, there is no cable."""
    rig = demo("camper")
    told = {"brakes": brakes, "breakaway": breakaway}
    lines = walk(rig.model_copy(update={"trailer": rig.trailer.model_copy(update=told)})).lines
    assert any("Breakaway" in line for line in lines) == due
