"""The trade's words by region and coupling: sentences are written once and said as each is used."""

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import fields, is_dataclass, replace
from functools import cache, lru_cache
from html import escape
from pathlib import Path
from typing import Any, Final, TypeVar, cast

from steelyard.fault import article
from steelyard.quantity import System
from steelyard.rig import Rig, is_pin
from steelyard.rig.kinds import FREIGHT
from steelyard.scene import region_of

T = TypeVar("T")
Word = str | Mapping[str, str]
SETS: Final = {"north-america": "us", "europe": "continent", "australia-new-zealand": "oceania"}
"""The words of a region where nobody said which country."""
COUNTRIES: Final = {
    "US": "us",
    "CA": "us",
    "GB": "uk",
    "IE": "uk",
    "AU": "australia",
    "NZ": "new-zealand",
}
UNITS: Final[Mapping[str, System]] = {"us": "us", "uk": "uk", "continent": "continent"}
"""The units of a set of words; `metric` for one that is not here."""
KEPT: Final = r"`[^`]*`|\bsteelyard [a-z]+|(?<![\w.])[a-z][a-z_-]*(?:\.[a-z0-9_-]+)+(?![\w])"
"""What is no prose: commands, and keys with dots."""
UNSAID: Final = ("text", "codes", "verdict", "mark", "unit", "paper")
"""Fields of a dataclass that hold no prose."""
MOST: Final = 20_000
"""Sentences remembered of one trade."""


@cache
def terms() -> Mapping[str, Mapping[str, Word]]:
    """terms.toml: by term, then by set of words or coupling."""
    return tomllib.loads(Path(__file__).with_name("terms.toml").read_text("utf-8"))


def synonyms(text: str) -> str:
    """What else the trades call the things that a text names, by any region and coupling."""
    found = [table for term, table in terms().items() if term.strip(" :,") in text]
    words = (word for table in found for word in table.values())
    return " ".join(str(one) for word in words for one in _each(word))


def _each(word: Word) -> tuple[str, ...]:
    return (word,) if isinstance(word, str) else tuple(word.values())


def words_of(rig: Rig) -> str:
    """The set of words of a rig: its country's, else its region's."""
    mine = COUNTRIES.get(rig.country or "")
    return mine or SETS[region_of(rig)]


def units_of(rig: Rig, asked: str | None = None) -> System:
    """The reader's units: those of the rig's country or region, or the like of what was asked."""
    own = UNITS.get(words_of(rig), "metric")
    if asked is None or (asked == "us") == (own == "us"):
        return own
    return "us" if asked == "us" else "metric"


def couplings_of(rig: Rig) -> tuple[str, ...]:
    """What a rig's coupling is, narrowest first, as terms.toml names it."""
    kind = rig.hitch.kind or rig.trailer.style
    found = [kind, "hook"] if kind in HOOKS else []
    if is_pin(rig):
        found = ["gooseneck" if kind == "gooseneck" else "fifth-wheel", "pin"]
    if rig.hitch.bars is None:
        found.append("no-bars")
    if rig.trailer.style not in FREIGHT:
        found.append("caravan")
    return tuple(found)


HOOKS: Final = ("pintle", "drawbar")
"""Couplings that hold a ring or an eye."""


class Trade:
    """What things are called on one rig. own: names that its owner gave, never touched."""

    def __init__(self, words: str, couplings: Sequence[str] = (), own: Sequence[str] = ()) -> None:
        self.words, self.couplings = words, tuple(couplings)
        found = {term: _word(table, words, self.couplings) for term, table in terms().items()}
        self._mine = {term: word for term, word in found.items() if word is not None}
        self._pattern = _pattern(tuple(self._mine), tuple(sorted(own)))
        self._ends = tuple(term[1:] for term in self._mine)
        self._said: dict[str, str] = {}

    def term(self, term: str) -> str:
        """One term: `noseweight` for `tongue weight`; itself where it has no other word."""
        return self._mine.get(term, term)

    def said(self, text: str) -> str:
        """A text of this project in this trade's words."""
        found = self._said.get(text)
        if found is None:
            if len(self._said) >= MOST:
                self._said.clear()
            named = any(map(text.__contains__, self._ends))
            found = self._said[text] = self._pattern.sub(self._one, text) if named else text
        return found

    def _one(self, match: re.Match[str]) -> str:
        if match["term"] is None:
            return match[0]
        written, many, article = match["term"], match["many"], match["article"]
        term = written if written in self._mine else written[:1].lower() + written[1:]
        word = self._mine[term]
        if written != term:
            word = word[:1].upper() + word[1:]
        word += many if word else ""
        return f"{_article(article, word)} {word}" if article else word

    def page(self, html: str) -> str:
        """HTML or SVG of this project in this trade's words: what is read, and what is read out."""
        html = html.replace("&#39;", "'")
        if not any(map(html.__contains__, self._ends)):
            return html
        pieces = _PIECES.split(html)
        pieces[::2] = [self.said(one) if one else one for one in pieces[::2]]
        return _READ_OUT.sub(self._read_out, "".join(pieces))

    def all_of(self, held: T) -> T:
        """The same dataclasses, tuples and texts with every text said; codes and drawings apart."""
        found: Any = held
        if isinstance(held, str):
            found = self.page(held) if held.startswith("<svg") else self.said(held)
        elif isinstance(held, tuple):
            found = tuple(self.all_of(one) for one in held)
        elif is_dataclass(held) and not isinstance(held, type):
            names = [one.name for one in fields(held) if one.name not in UNSAID]
            found = replace(held, **{name: self.all_of(getattr(held, name)) for name in names})
        return cast("T", found)

    def _read_out(self, one: re.Match[str]) -> str:
        return f"{one[1]}{self.said(one[2])}"


