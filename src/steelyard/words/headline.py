"""The headline that page and card share: mark and word, one reason, one thing to do."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import isfinite
from typing import TYPE_CHECKING, Final

from steelyard.assessment import Assessment, StageResult
from steelyard.fault import dotted
from steelyard.quantity import Z95, System, with_spread
from steelyard.ratings import UNSURE, LimitStatus, Verdict, severity
from steelyard.words.assessed import MARKS, chance, measured, odds, room, stage_verdict, to_spare
from steelyard.words.mended import mended
from steelyard.words.next_steps import Step, next_steps, unrated
from steelyard.words.unstated import plainly, without_keys

if TYPE_CHECKING:
    from steelyard.stowing.mend import Mend

Run = tuple[str, bool]
"""Words of a sentence, and whether they are the ones to see from two metres away."""
EVEN: Final = (0.4, 0.6)
"""Chances of being over that are told as about even."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Headline:
    """A stage in one second. reason: one sentence or two, in runs; brief: the same in a few words,
    for a line that runs along; decides: the name of the limit that the reason is about, none where
    something else is missing."""

    verdict: Verdict
    mark: str
    word: str
    reason: tuple[Run, ...]
    brief: str
    step: Step
    decides: str

    @property
    def spoken(self) -> str:
        """The reason without emphasis."""
        return "".join(text for text, _ in self.reason)


def headline(
    found: Assessment,
    system: System,
    stage: StageResult | None = None,
    doubt: str = "",
    mends: "Callable[[], Mend | None]" = lambda: None,
) -> Headline:
    """The headline of a stage, the worst unless named. doubt: why the readings that it rests on are
    no ground; then nothing is called within or tight. mends: seeks moves that mend what is wrong,
    and is asked only where moves may."""
    stage = stage or found.worst_stage
    verdict = stage_verdict(found, stage)
    limit, reason = _reason(found, stage, verdict, system)
    if doubt and severity(verdict) < severity("cannot tell"):
        words = ": nothing that rests on them is called within."
        verdict, limit, reason = "unknown", None, ((doubt, True), (words, False))
    mark, word = MARKS[verdict].split(" ", 1)
    step = _step(found, stage, verdict, system, doubt, mends)
    return Headline(
        verdict=verdict,
        mark=mark,
        word="not known" if verdict == "unknown" else word,
        reason=reason if step.kind == "list" else (*reason, *_tipped(stage, limit)),
        brief=_brief(limit, verdict, system) if limit else _opening(reason),
        step=replace(step, words=without_keys(step.words)),
        decides=limit.name if limit else "",
    )


def _step(
    found: Assessment,
    stage: StageResult,
    verdict: Verdict,
    system: System,
    doubt: str,
    mends: "Callable[[], Mend | None]",
) -> Step:
    """The one thing to do: to look at readings that are doubted, the moves that mend what is wrong,
    else what the verdict asks for first."""
    if doubt:
        words = f"{doubt}: look at them before trusting this."
        return Step(kind="weigh", words=words, about="readings")
    nothing = Step(kind="look", words="State the ratings on the labels.")
    step = next(next_steps(found, system, stage), nothing)
    if step.kind == "move" or (verdict == "tight" and step.kind == "weigh"):
        return mended(step, stage, mends(), system)
    return step


def _reason(
    found: Assessment, stage: StageResult, verdict: Verdict, system: System
) -> tuple[LimitStatus | None, tuple[Run, ...]]:
    """The limit that the reason is about, and the reason."""
    one = stage.deciding
    if verdict == "unknown" or one is None:
        return _unknown(found, stage, system)
    if verdict == "exceeded":
        return one, _over(one, system)
    if verdict == "cannot tell":
        return one, _open(one, system)
    return one, _closest(one, system)


def _brief(one: LimitStatus, verdict: Verdict, system: System) -> str:
    """`spring bars, 103 lb to spare`."""
    if verdict == "unknown":
        return f"{one.title} has no rating"
    if verdict == "exceeded" and one.measure == "weight" and isfinite(one.margin):
        return f"{one.title}, {measured(abs(one.margin), one, system)} over"
    gap = to_spare(one, system) if verdict in ("within", "tight") else ""
    return f"{one.title}, {gap}" if gap else one.title


