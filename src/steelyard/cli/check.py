"""`steelyard check`: the answer for one rig."""

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from steelyard.assessment import Assessment, StageResult, assess
from steelyard.cli import options
from steelyard.cli.belief import sharper
from steelyard.cli.check_first import first_lines, short_lines
from steelyard.cli.options import about, chosen_stage, drawn, load, print_json, whole_report
from steelyard.cli.words import (
    before_and_after,
    bullets,
    clipped,
    exit_code,
    paragraph,
    shows_sources,
    table,
)
from steelyard.files.report import CAUTIONS
from steelyard.quantity import Z95, System, percent, shown, to_border
from steelyard.ratings import LimitStatus, severity
from steelyard.ratings.judge import UNSURE
from steelyard.typical.shipped_tables import from_own
from steelyard.typical.unlisted import UNLISTED
from steelyard.words import assessed

if TYPE_CHECKING:
    from steelyard.stowing.mend import Mend

HINTS: Final = {
    "trailer.options_offset": "trailer.options_offset is where options the weight leaves out sit:"
    " list them under [trailer.equipment], or weigh the trailer",
    "trailer.options": "trailer.options is what was added to the trailer since its stated weight:"
    " list it under [trailer.equipment], or weigh the trailer",
    "trailer.gas_and_battery": "trailer.gas_and_battery goes when propane and battery stand under"
    " [trailer.equipment], or in what the stated weight includes",
    **dict.fromkeys(
        UNLISTED, "what nobody listed goes when people and items list it: everything_listed = true"
    ),
    "trailer.empty.cg": "trailer.empty.cg follows from the stated empty tongue weight, or weigh it",
}
"""What to do about an assumed value that no tape can measure."""
SLIGHT: Final = 5e-4
"""An assumed value that moves the tongue share by less is named in passing."""


@click.command("check")
@options.rig_argument
@options.stage_option
@options.answer_options
@options.judging_options
@options.figure_option
@options.detail_options
@click.option("--short", is_flag=True, help="Ten lines at most, to read to a customer.")
def command(
    rig: str,
    stage: tuple[str, ...],
    tight: float,
    units: str | None,
    ticket: str | None,
    figure: Path | None,
    *,
    as_json_: bool,
    everything: bool,
    short: bool,
) -> None:
    """Loads, tongue weight, every limit and what decides, for a RIG file."""
    checked = run(rig, stage, tight, ticket)
    found = checked.found
    if figure is not None:
        from steelyard.drawing.whole import whole_picture

        drawn(figure, whole_picture(found, assessed.system_of(found, units)))
    if as_json_:
        print_json(whole_report(found, checked.before, checked.words, checked.told))
    else:
        system = assessed.system_of(found, units)
        for line in sharpened(checked, system):
            click.echo(line)
        first = short_lines if short else first_lines
        whole = everything and not short
        lines = _lines(found, system) if whole else first(found, system, checked.seek)
        click.echo("\n".join(lines))
    raise SystemExit(exit_code(found.verdict, refuses=found.refuses, doubts=checked.words))


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """An assessment, with what was believed before and the weighing where there was one."""

    found: Assessment
    before: Assessment | None
    told: tuple[str, ...]
    words: tuple[str, ...]

    def seek(self) -> "Mend | None":
        """Moves that mend what is wrong, or what none mends."""
        from steelyard.stowing.mend import mend

        return mend(self.found.rig, self.found.estimate if self.before else None)


def run(path: str, stages: tuple[str, ...], tight: float, ticket: str | None = None) -> Checked:
    """Read and assess, sharper by a ticket if there is one; bad input is told in a sentence."""
    rig = load(path, asks=False)
    wanted = chosen_stage(rig, stages)
    belief = sharper(rig, ticket)
    with about(path, 3 if ticket else 2) as step:
        before = assess(rig, stages=wanted, tight=tight)
        step()
        if belief.estimate is None:
            return Checked(found=before, before=None, told=(), words=())
        found = assess(rig, estimate=belief.estimate, stages=wanted, tight=tight)
        return Checked(found=found, before=before, told=belief.told, words=belief.words)


