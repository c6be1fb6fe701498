"""The first answer of `steelyard check`: thirty lines, and ten to read to a customer."""

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

from steelyard.assessment import Assessment, StageResult
from steelyard.cli.words import (
    LINES,
    Row,
    clipped,
    counted,
    do_next,
    first_fitting,
    paragraph,
    table,
)
from steelyard.quantity import System, percent
from steelyard.ratings import LimitStatus, Verdict, severity
from steelyard.words import assessed
from steelyard.words.mended import mended
from steelyard.words.next_steps import Step, next_steps

if TYPE_CHECKING:
    from steelyard.stowing.mend import Mend

WITHIN: Final = assessed.MARKS["within"]
STAGES: Final = 5
ROWS: Final = (6, 5, 4, 3)
"""Limits not within that have a row each, as many as the lines hold; more share a sentence."""
ROWS_CUT: Final = (2, 1, 0)
CUTS: Final = 5
NAMED: Final = 2
"""Tight limits told in a sentence with their room; more are told by name."""
CAUTION: Final = (
    "The ratings on the labels, and local law, come first. An estimate is not a weighing. When in"
    " doubt, weigh, and ask a licensed professional."
)
SHORT: Final = 10
"""Lines to read to a customer."""


Seek = Callable[[], "Mend | None"]
"""Seeks moves that mend what is wrong."""


def first_lines(found: Assessment, system: System, seek: Seek) -> list[str]:
    """The first answer in thirty lines."""
    steps = _steps(found, system, seek)
    return first_fitting(_first_lines(found, steps, system, cut) for cut in range(CUTS))


def _first_lines(
    found: Assessment, steps: Sequence[str], system: System, cut: int
) -> Iterator[str]:
    """Verdict, reason, what to do; loads; every limit that is not within; what is folded.

    cut: what a rig with much amiss does without, of `CUTS`: loads stage by stage, room to each
    limit, the later things to do, a row for each limit.
    """
    stage = found.worst_stage
    top = [found.rig.name, paragraph(assessed.verdict_line(found, system))]
    top += map(paragraph, assessed.question_lines(found.questions))
    missing = assessed.missing_line(found, system)
    top += [paragraph(missing)] if missing else []
    top += ["", *do_next(steps, 3 if cut < 3 else 1)]
    rest = [*_trust(found), *_unknown(found), paragraph(CAUTION)]
    pressing = sorted(
        (
            one
            for one in stage.limits
            if assessed.stood(one) not in (WITHIN, assessed.MARKS["unknown"])
        ),
        key=lambda one: (-severity(one.verdict), one.room),
    )
    loads, elsewhere = list(_loads(found, stage, system, cut)), list(_elsewhere(found, system))
    wide = NAMED if cut < 2 else 0
    lengths = ROWS if cut < 4 else ROWS_CUT
    bodies = {n: [*loads, "", *_more(pressing[n:], system, wide), *elsewhere] for n in lengths}
    spares = {
        n: LINES - counted([*top, *body, *rest]) - 2 - min(len(pressing), n)
        for n, body in bodies.items()
    }
    rows = next((n for n, spare in spares.items() if spare >= 0), lengths[-1])
    body, spare = bodies[rows], spares[rows]
    roomy = sorted((one for one in stage.limits if assessed.stood(one) == WITHIN), key=_room)
    shown = [*pressing[:rows], *roomy[: max(min(spare, 4), 0)]]
    yield from (*top, *body)
    if shown:
        yield _limits(shown, system)
    yield paragraph(_folded(found, stage, shown))
    yield from rest


COMMANDS: Final = {
    "move": "`steelyard stow` plans it, `steelyard move` tries one thing",
    "card": "`steelyard card`",
}
"""What does a step, by its kind."""


def _steps(found: Assessment, system: System, seek: Seek) -> list[str]:
    """What to do next, with the command that does it where one does; weight to be moved first of
    all by the very moves, or what it takes where none mend it."""
    steps = list(next_steps(found, system))
    at = next((at for at, one in enumerate(steps[:3]) if one.kind == "move"), None)
    said = list(map(_step, steps))
    if at is not None and steps[at].about != "limits":
        then = mended(steps[at], found.worst_stage, seek(), system)
        if then is not steps[at]:
            said[at] = then.whole
    return said


def _step(one: Step) -> str:
    """A step with the command that does it, where one does."""
    does = None if one.about == "limits" or "the tanks" in one.words else COMMANDS.get(one.kind)
    return f"{one.whole[:-1]}: {does}." if does else one.whole


def _room(one: LimitStatus) -> float:
    return one.room


