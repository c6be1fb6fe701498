"""The trade's words: each rig of region and coupling is told in its own, and in no other's."""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from tests.trades import COUNTRIES, HOOKS, rig_of, text_of

from steelyard.cards import card
from steelyard.cli import main
from steelyard.quantity import Dimension, shown
from steelyard.web.look import Look
from steelyard.web.page import part, templates, whole
from steelyard.web.sections import SECTIONS, TOP, WALK
from steelyard.web.session import Session
from steelyard.web.state import State
from steelyard.words.trade import Trade, terms, trade_of, units_of

pytestmark = pytest.mark.usefixtures("few_draws")

NEVER = (
    "standing",
    "wagging",
    "folding",
    "no road speed",
    "statics pass the plan",
    "chances in 100",
    r"chance in \d",
    "GTW",
    "nose-high",
)
"""Words of the model, not of the trade: in no answer at all. `GTW` alone could be two things."""
FOREIGN = {
    "us": (
        "tyre",
        "grey",
        "noseweight",
        "MTPLM",
        "MAM",
        "ATM",
        "GTM",
        "GVM",
        "GCM",
        "snak",
        "kerb",
        "jockey",
        "nearside",
        "headboard",
        r"N·m",
        "kPa",
        r"\d km/h",
        r"\d mm\b",
        "equaliser",
        "overrun",
        "centre",
    ),
    "uk": (
        "tire",
        "gray",
        "tongue",
        "GVWR",
        "GAWR",
        "GCWR",
        "ATM",
        "GTM",
        "GVM",
        "GCM",
        "sway",
        "curb",
        "fender",
        r"\d lb",
        r"\binch",
        r"\d in\b",
        "lbf",
        r"\d psi \(",
        "surge",
        "km/h",
        "kPa",
    ),
    "continent": (
        "tire",
        "gray",
        "tongue",
        "GVWR",
        "GAWR",
        "GCWR",
        "ATM",
        "GTM",
        "GVM",
        "GCM",
        "MTPLM",
        "MAM",
        "noseweight",
        "sway",
        "curb",
        "fender",
        r"\d lb",
        r"\binch",
        r"\d in\b",
        "lbf",
        "mph",
        "psi",
        "kPa",
        "surge",
        "nearside",
    ),
    "australia": (
        "tire",
        "gray",
        "tongue",
        "GVWR",
        "GAWR",
        "GCWR",
        "MTPLM",
        "MAM",
        "noseweight",
        "curb",
        "fender",
        r"\d lb",
        r"\binch",
        r"\d in\b",
        "lbf",
        "mph",
        "psi",
        "surge",
        "snak",
        "nearside",
    ),
    "new-zealand": (
        "tire",
        "gray",
        "tongue",
        "GVWR",
        "GAWR",
        "GCWR",
        "MTPLM",
        "MAM",
        "ATM",
        "GTM",
        "noseweight",
        "curb",
        "fender",
        r"\d lb",
        r"\binch",
        r"\d in\b",
        "lbf",
        "mph",
        "psi",
        "surge",
        "snak",
        "nearside",
    ),
}
"""Words and units of other regions, which no answer for this one may have."""
OF_PINS = ("the ball", "ball mount", "bars off", "on the ball", "tongue", "spring bars off")
OF_HOOKS = (r"[Bb]alls?\b", "[Cc]oupler")
"""What no pintle hook or drawbar coupling has."""
RIGS = (
    *((words, one) for words in COUNTRIES for one in ("ball", "bars")),
    *((words, "fifth-wheel") for words in ("us", "continent", "australia")),
    *((words, "gooseneck") for words in ("uk", "new-zealand")),
    *HOOKS,
)
"""Every region with a ball; a pin is called alike in all but one, a gooseneck in all."""
OUR_OWN = (r"steelyard sway", r"rig\.toml", r"(?<![\w.])[a-z][a-z_-]*(?:\.[a-z0-9_-]+)+")
"""The names of our own commands, files and keys, which are the same everywhere."""

COMMANDS = (
    "check --all",
    "ledger",
    "check",
    "check --short",
    "road",
    "road --rules --all",
    "fit",
    "fit --all",
    "sway",
    "sway --all",
    "trip",
    "weigh --next",
    "stow --seconds 0.2",
    "move dome --to room",
)