def sharpened(checked: Checked, system: System) -> Iterator[str]:
    """What a weighing changed, stage by stage, and whether it can be trusted."""
    if checked.before is None:
        return
    yield before_and_after(checked.before, checked.found, system)
    yield from (paragraph(words) for words in (*checked.told, *checked.words))
    yield ""


def _lines(found: Assessment, system: System) -> Iterator[str]:
    """The whole answer, every limit listed."""
    yield found.rig.name
    yield paragraph(assessed.verdict_line(found, system))
    yield from map(paragraph, assessed.question_lines(found.questions))
    missing = assessed.missing_line(found, system)
    if missing:
        yield paragraph(missing)
    yield ""
    if len(found.stages) > 1:
        yield from _trip(found, system)
    yield from _stage(found.worst_stage, found, system)
    yield from _assumed(found, system)
    if found.remarks:
        yield "Taken on trust"
        yield from bullets(found.remarks)
        yield ""
    yield from (paragraph(line) for line in CAUTIONS)


def _trip(found: Assessment, system: System) -> Iterator[str]:
    rows = [("stage", "share", "on the ball", "status", "decided by")]
    for stage in found.stages:
        share = stage.tongue.share
        decider = stage.deciding
        rows.append(
            (
                clipped(stage.title),
                percent(share.value),
                assessed.weight_spread(stage.tongue.weight_kg, system),
                assessed.MARKS[stage.verdict],
                clipped(decider.title, 24) if decider else "nothing known",
            )
        )
    yield "The trip"
    yield table(rows, left=(0, 3, 4))
    yield ""


def _stage(stage: StageResult, found: Assessment, system: System) -> Iterator[str]:
    yield f"{stage.title.capitalize()}, in full"
    yield from _tongue(stage, system)
    yield from _axles(stage, system)
    yield from _limits(stage, system)
    yield from _unknown(stage, system)
    yield from _tight(stage, found, system)


def _tongue(stage: StageResult, system: System) -> Iterator[str]:
    tongue, share, stand = stage.tongue, stage.tongue.share, stage.attitude
    pitch = degrees(stand.trailer_pitch.value)
    digits = 1 if system == "us" else 0
    drops = [
        shown(drop.value, "length", system, digits) for drop in (stand.front_drop, stand.rear_drop)
    ]
    rows = [
        ("tongue weight, bars off", assessed.weight_spread(tongue.weight_kg, system)),
        ("tongue share", f"{percent(share.value)} ({percent(share.low)} to {percent(share.high)})"),
        ("whole trailer", assessed.weight_spread(stage.trailer_kg, system)),
        ("vehicle as loaded", assessed.weight_spread(stage.vehicle_kg, system)),
    ]
    if tongue.restoration is not None:
        rows += [
            ("net coupling force, bars on", assessed.weight_spread(tongue.net_kg, system)),
            ("between ball and coupler", assessed.weight_spread(tongue.contact_kg, system)),
            ("front load the bars give back", f"{100 * tongue.restoration.value:z.0f} %"),
        ]
    rows += [
        ("ball height", shown(stand.ball_height.value, "length", system, digits)),
        ("drop of front and rear axle", ", ".join(drops)),
        (f"trailer nose-{'up' if pitch < 0 else 'down'}", f"{abs(pitch):.1f}°"),
    ]
    yield table(rows, left=(0, 1))
    yield ""


def _axles(stage: StageResult, system: System) -> Iterator[str]:
    unit = "lb" if system == "us" else "kg"
    rows = [(f"as driven, {unit}", "load", "±", "left wheels", "right wheels", "no trailer")]
    rows += [
        (
            f"{axle.name} axle",
            assessed.number(axle.weight_kg.value, system),
            assessed.number(Z95 * axle.weight_kg.sd, system),
            assessed.number(axle.left_kg.value, system),
            assessed.number(axle.right_kg.value, system),
            "" if axle.alone_kg is None else assessed.number(axle.alone_kg, system),
        )
        for axle in stage.axles
    ]
    yield table(rows)
    yield ""


