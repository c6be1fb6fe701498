"""From a pasted text to proposals: each a number beside its words, checked by the label itself."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from steelyard.labels.label_kinds import Kind, Line, kinds_of
from steelyard.labels.numbers import Number, agreed, consistent, numbers, of, vins
from steelyard.labels.relations import Proposal, summed, vetoed

LONGEST: Final = 20_000
"""Letters of a text that are looked at."""
TICKET: Final = "scale ticket"
_BETWEEN: Final = re.compile(r"[\s:=.(\-]*")
_PAIRED: Final = re.compile(r"[\s(/,;\-]*(?:OR\b)?[\s(]*")
_DASHES: Final = re.compile("[\u2010-\u2015\u2212]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a text says: its kinds, the proposals, and one sentence for the person."""

    kinds: tuple[Kind, ...]
    proposals: tuple[Proposal, ...]
    said: str

    @property
    def checked(self) -> tuple[Proposal, ...]:
        """Those that the label says twice."""
        return tuple(one for one in self.proposals if one.status == "checked")


def read_label(text: str, stop: str) -> Reading:
    """What a text of a label says where a label of a stop is due; any text is one sentence."""
    lines = _lines(text)
    whole = " ".join(lines)
    kinds = kinds_of(whole)
    why = _refusal(kinds, stop, whole)
    if why:
        return Reading(kinds=kinds, proposals=(), said=why)
    found = [one for line in lines for one in _line(line, kinds)]
    found += _alone(lines, kinds, found)
    found = vetoed(summed(_once(found, kinds)) if _ticket(kinds) else _once(found, kinds))
    said = _told(found, kinds, misread=vins(whole)[1])
    return Reading(kinds=kinds, proposals=tuple(found), said=said)


def _lines(text: str) -> list[str]:
    """Lines in capitals, runs of blanks made one."""
    plain = _DASHES.sub("-", text[:LONGEST].upper().replace("\N{NO-BREAK SPACE}", " "))
    return [line for raw in plain.splitlines() if (line := " ".join(raw.split()))]


def _refusal(kinds: Sequence[Kind], stop: str, whole: str) -> str:
    """Why a text is not read here at all; empty where it is."""
    if not kinds:
        return "No label's own words are in this text, so nothing is taken from it."
    strangers = [kind for kind in kinds if kind.stop != stop]
    if strangers:
        return f"This is {strangers[0].called}: it is not read here, and nothing is taken from it."
    if len(set(vins(whole)[0])) > 1:
        return "These are labels of two vehicles: paste one vehicle's alone."
    return ""


def _line(line: str, kinds: Sequence[Kind]) -> Iterator[Proposal]:
    """What one line says. Every name on it must be followed by its own number, at once; otherwise
    nobody can tell whose a number is."""
    found, names = list(numbers(line)), _names(line, kinds)
    ends = [*(start for start, _, _ in names[1:]), len(line)][: len(names)]
    mine = [
        of(one.unit, [x for x in found if end <= x.start < until])
        for (_, end, one), until in zip(names, ends, strict=True)
    ]
    at_once = [
        bool(own) and _BETWEEN.fullmatch(line, end, own[0].start) is not None
        for (_, end, _), own in zip(names, mine, strict=True)
    ]
    if all(at_once):
        for (_, _, one), own in zip(names, mine, strict=True):
            yield _judged(one, line, own)


def _names(line: str, kinds: Sequence[Kind]) -> list[tuple[int, int, Line]]:
    """Where names stand on a line, in order; of two that overlap the longer."""
    every = [
        (match.start(), match.end(), one)
        for kind in kinds
        for one in kind.lines
        for match in one.name.finditer(line)
    ]
    every.sort(key=lambda row: (row[0] - row[1], row[0]))
    kept: list[tuple[int, int, Line]] = []
    for row in every:
        if all(row[1] <= other[0] or row[0] >= other[1] for other in kept):
            kept.append(row)
    return sorted(kept, key=lambda row: row[0])


def _judged(one: Line, line: str, mine: Sequence[Number]) -> Proposal:
    """One number, or two that must agree."""
    proposal = Proposal(at=one.at, text=mine[0].text, words=line[:120], status="single", why=ALONE)
    if len(mine) == 1:
        return proposal
    first, second = mine[0], mine[1]
    if len(mine) > 2 or not _PAIRED.fullmatch(line, first.end, second.start):
        return replace(
            proposal, text=None, status="refused", why="more than one number stands here"
        )
    same = agreed(first, second)
    if same is not None:
        return replace(
            proposal, text=same.text, status="checked", why=f"{first.text}, {second.text}"
        )
    if consistent(first, second):
        return proposal
    why = f"{first.text} and {second.text} are not the same"
    return replace(proposal, text=None, status="refused", why=why)


ALONE: Final = "nothing on the label to check it by"


def _alone(
    lines: Sequence[str], kinds: Sequence[Kind], found: Sequence[Proposal]
) -> Iterator[Proposal]:
    """The one weight of a label that bears no other, wherever its line breaks."""
    weights = [one for kind in kinds for one in kind.lines if one.unit == "mass"]
    if len(kinds) != 1 or len(weights) != 1 or any(one.at == weights[0].at for one in found):
        return
    bearing = [(line, of("mass", list(numbers(line)))) for line in lines]
    bearing = [row for row in bearing if row[1]]
    if len(bearing) == 1:
        yield _judged(weights[0], *bearing[0])


def _once(found: Sequence[Proposal], kinds: Sequence[Kind]) -> list[Proposal]:
    """One proposal a key: where two lines state it they must state the same."""
    each = {one.at for kind in kinds for one in kind.lines if one.each}
    rows: dict[str, list[Proposal]] = {}
    for one in found:
        rows.setdefault(one.at, []).append(one)
    return [_same(mine, each=at in each) for at, mine in rows.items()]


def _same(mine: Sequence[Proposal], *, each: bool) -> Proposal:
    first = min(mine, key=lambda one: ("refused", "single", "checked").index(one.status))
    if len({one.text for one in mine}) == 1:
        return first
    why = "the axles differ: type it" if each else "it is said twice, and not alike"
    return replace(first, text=None, status="refused", why=why)


def _ticket(kinds: Sequence[Kind]) -> bool:
    return any(kind.name == TICKET for kind in kinds)


def _told(found: Sequence[Proposal], kinds: Sequence[Kind], *, misread: bool) -> str:
    """`A vehicle's certification label: 3 numbers said twice and alike, 1 to be typed.`"""
    called = " and ".join(kind.called for kind in kinds)
    checked = sum(one.status == "checked" for one in found)
    rest = len(found) - checked
    words = f"{called[:1].upper()}{called[1:]}: "
    words += f"{checked} checked by what it says twice" if checked else "nothing it says twice"
    words += f", {rest} to be typed." if rest else "."
    return words + (" Its VIN was misread: look at it twice." if misread else "")