def faults(text: str, words: str, coupling: str) -> list[str]:
    """Every word in a text that its rig may not read, with what stands about it."""
    names = [*OUR_OWN, *(rf"\b{tank}\b" for tank in rig_of(words, coupling).trailer.tanks)]
    for one in names:
        text = re.sub(one, "", text)
    text = " ".join(text.split())
    never = (*NEVER, *FOREIGN[words])
    if coupling in ("fifth-wheel", "gooseneck"):
        never += OF_PINS
    if coupling in ("pintle", "drawbar"):
        never += OF_HOOKS
    if coupling != "bars":
        never += ("bars off",)
    return [
        f"{words}, {coupling}: {one!r} in …{text[max(m.start() - 40, 0) : m.end() + 30]}…"
        for one in never
        for m in re.finditer(rf"(?<![\w]){one}" if one[0].isalpha() else one, text)
    ]


@pytest.mark.parametrize(("words", "coupling"), RIGS)
def test_every_command_speaks_the_trade_of_its_rig(
    words: str, coupling: str, tmp_path: Path
) -> None:
    """Region by coupling, what each command prints has no word of another region or coupling."""
    path = tmp_path / "rig.toml"
    path.write_text(text_of(words, coupling), encoding="utf-8")
    found = []
    for command in COMMANDS:
        name, *more = command.split()
        if name == "move" and coupling == "bars":
            more = ["bikes", "--to", "lounge"]
        result = CliRunner().invoke(main, [name, str(path), *more])
        assert result.exit_code in (0, 1, 3), f"{command}: {result.output}"
        found += [f"{command}: {one}" for one in faults(result.output, words, coupling)]
    assert not found, "\n".join(found)


OF_NO_RIG = {"enter.html", "fault.html", "start.html"}
WITHIN = (
    "difference",
    "field",
    "foot",
    "frame",
    "label",
    "list",
    "opens",
    "place",
    "rides",
    "stop",
    "walk",
)
WITHIN_OTHERS = {f"{name}.html" for name in WITHIN}
"""Templates before a rig is there, and those that the ones shown here take in."""