def _loads(found: Assessment, stage: StageResult, system: System, cut: int) -> Iterator[str]:
    """On the ball at every stage, or at the one there is or that alone is told."""
    if len(found.stages) == 1 or cut:
        where = f" at “{stage.title}”; --all has the other stages" if len(found.stages) > 1 else ""
        yield paragraph(
            f"On the ball {assessed.weight_spread(stage.tongue.weight_kg, system)},"
            f" {percent(stage.tongue.share.value)} of the trailer's"
            f" {assessed.weight(stage.trailer_kg.value, system)}{where}."
        )
        return
    by_need = sorted(found.stages, key=lambda one: -severity(one.verdict))
    kept = [one for one in found.stages if one is stage or one in by_need[: STAGES - 1]]
    rows: list[Row] = [("stage", "share", "on the ball", "trailer", "status")]
    rows += [
        (
            clipped(one.title),
            percent(one.tongue.share.value),
            assessed.weight_spread(one.tongue.weight_kg, system),
            assessed.weight(one.trailer_kg.value, system),
            assessed.MARKS[one.verdict],
        )
        for one in kept
    ]
    yield table(rows, left=(0, 4))
    left = [one for one in found.stages if one not in kept]
    if left:
        yield paragraph(f"{len(left)} more stages, none worse than these: --all lists them.")


def _limits(shown: Sequence[LimitStatus], system: System) -> str:
    rows: list[Row] = [("limit", "value", "rating", "chance over", "status")]
    rows += [
        (
            clipped(one.title, 33),
            assessed.measured(one.value, one, system),
            assessed.measured(one.rating, one, system),
            assessed.odds(one),
            assessed.stood(one),
        )
        for one in shown
    ]
    return table(rows, left=(0, 4))


def _more(rest: Sequence[LimitStatus], system: System, wide: int) -> Iterator[str]:
    """What is not within and has no row, in a sentence for each verdict."""
    verdicts: tuple[Verdict, ...] = ("exceeded", "cannot tell", "tight")
    for verdict in verdicts:
        alike = [one for one in rest if one.verdict == verdict]
        named = [f"{one.title}, {assessed.room(one, system)}" for one in alike]
        if not wide or (verdict == "tight" and len(alike) > wide):
            named = [one.title for one in alike]
        if named:
            yield paragraph(f"{assessed.MARKS[verdict]} too: {'; '.join(named)}.")
    if lifted := [one.title for one in rest if assessed.stood(one) == assessed.LIFTED]:
        yield paragraph(f"{assessed.LIFTED} too: {'; '.join(lifted)}.")


def _elsewhere(found: Assessment, system: System) -> Iterator[str]:
    """What is exceeded or cannot be told at another stage and not at the worst."""
    worst = found.worst_stage
    told = {one.name for one in worst.limits if one.verdict in ("exceeded", "cannot tell")}
    for stage in found.stages:
        for one in stage.limits:
            if one.verdict in ("exceeded", "cannot tell") and one.name not in told:
                told.add(one.name)
                yield paragraph(
                    f"{assessed.MARKS[one.verdict]} at “{stage.title}”: {one.title},"
                    f" {assessed.room(one, system)}."
                )


def _unknown(found: Assessment) -> Iterator[str]:
    """Every rating nobody stated, at whatever stage, by name: never within."""
    limits = [one for stage in found.stages for one in stage.limits]
    missing = dict.fromkeys(one.title for one in limits if one.verdict == "unknown")
    if missing:
        yield paragraph(
            f"{assessed.MARKS['unknown']}, so never within ({len(missing)}): {', '.join(missing)}."
        )


def _trust(found: Assessment) -> Iterator[str]:
    """Remarks and advice, which are never folded."""
    notes = [
        f"{note.title.removesuffix(', advice')} is past what is advised"
        for note in found.worst_stage.notes
        if note.verdict not in ("unknown", "within")
    ]
    if found.remarks or notes:
        yield paragraph(f"Taken on trust: {'; '.join((*found.remarks, *notes))}.")


def _folded(found: Assessment, stage: StageResult, shown: Sequence[LimitStatus]) -> str:
    """What is not shown here, counted; nothing of it is anything but within."""
    within = sum(assessed.stood(one) == WITHIN for one in stage.limits)
    within -= sum(assessed.stood(one) == WITHIN for one in shown)
    more = f"{within} more limits, all within" if within > 1 else "1 more limit, within"
    parts = [more] if within else []
    parts += [f"{len(found.assumed)} assumed values"] if found.assumed else []
    parts.append("axle loads")
    return f"With --all: {', '.join(parts)}. Sources and keys: --sources."


def short_lines(found: Assessment, system: System, seek: Seek) -> Iterator[str]:
    """Ten lines at most, to read to a customer: verdict, why, what to do, what it carries."""
    stage = found.worst_stage
    steps = _steps(found, system, seek)[:2]
    worst = [one for one in stage.limits if one.refuses]
    unknown = sum(one.verdict == "unknown" for one in stage.limits)
    texts = [f"{found.rig.name}: {assessed.verdict_line(found, system)}"]
    if len(worst) > 1:
        texts.append(f"Beyond or likely beyond: {len(worst)} limits.")
    texts.append(
        f"On the ball {assessed.weight_spread(stage.tongue.weight_kg, system)},"
        f" {percent(stage.tongue.share.value)} of the trailer."
        + (f" Ratings not known: {unknown}." if unknown else "")
    )
    lines = [line for text in texts for line in paragraph(text).split("\n")]
    caution = paragraph("Labels and local law come first; an estimate is not a weighing.")
    for number, step in enumerate(steps, start=1):
        more = paragraph(step, "   ", f"{number}. ").split("\n")
        if len(lines) + len(more) + 1 <= SHORT:
            lines += more
    yield from (*lines[: SHORT - 1], caution)
