"""What other parts of the library say of the rig, in a few lines each."""

from collections.abc import Callable, Iterator
from functools import wraps
from typing import Final, ParamSpec

from steelyard.assessment import Assessment, StageResult
from steelyard.braking.stage_road import road
from steelyard.cards.cut import clipped, cut
from steelyard.cards.result import Section
from steelyard.fault import FaultError
from steelyard.hitching.fit import fit
from steelyard.quantity import System
from steelyard.ratings import doubted, fastest, questions
from steelyard.rig import Rig
from steelyard.swaying.stage_sway import sway
from steelyard.words.assessed import MARKS, natural
from steelyard.words.bars import bar_lines
from steelyard.words.felt import warnings
from steelyard.words.hitching import level_lines
from steelyard.words.road import braking_lines, push_line
from steelyard.words.sway import (
    OPEN,
    careful_end,
    critical_words,
    fastest_line,
    resting,
    speed,
    tellable,
)
from steelyard.words.unstated import plainly, without_keys

P = ParamSpec("P")
NOT_DONE: Final = "Not worked out"
SLOW: Final = 5.0
"""m/s: below this no speed on the road is meant."""


def section(title: str, lines: tuple[str, ...], more: str = "") -> Section:
    """A section of sentences, none of them longer than a person reads on a card."""
    short = tuple(clipped(line, 420) for line in lines)
    return Section(title=title, lines=short, more=more, source="", ticked=False)


def under(title: str) -> Callable[[Callable[P, Iterator[str]]], Callable[P, Section]]:
    """A section from another part; what it cannot answer is said, never left out."""

    def of(lines: Callable[P, Iterator[str]]) -> Callable[P, Section]:
        @wraps(lines)
        def made(*args: P.args, **kwargs: P.kwargs) -> Section:
            try:
                return section(title, tuple(lines(*args, **kwargs)))
            except ValueError as error:
                why = f": {error}" if isinstance(error, FaultError) else ""
                return section(title, (f"{NOT_DONE}{why}.",))

        return made

    return of


@under("Speed")
def speeds(found: Assessment, system: System) -> Iterator[str]:
    """From what speed a swing does not die out, at the worst stage and at the lightest tongue."""
    light = min(found.stages, key=lambda stage: stage.tongue.share.value)
    keys = tuple(dict.fromkeys([light.key, found.worst_stage.key]))
    answers = sway(found.rig, found.estimate, keys, speeds=())
    one = max(answers, key=lambda a: (a.chance_below, -float(a.at_damping.value)))
    if doubt := doubted("road.sway", questions(found.rig)):
        yield resting(doubt)
    if one.falls.low >= one.chosen_speed:
        yield f"At {speed(one.chosen_speed, system)} a swing dies out as it should."
    elif one.falls.known and one.falls.low >= SLOW:
        yield (
            f"Stay under {speed(one.falls.low, system)}: from there on a swing may die out too"
            f" slowly (damping ratio under {one.chosen_ratio:g})."
        )
    else:
        yield f"{OPEN} {careful_end(one, system)}"
    if tellable(one.wagging):
        yield f"At “{one.title}” sway grows by itself {critical_words(one.wagging, system)}."
    yield from warnings(found.rig, system)
    yield from (fastest_line(limit, system) for limit in fastest(found.rig))
    if found.rig.speed is None:
        yield "No speed is stated in the file: this is asked at 100 km/h (62 mph)."
    yield "Slower is safer than any number here, most of all downhill and in wind."


@under("Hitch set-up")
def hitch(
    rig: Rig, found: Assessment, stages: tuple[str, ...] | None, system: System
) -> Iterator[str]:
    """Bars, their setting and the fender heights that prove it; else what the ball wants."""
    fitted = fit(rig, found.estimate, stages)
    if fitted.bars is None:
        yield from level_lines(fitted, system)
        return
    lines = list(bar_lines(fitted.bars, system))
    yield from lines[2:] if rig.hitch.bars is not None and len(lines) > 2 else lines[:2]
    if len(lines) < 3:
        yield from level_lines(fitted, system)


@under("Brakes and grades")
def braking(found: Assessment, stage: StageResult, system: System) -> Iterator[str]:
    """What brakes the rig needs, and how hard the trailer pushes."""
    return map(without_keys, _braking(found, stage, system))


def _braking(found: Assessment, stage: StageResult, system: System) -> Iterator[str]:
    one = road(found.rig, found.estimate, (stage.key,))[0]
    for rule in one.rules:
        if not rule.note and rule.verdict != "within":
            due = f" To know: {rule.due}." if rule.verdict == "unknown" and rule.due else ""
            yield f"{MARKS[rule.verdict]}: {rule.title}.{due}"
    yield from braking_lines(one)
    yield f"{push_line(one.stances, system, one.brakes).partition(';')[0]}."
    yield "Shift down before a descent; brake in short firm spells, not all the way down."


def assumed(found: Assessment, system: System, most: int) -> Section:
    """What nobody stated, the biggest effect on the tongue share first."""
    rows = [
        f"{clipped(plainly(row.name), 44)}: {natural(row.value, row.sd, row.dimension, system)}"
        f" (share ± {100 * row.effect:z.2f} points)"
        for row in found.assumed
    ]
    lines, more = cut(rows, most, "assumed")
    return section(f"Assumed, not measured ({len(found.assumed)})", lines or ("Nothing.",), more)