def _limits(stage: StageResult, system: System) -> Iterator[str]:
    known = sorted(
        (limit for limit in stage.limits if limit.verdict != "unknown"),
        key=lambda one: (-severity(one.verdict), one.room),
    )
    if not known:
        return
    rows = [("limit", "value", "rating", "room", "chance", "status")]
    rows += [
        (
            clipped(limit.title, 33),
            assessed.measured(limit.value, limit, system),
            assessed.measured(limit.rating, limit, system),
            _gap(limit, system),
            _odds(limit.chance),
            assessed.stood(limit),
        )
        for limit in known
    ]
    yield table(rows, left=(0, 5), indent="")
    if stage.governing is not None:
        governing = stage.governing
        yield paragraph(
            f"Least room in the coupling chain: {governing.title}, rated "
            f"{assessed.measured(governing.rating, governing, system)}."
        )
    yield ""


def _gap(limit: LimitStatus, system: System) -> str:
    if limit.measure == "weight":
        return f"{to_border(limit.margin, 'mass', system):z,.0f}"
    if limit.measure == "share":
        return f"{100 * limit.margin:z.1f}"
    return ""


def _odds(p: float) -> str:
    return "<0.1 %" if p < 0.001 else f"{100 * p:z.1f} %"


def _unknown(stage: StageResult, system: System) -> Iterator[str]:
    missing = [limit for limit in stage.limits if limit.verdict == "unknown"]
    if missing:
        mark = assessed.MARKS["unknown"]
        yield f"{mark}: what nobody stated is never called within ({len(missing)})"
        yield from bullets(
            [
                f"{one.title}: {assessed.measured(one.value, one, system)}; look at {one.due}"
                for one in missing
            ]
        )
        yield ""
    unrated = [note.title for note in stage.notes if note.verdict == "unknown"]
    if unrated:
        yield paragraph(f"Note: no rating stated, as often none is: {', '.join(unrated)}.")
        yield ""
    for note in stage.notes:
        if note.verdict == "unknown":
            continue
        yield paragraph(
            f"Note: {note.title} {assessed.measured(note.value, note, system)}, against"
            f" {assessed.measured(note.rating, note, system)}"
            + (f"; {note.source}" if shows_sources() else "")
            + ". Advice never decides."
        )
        yield ""


def _tight(stage: StageResult, found: Assessment, system: System) -> Iterator[str]:
    for verdict, least in (("cannot tell", UNSURE), ("tight", found.tight)):
        limits = [limit for limit in stage.limits if limit.verdict == verdict]
        if not limits:
            continue
        mark, bound = assessed.MARKS[limits[0].verdict], assessed.chance(least)
        yield f"{mark}: {bound} or more chance of not holding"
        yield from bullets([_sharpened_by(limit, stage, found, system) for limit in limits])
        yield ""


def _sharpened_by(limit: LimitStatus, stage: StageResult, found: Assessment, system: System) -> str:
    names = stage.widened.get(limit.name, ())
    why = f"widened most by {', '.join(names)}" if names else "weigh to sharpen"
    return f"{limit.title}: {why}" + (
        f". {assessed.unsure(limit, found, system)}" if limit.verdict == "cannot tell" else ""
    )


def _assumed(found: Assessment, system: System) -> Iterator[str]:
    if not found.assumed:
        return
    yield f"Assumed ({len(found.assumed)}): measure or weigh the first three first"
    rows = [("value", "taken as", "share moves by")]
    for row in found.assumed:
        if row.effect >= SLIGHT:
            taken = assessed.natural(row.value, row.sd, row.dimension, system)
            rows.append((row.name, taken, f"± {100 * row.effect:z.2f} points"))
    yield table(rows)
    own = [f"{row.name} {from_own(row.rigs)}" for row in found.assumed if row.rigs]
    if own:
        yield paragraph(f"{'; '.join(own)} (--shipped leaves them out).", "  ")
    hints = [HINTS[row.name] for row in found.assumed[:3] if row.name in HINTS]
    yield from bullets(hints)
    slight = [row for row in found.assumed if row.effect < SLIGHT]
    if slight:
        names = ", ".join(
            f"{row.name} {assessed.natural(row.value, row.sd, row.dimension, system)}"
            for row in slight
        )
        yield paragraph(f"Hardly move the share: {names}.", "  ")
    yield ""