_READ_OUT: Final = re.compile(r'( (?:aria-label|aria-description|title|placeholder|alt)=")([^"]*)')
_UNREAD: Final = "script|style|textarea|code"
_PIECES: Final = re.compile(rf"(<(?:(?:{_UNREAD})\b.*?</(?:{_UNREAD})>|[^>]*>))", re.DOTALL)


def _word(table: Mapping[str, Word], words: str, couplings: Sequence[str]) -> str | None:
    """A term's word for a set and couplings; None where it is said as it is written."""
    for one in (*couplings, words):
        found: Any = table.get(one)
        if isinstance(found, Mapping):
            found = found.get(words, found.get("all"))
        if found is not None:
            return str(found)
    return None


@cache
def _pattern(mine: Sequence[str], own: Sequence[str]) -> re.Pattern[str]:
    """Names of the owner and what is no prose first, then every term, longest first."""
    kept = "|".join(re.escape(name) for name in sorted(own, key=len, reverse=True))
    kept = rf"(?<!\w)(?:{kept})(?!\w)|{KEPT}" if kept else KEPT
    said = "|".join(_either_case(one, mine) for one in sorted(mine, key=len, reverse=True))
    article = r"(?:(?P<article>\b[Aa]n?) )?"
    return re.compile(rf"{kept}|{article}(?P<term>{said})(?P<many>s?)(?!\w)")


def _either_case(term: str, terms: Sequence[str]) -> str:
    """A term with a small or capital letter; one that begins with a sign, such as `: tongue`, not
    where a longer term goes on from its word."""
    first, inner = term[0], term.lstrip(" :,")
    if first.isalpha():
        return rf"(?<!\w)[{first.lower()}{first.upper()}]" + re.escape(term[1:])
    longer = [re.escape(one[len(inner) :]) for one in terms if one.startswith(f"{inner} ")]
    return re.escape(term) + (rf"(?!{'|'.join(longer)})" if longer else "")


def _article(written: str, word: str) -> str:
    due = article(word)
    return due.capitalize() if written[0] == "A" else due


_SPEAKING: ContextVar[Trade] = ContextVar("trade")
_PLAIN: Final = Trade("us")


def trade_of(rig: Rig) -> Trade:
    """What things are called on a rig; a tank called as the trade calls it is no name."""
    names = {rig.name, rig.vehicle.title, rig.trailer.title}
    tanks = {key: one for key, one in rig.trailer.tanks.items() if key not in terms()}
    for table in (rig.places, rig.items, rig.people, rig.stages, tanks):
        for key, one in table.items():
            names |= {key, key.replace("-", " "), getattr(one, "title", None)}
    own = {name for name in names if name}
    return _trade(words_of(rig), couplings_of(rig), frozenset(own | {escape(name) for name in own}))


@lru_cache(maxsize=64)
def _trade(words: str, couplings: tuple[str, ...], own: frozenset[str]) -> Trade:
    """One for all who speak alike: what was said once is known."""
    return Trade(words, couplings, tuple(own))


@contextmanager
def speaking(trade: Trade) -> Iterator[Trade]:
    """Whatever is said within is said in these words."""
    token = _SPEAKING.set(trade)
    try:
        yield trade
    finally:
        _SPEAKING.reset(token)


def said(text: str) -> str:
    """A text in the words of the trade that is spoken now; of North America where none is."""
    return _SPEAKING.get(_PLAIN).said(text)


def trade() -> Trade:
    """The trade that is spoken now."""
    return _SPEAKING.get(_PLAIN)