def _opening(reason: tuple[Run, ...]) -> str:
    """What a reason says up to its colon, within a sentence."""
    text = "".join(words for words, _ in reason).partition(":")[0].rstrip(".")
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def _tipped(stage: StageResult, limit: LimitStatus | None) -> tuple[Run, ...]:
    """That only what nobody listed tips the limit, if so."""
    tips = limit is not None and limit.name in stage.unlisted
    return ((" Only what nobody listed tips it.", False),) if tips else ()


def _unknown(
    found: Assessment, stage: StageResult, system: System
) -> tuple[LimitStatus | None, tuple[Run, ...]]:
    if "people" in found.missing:
        words = ": the loads are those of a driver alone, and nothing is called within."
        return None, (("Nobody is listed aboard", True), (words, False))
    if found.questions:
        about = plainly(dotted(found.questions[0].path))
        words = " is asked about: nothing that rests on it is called within."
        return None, ((f"{about[:1].upper()}{about[1:]}", True), (words, False))
    missing = unrated(stage.limits)
    if not missing:
        return None, (("No rating is known.", True),)
    one = missing[0]
    against = load(one, system)
    return one, (
        ("A rating is missing: ", False),
        (one.title, True),
        (f". There is nothing to hold {against} against.", False),
    )


def _over(one: LimitStatus, system: System) -> tuple[Run, ...]:
    title = (f"{one.title[:1].upper()}{one.title[1:]}", True)
    if not isfinite(one.margin):
        return title, (": in most of what may be, the trailer would tip over its axles.", False)
    if one.measure in ("fitted", "length"):
        return title, (f": {room(one, system)}.", False)
    gap, _, edge = room(one, system).partition(" its ")
    carried = (f"{_colon(one)} {load(one, system)}, ", False)
    if not edge:
        return title, carried, (f"{gap}.", True)
    return (
        title,
        carried,
        (gap, True),
        (f" its {edge}.", False),
    )


def _open(one: LimitStatus, system: System) -> tuple[Run, ...]:
    low, high = EVEN
    way = "below" if one.side == "under" else "over"
    told = "about even" if low <= one.chance <= high else f"{chance(one.chance)} chance {way}"
    told = f"{odds(one)} the band" if one.aside >= UNSURE / 2 else told
    title = f"{one.title[:1].upper()}{one.title[1:]}"
    ask = "Below or not" if one.side == "under" else "Over or under"
    return (title, True), (f"{_colon(one)} {_of(one, system)}. {ask}: {told}.", False)


def _colon(one: LimitStatus) -> str:
    """What stands between a title and its number: a comma after `coupler: tongue`."""
    return "," if ":" in one.title else ":"


def _closest(one: LimitStatus, system: System) -> tuple[Run, ...]:
    gap = to_spare(one, system)
    if not gap:
        return ("Closest: ", False), (one.title, True), (f", {room(one, system)}.", False)
    return (
        ("Closest: ", False),
        (one.title, True),
        (f", {_of(one, system)}. ", False),
        (f"{gap}.", True),
    )


def _of(one: LimitStatus, system: System) -> str:
    """`892 ± 30 of 1,000 lb`; `12.3 ± 1.0 %, at least 10.0 %`."""
    edge = measured(one.rating, one, system)
    number, _, unit = load(one, system).rpartition(" ")
    if one.measure == "share":
        return f"{number} {unit}, at {'least' if one.side == 'under' else 'most'} {edge}"
    return f"{number} of {edge}" if edge.endswith(f" {unit}") else f"{number} {unit} of {edge}"


def load(one: LimitStatus, system: System) -> str:
    """What a limit is held against, with its spread where it has one."""
    if not isfinite(one.value):
        return "it" if one.verdict == "unknown" else "?"
    if one.measure == "weight" and one.sd and isfinite(one.sd):
        return with_spread(one.value, one.sd, "mass", system)
    if one.measure == "share" and one.sd and isfinite(one.sd):
        return f"{100 * one.value:z.1f} ± {100 * Z95 * one.sd:z.1f} %"
    return measured(one.value, one, system)


def pressing(stage: StageResult) -> tuple[LimitStatus, ...]:
    """Every limit that is exceeded, cannot be told or is tight, the gravest first."""
    grave = ("exceeded", "cannot tell", "tight")
    found = (one for one in stage.limits if one.verdict in grave and one.decides)
    return tuple(sorted(found, key=lambda one: (-severity(one.verdict), one.room)))
