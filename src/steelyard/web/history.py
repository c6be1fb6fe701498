"""A rig through time: as it was first in the book, at each weighing, and as it is now."""

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from steelyard.assessment import Assessment, Spread, StageResult, assess
from steelyard.drawing.book import rig_outline, things
from steelyard.drawing.history import Moment
from steelyard.drawing.names import axle_path, axle_title
from steelyard.drawing.share import wanted
from steelyard.fault import FaultError
from steelyard.files.changes import AskError
from steelyard.files.tickets import again
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.records import Logged
from steelyard.logbook.rigs import Rigs
from steelyard.rig import Owned
from steelyard.scene import NoBalanceError
from steelyard.web.session import Seen
from steelyard.web.state import State
from steelyard.web.work import today
from steelyard.weighing.agreement import day
from steelyard.words.changes import changes

Loads = Mapping[str, tuple[Spread, float | None]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A moment as the page tells it: the drawn one, the plain values of the rig then, and the
    number of the weighing, if it was one; `fault`: why nothing is drawn of it."""

    moment: Moment | None
    data: Mapping[str, Any]
    number: int | None
    fault: str = ""


def told(seen: Seen) -> tuple[list[Told], str]:
    """Every moment in its order; and what keeps weighings from being read."""
    where, trouble = seen.logged.path, ""
    logged: tuple[Logged, ...] = ()
    first: State | None = None
    made = ""
    if where is not None and where.exists():
        rigs = Rigs(where)
        try:
            logged = rigs.weighings(seen.rig or 0, seen.work.rig.name)
            first, made = _first(rigs, seen)
        except LogbookError as error:
            trouble = str(error)
        finally:
            rigs.close()
    found = [*_begun(first, made, seen), *(_weighed(one, seen) for one in logged)]
    found += _now(seen, logged)
    return list(_with_changes(found)), trouble


def _first(rigs: Rigs, seen: Seen) -> tuple[State | None, str]:
    """The rig's earliest state that the book still holds, and when it came there."""
    if seen.rig is None:
        return None, ""
    work = rigs.work(seen.rig)
    texts = [text for text in work.states if text is not None]
    state = State.read(texts[0]) if texts else None
    whole = len(work.row.steps) <= 200
    return (state if whole else None), work.row.made


def _begun(state: State | None, made: str, seen: Seen) -> Iterator[Told]:
    """As it was first in the book, estimated; nothing where it is the same as now."""
    if state is None or state.ticket is not None or state.data == seen.state.data:
        return
    try:
        found = seen.works.of(state, seen.name).found
    except AskError:
        return
    when = datetime.fromisoformat(made).astimezone().date()
    moment = _moment(found, found.worst_stage, _said(when), "first in the book", weighed=False)
    yield Told(moment=moment, data=state.data, number=None)


def _weighed(one: Logged, seen: Seen) -> Told:
    weighing = one.weighing
    data = tomllib.loads(weighing.rig_text)
    asked = (weighing.rig_text, weighing.ticket_text, one.id, _Held(seen.works.owned))
    try:
        moment = seen.work.apart(_as_weighed, *asked)
    except (FaultError, NoBalanceError, ArithmeticError, ValueError) as error:
        return Told(moment=None, data=data, number=one.id, fault=str(error))
    taken = day(weighing.taken)
    when = _said(taken) if taken else weighing.taken
    return Told(moment=replace(moment, when=when), data=data, number=one.id)


class _Held:
    """The owner's own values, told apart by what they say."""

    def __init__(self, owned: Owned) -> None:
        self.owned = owned
        self._said = repr(sorted(owned.items()))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held) and self._said == other._said

    def __hash__(self) -> int:
        return hash(self._said)


@lru_cache(maxsize=64)
def _as_weighed(rig_text: str, ticket_text: str, number: int, own: _Held) -> Moment:
    """The rig as it stood when it was weighed, in the light of its readings; worked out once."""
    found = again(rig_text, ticket_text, number, own.owned)
    whole = assess(found.weighed.rig, estimate=found.posterior)
    key = next((one.stage for one in found.weighed.ticket.passes.values() if one.stage), None)
    stage = next((one for one in whole.stages if one.key == key), whole.worst_stage)
    moment = _moment(whole, stage, "", f"weighed, {stage.title}", weighed=True)
    if found.agrees and not found.slips:
        return moment
    why = "are asked about" if found.slips else "do not agree"
    return replace(moment, verdict="unknown", word=f"{moment.word}; the readings {why}")


def _now(seen: Seen, logged: Sequence[Logged]) -> Iterator[Told]:
    """As it is now, estimated, where that is not as it was weighed last."""
    if logged and _plain(tomllib.loads(logged[-1].weighing.rig_text)) == _plain(seen.state.data):
        return
    found = seen.work.found
    word = "carried on from the readings" if seen.work.reconciled else "not weighed"
    moment = _moment(found, found.worst_stage, "now", word, weighed=False)
    yield Told(moment=moment, data=seen.state.data, number=None)


def _plain(data: Mapping[str, Any]) -> Mapping[str, Any]:
    return State(data=data).data


def _with_changes(found: Sequence[Told]) -> Iterator[Told]:
    """Each with what had changed since the one before it."""
    for i, one in enumerate(found):
        if one.moment is None or not i:
            yield one
            continue
        was, now = _plain(found[i - 1].data), _plain(one.data)
        moment = replace(one.moment, changed=changes(was, now), moved=_moved(was, now))
        yield replace(one, moment=moment)


def _moved(was: Mapping[str, Any], now: Mapping[str, Any]) -> frozenset[str]:
    """Things that are new, or are said otherwise than they were."""
    before = was.get("items", {})
    return frozenset(name for name, one in now.get("items", {}).items() if before.get(name) != one)


def _moment(
    found: Assessment, stage: StageResult, when: str, word: str, *, weighed: bool
) -> Moment:
    ratings = {one.name: one.rating for one in (*stage.limits, *stage.notes)}
    loads = {}
    for axle in stage.axles:
        rating = ratings.get(f"{axle_path(axle.name)}.gawr")
        known = rating is not None and rating == rating
        name = axle_title(axle.name, len(stage.axles) - 2)
        loads[name] = (axle.weight_kg, rating if known else None)
    return Moment(
        when=when,
        word=word,
        changed=(),
        weighed=weighed,
        verdict=stage.verdict if weighed else found.verdict,
        share=stage.tongue.share,
        band=wanted(found),
        loads=_alike(loads),
        outline=rig_outline(found),
        things=things(found, stage),
        moved=frozenset(),
    )


def _alike(loads: Loads) -> Loads:
    """Axles under a trailer that carry alike, as one."""
    trailer = [one for name, one in loads.items() if name.startswith("trailer axle")]
    if len(trailer) < 2 or any(_differ(trailer[0], one) for one in trailer[1:]):
        return loads
    ends = {name: one for name, one in loads.items() if not name.startswith("trailer axle")}
    return {**ends, "each trailer axle": trailer[0]}


def _differ(one: tuple[Spread, float | None], other: tuple[Spread, float | None]) -> bool:
    apart = abs(one[0].value - other[0].value)
    return one[1] != other[1] or apart > 0.002 * abs(one[0].value)


def _said(when: date) -> str:
    year = "" if when.year == today().year else f" {when.year}"
    return f"{when.day} {when:%b}{year}"