@pytest.mark.parametrize(("words", "coupling"), RIGS)
def test_every_template_of_the_page_speaks_it_too(words: str, coupling: str) -> None:
    """Every section of the page, with what a screen reader says, and the card."""
    text = text_of(words, coupling)
    session = Session(State(data=tomllib.loads(text)), text, None, "rig.toml", None)
    seen, look = session.seen(), Look(open=tuple(one.name for one in SECTIONS))
    shown = {"page": whole(seen, look), "card": " ".join(texts(card(rig_of(words, coupling))))}
    for section in (*TOP, *SECTIONS):
        shown[section.name] = part(section, seen, look)
    drawn = (*TOP, *SECTIONS, *WALK)
    templates_seen = {f"{one.template or one.name}.html" for one in drawn} | {"page.html"}
    unseen = set(templates().list_templates()) - templates_seen - OF_NO_RIG - WITHIN_OTHERS
    assert {name for name in unseen if not name.startswith("book")} == set()
    found = [
        f"{name}: {one}"
        for name, html in shown.items()
        for one in faults(read(html), words, coupling)
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(("words", "coupling"), RIGS)
def test_every_stop_of_the_walk_speaks_it_too(words: str, coupling: str) -> None:
    """In words: its labels show both units, and where it begins all regions stand to be picked."""
    text = text_of(words, coupling)
    seen = Session(State(data=tomllib.loads(text)), text, None, "rig.toml", None).seen()
    found = [
        f"{section.name}: {one}"
        for section in WALK
        if section.name != "start"
        for one in faults(read(part(section, seen, Look(walk=True))), words, coupling)
        if re.search(r": '[A-Za-z ]+' in", one)
        and not re.search("'(psi|kPa|lbf|mph|folding)'", one)
    ]
    assert not found, "\n".join(found)


def read(html: str) -> str:
    """What a person reads on a page, or has read out."""
    html = re.sub(r'<details class="sources".*?</details>', " ", html, flags=re.DOTALL)
    html = re.sub(r"<button[^>]*data-units[^>]*>.*?</button>", " ", html)
    aloud = " ".join(re.findall(r'(?:aria-label|title|placeholder)="([^"]*)"', html))
    seen = re.sub(r"<(script|style|option|code)\b.*?</\1>|<[^>]*>", " ", html, flags=re.DOTALL)
    return unescape(f"{seen} {aloud}")


def texts(held: Any) -> Iterator[str]:
    """Every text of a card but its codes and drawings."""
    if isinstance(held, str):
        yield "" if held.startswith("<svg") else held
    elif isinstance(held, tuple):
        for one in held:
            yield from texts(one)
    elif is_dataclass(held):
        for one in fields(held):
            if one.name not in ("codes", "text"):
                yield from texts(getattr(held, one.name))


SAID = {
    ("us", "ball"): "tongue weight, trailer GVWR, tires, gray, surge brakes, tongue jack, sway",
    ("uk", "ball"): "noseweight, trailer MTPLM, tyres, grey, overrun brakes, jockey wheel, snaking",
    ("continent", "ball"): "static vertical load, trailer's technically permissible maximum laden"
    " mass, tyres, grey, overrun brakes, jockey wheel, snaking",
    ("australia", "ball"): "tow ball mass, trailer ATM, tyres, grey, override brakes, jockey wheel,"
    " sway",
    ("new-zealand", "ball"): "towball weight, trailer GVM, tyres, grey, override brakes, jockey"
    " wheel, sway",
    (
        "us",
        "fifth-wheel",
    ): "pin weight, trailer GVWR, tires, gray, surge brakes, landing gear, sway",
    (
        "us",
        "gooseneck",
    ): "gooseneck ball load, trailer GVWR, tires, gray, surge brakes, landing gear, sway",
    (
        "uk",
        "gooseneck",
    ): "gooseneck ball load, trailer MAM, tyres, grey, overrun brakes, landing gear, snaking",
}
"""What the trade calls seven things: the words of the five sets, from general knowledge of the
trades and, for MTPLM, ATM and S, from rules that were read."""


@pytest.mark.parametrize(("words", "coupling"), SAID)
def test_the_table_says_what_the_trade_says(words: str, coupling: str) -> None:
    """Seven terms in one sentence, region by coupling; saying it again changes nothing."""
    plain = "tongue weight, trailer GVWR, tyres, grey, surge brakes, tongue jack, sway"
    trade = trade_of(rig_of(words, coupling))
    assert trade.said(plain) == SAID[words, coupling]
    for rig in (rig_of(*one) for one in ((words, "ball"), (words, coupling), *HOOKS)):
        own = trade_of(rig)
        assert [own.said(own.said(term)) for term in terms()] == [
            own.said(term) for term in terms()
        ]


def test_a_capital_an_article_and_a_plural_follow_the_word() -> None:
    """`A surge brake` is `An overrun brake`; keys, commands and the owner's names stay; a page's
    apostrophe parts no term."""
    trade = Trade("uk", (), ("Tongue weight bag",))
    assert trade.said("A surge brake. Tongue weights.") == "An overrun brake. Noseweights."
    kept = "trailer.empty.tongue_weight, `sway`, steelyard sway, Tongue weight bag"
    assert trade.said(kept) == kept
    assert Trade("australia").page("<b>the trailer&#39;s GVWR</b>") == "<b>the trailer's ATM</b>"
    assert trade.page('<p title="sway" data-x="sway">sway</p>') == (
        '<p title="snaking" data-x="sway">snaking</p>'
    )


def test_units_follow_the_country() -> None:
    """Britain kg with mph and psi, the Continent km/h and bar, Australia km/h and kPa."""
    said = [
        [shown(x, dimension, units_of(rig_of(words, "ball"))) for dimension, x in UNITS]
        for words in COUNTRIES
    ]
    assert said == [
        ["2,205 lb", "62 mph", "36 psi"],
        ["1,000 kg", "62 mph", "36 psi"],
        ["1,000 kg", "100 km/h", "2.5 bar"],
        ["1,000 kg", "100 km/h", "250 kPa"],
        ["1,000 kg", "100 km/h", "250 kPa"],
    ]


UNITS: tuple[tuple[Dimension, float], ...] = (
    ("mass", 1000.0),
    ("speed", 100 / 3.6),
    ("pressure", 250e3),
)


def test_a_ledger_names_its_rows_whole(tmp_path: Path) -> None:
    """A gooseneck's long words leave room for what rides."""
    path = tmp_path / "rig.toml"
    path.write_text(text_of("us", "gooseneck"), encoding="utf-8")
    first = (
        CliRunner().invoke(main, ["ledger", str(path)]).output.partition("What each thing puts")[0]
    )
    assert "telescopes" in first
    assert "gooseneck ball load" in first
    assert "…" not in first
