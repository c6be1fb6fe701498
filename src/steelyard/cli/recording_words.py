"""`steelyard sway --recording`: listening to a recording, and what is said of it to people."""

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Final, NoReturn

import click
import numpy as np

from steelyard.cli.options import about, drawn, print_json
from steelyard.cli.sway_words import critical_words
from steelyard.cli.words import paragraph, table
from steelyard.estimate import Estimate
from steelyard.files.recording_report import recording_report
from steelyard.files.recordings import read_recording
from steelyard.quantity import Z95, System, to_border, unit_of
from steelyard.rig import Rig
from steelyard.swaying.recording_caps import heeded, shown_by
from steelyard.swaying.recordings.recording import Episode, Heard, Reason, listen
from steelyard.swaying.recordings.trend import FEWEST, Trend
from steelyard.swaying.recordings.update import TOLD, Sharpened, sharpen
from steelyard.swaying.result import CriticalSpeed, StageSway
from steelyard.words.assessed import MARKS
from steelyard.words.sway import FAST, band_words, beyond, speed, told

DANGER: Final = (
    "Swinging a rig on purpose on a public road is dangerous, to others too: a swing that grows"
    " cannot be caught. Only on a closed course, with people who do this for a living; elsewhere"
    " record what happens by itself, and slow down."
)
REFUSED: Final[dict[Reason, str]] = {
    "speed": "the speed changed",
    "sampling": "too few samples a swing",
    "drift": "drift larger than the swing",
    "faint": "too little excitation for the noise",
    "short": "too short",
    "shape": "not the shape of a free swing",
    "grew": "grew, but too roughly to be measured",
    "held": "had grown, then kept their size",
}
WORDS: Final = (
    "trailer tyres, stiffness/load",
    "rear tyres, the same",
    "own understeer, rad/g",
    "tyre relaxation, m",
    "trailer yaw radius/length",
    "vehicle yaw inertia/(m a b)",
)

PLAIN: Final = dict(zip(TOLD, WORDS, strict=True))
APART: Final = 0.5
"""m/s between two speeds that are told apart."""
UNLIKELY: Final = 3.0
"""Sds from what the rig file foretold beyond which a reader is told."""


def heard_lines(heard: Heard, system: System) -> Iterator[str]:
    """The recording: what it is, its episodes, and what they say together."""
    yield from growth_lines(heard, system)
    yield paragraph(_recorded(heard))
    yield ""
    yield from _episodes(heard, system)
    yield ""
    yield paragraph(trend_line(heard, system))
    yield ""


def growth_lines(heard: Heard, system: System) -> Iterator[str]:
    """The danger that swings grew by themselves, before anything else."""
    grown = [one for one in heard.episodes if one.grows]
    rough = heard.refused.get("grew", 0)
    if not grown and not rough:
        return
    if grown:
        worst = min(grown, key=lambda one: one.speed)
        said = (
            f"at {speed(worst.speed, system)} a swing GREW by itself: damping ratio"
            f" {worst.fit.ratio:z.3f} ({worst.low:z.3f} to {worst.high:z.3f}), doubling every"
            f" {worst.doubling:z.1f} s."
        )
    else:
        said = "swings GREW by themselves, too roughly to be measured."
    yield paragraph(
        f"{MARKS['exceeded'][0]} DANGER: {said} Loaded like this the rig loses itself at that"
        " speed. Do not tow it so; slow down well below it, and load differently first."
    )
    yield ""


def _recorded(heard: Heard) -> str:
    times = heard.recording.times
    words = (
        f"Recording of {heard.recording.quantity}: {times[-1] - times[0]:z,.0f} s at"
        f" {heard.rate:z.0f} samples a second"
    )
    notes = list(heard.recording.remarks)
    if heard.gaps:
        notes.append(f"{heard.gaps} gap{'s' if heard.gaps > 1 else ''} in time, none bridged")
    lost = [f"{REFUSED[reason]} ({count})" for reason, count in heard.refused.items()]
    if lost:
        notes.append(f"swings left out: {', '.join(lost)}")
    return f"{words}. {'; '.join(notes).capitalize()}." if notes else f"{words}."


def _episodes(heard: Heard, system: System) -> Iterator[str]:
    unit = unit_of("speed", system)
    rows: list[Sequence[str]] = [
        ("free swing at, s", f"speed, {unit}", "damping ratio", "by peaks", "Hz", "swings")
    ]
    rows += [_row(one, system) for one in heard.episodes]
    yield table(rows, left=())
    if any(one.later for one in heard.episodes):
        yield paragraph(
            "In some the first half swing was left out: it had not come free of the push yet."
        )
    drift = max(
        abs(one.fit.drift) * (one.end - one.start) / one.fit.amplitude for one in heard.episodes
    )
    if drift > 0.2:
        yield paragraph(f"Drift, up to {100 * drift:z.0f} % of the swing, was taken off as a line.")


def _row(one: Episode, system: System) -> Sequence[str]:
    half = one.fit.reach * one.fit.ratio_sd
    hertz, spread = (x / (2 * np.pi) for x in (one.fit.frequency, one.fit.frequency_sd))
    return (
        f"{one.start:z.1f} to {one.end:z.1f}",
        f"{to_border(one.speed, 'speed', system):z.0f}",
        f"{one.fit.ratio:z.3f} ± {half:z.3f}",
        f"{one.peaks:z.3f}" if np.isfinite(one.peaks) else "-",
        f"{hertz:z.3f} ± {one.fit.reach * spread:z.3f}",
        f"{one.swings:z.1f}",
    )


def trend_line(heard: Heard, system: System) -> str:
    """What damping does with speed, and where it is gone, or why that is not said."""
    line = heard.trend
    if line is None or heard.straight is None:
        count = len(heard.episodes)
        return (
            f"{count} swing{'s' if count > 1 else ''} of this kind: damping only. A trend with"
            f" speed is not told from fewer than {FEWEST} at clearly different speeds."
        )
    if not line.tells:
        return (
            "These swings do not surely show damping falling with speed, so the speed at which it"
            " is gone is not told. That is no sign that it is safe."
        )
    words = (
        f"By a line in 1/speed, as the linear model has it, damping is gone {_zero(line, system)};"
        f" a line in speed itself, which errs low, says {_point(heard.straight.zero, system)}."
    )
    if line.scatter > 1.0:
        words += f" The swings scatter {line.scatter:z.1f} times what their own spreads allow."
    return words + _outside(line, system)


def _zero(line: Trend, system: System) -> str:
    """The zero with its 95 % interval."""
    low, high = _point(line.low, system), _point(line.high, system)
    if not line.zero < FAST:
        return beyond(system) + (f" (95 %: perhaps from {low})" if told(line.low, system) else "")
    return f"at {_point(line.zero, system)} (95 %: {low} to {high})"


def _point(si: float, system: System) -> str:
    return speed(si, system) if si < FAST else beyond(system)


def _outside(line: Trend, system: System) -> str:
    fastest = speed(line.fastest, system)
    if line.far:
        return (
            f" This is an extrapolation far outside the speeds driven (up to {fastest}): take it"
            " as a direction, not as a limit."
        )
    if line.zero > line.fastest:
        return f" This is an extrapolation: nothing was driven above {fastest}."
    return ""


def sharpened_lines(
    found: Sharpened,
    before: StageSway,
    model: StageSway,
    given: StageSway,
    system: System,
    *,
    heeds: bool,
) -> Iterator[str]:
    """Before and after the recording; given: the model's answer or what the recording shows, the
    lower."""
    after = model
    at = speed(before.chosen_speed, system)
    unit = unit_of("speed", system)
    rows: list[Sequence[str]] = [("", "rig file", "with recording")]
    rows.append((f"damping ratio at {at}", *(band_words(x.at_damping, 3) for x in (before, after))))
    rows.append(
        (
            f"sway grows from, {unit}",
            critical_words(before.wagging, system),
            critical_words(after.wagging, system),
        )
    )
    rows += [
        (words, _value(found.before, name), _value(found.after, name))
        for name, words in PLAIN.items()
        if name in found.before.index
    ]
    yield paragraph(f"The recording, taken as driven at “{found.title}” (--stage says otherwise):")
    yield table(rows, indent="")
    yield from disagreement(found, model, given, system, heeds=heeds)
    worst = float(np.max(np.abs(found.off)))
    if max(worst, found.pull) > UNLIKELY:
        yield paragraph(
            f"These swings are not what this rig file foretells: up to {worst:z.1f} sd off, and"
            f" {found.pulled} had to move by {found.pull:z.1f} sd. Look at the stage, the weights"
            " and the tyres before trusting any number here."
        )
    yield paragraph(
        "What the linear model leaves out (friction at the coupling, roll) is taken as alike in all"
        " swings, ± 0.02 of damping ratio and ± 5 % of frequency: assumed."
    )
    yield ""


def disagreement(
    found: Sharpened, model: StageSway, given: StageSway, system: System, *, heeds: bool
) -> Iterator[str]:
    """That the recording's own trend is worse than the sharpened model, and the lower is given;
    heeds: whether it has a trend, or a swing that grew."""
    if model.key != found.stage:
        yield paragraph(f"“{model.title}” was not driven: what is said of it is the model's alone.")
        return
    starts = [_starts(one.wagging, system) for one in (given, model)]
    slower = given.wagging.value < model.wagging.value - APART and len(set(starts)) > 1
    damped = float(given.at_damping.value) < float(model.at_damping.value) - 0.005
    if not slower and not damped:
        return
    parts = []
    if slower:
        parts.append("sway grows {}, not {}".format(*starts))
    if damped:
        parts.append(
            f"damping {float(given.at_damping.value):z.3f} at {speed(given.chosen_speed, system)},"
            f" not {float(model.at_damping.value):z.3f}"
        )
    why = "The swings themselves and the model made sharper by them disagree. By the swings"
    if not heeds:
        why = "The model made sharper by these swings says more than they show. Without a trend"
    yield paragraph(
        f"{why}: {'; '.join(parts)}. A recording never raises a speed beyond what it shows: the"
        " answer above gives the lower."
    )


def _starts(found: CriticalSpeed, system: System) -> str:
    if not found.value < FAST:
        return beyond(system)
    return f"from {speed(found.value, system)}"


def _value(belief: Estimate, name: str) -> str:
    """A parameter with its 95 % interval, whatever its scale."""
    place = belief.index[name]
    reach = Z95 * float(belief.sd[place])
    points = np.tile(belief.mean, (3, 1))
    points[:, place] += np.array([-reach, 0.0, reach])
    low, value, high = (float(x) for x in belief.values(points)[name])
    return f"{value:.2g} ({low:.2g} to {high:.2g})"


def hear(path: str) -> Heard:
    """What a recording tells; bad input ends the command with a sentence."""
    recording = read_recording(path)
    with about(Path(path).name):
        return listen(recording)


def alone(path: str, figure: Path | None, system: System, *, as_json: bool) -> NoReturn:
    """A recording without a rig: said, or told as JSON, and drawn where asked for."""
    heard = hear(path)
    if figure is not None:
        from steelyard.drawing.recording import recording_picture

        drawn(figure, recording_picture(heard, system))
    if as_json:
        print_json(recording_report(heard))
    else:
        click.echo("\n".join([*heard_lines(heard, system), paragraph(DANGER)]))
    raise SystemExit(1 if heard.grows else 0)


def sharper_by(
    rig: Rig, heard: Heard, stages: tuple[str, ...] | None, estimate: Estimate | None
) -> Sharpened:
    """The belief given the recording; driven at the first stage asked for, else the rig's first."""
    with about("--recording"):
        return sharpen(rig, heard, stages[0] if stages else None, estimate)


def heeding(
    model: tuple[StageSway, ...],
    before: tuple[StageSway, ...],
    heard: Heard | None,
    told: Sharpened | None,
) -> tuple[StageSway, ...]:
    """The stages, the driven one no calmer than a recording shows; before: without it."""
    if heard is None or told is None:
        return model
    pairs = zip(model, before, strict=True)
    return tuple(heeded(one, heard, old) if one.key == told.stage else one for one, old in pairs)


def compared(
    heard: Heard,
    sharpened: Sharpened,
    before: StageSway,
    model: StageSway,
    given: StageSway,
    system: System,
) -> Iterator[str]:
    """The recording's lines in a rig's answer."""
    heeds = bool(np.isfinite(shown_by(heard).gone))
    yield ""
    yield from heard_lines(heard, system)
    yield from sharpened_lines(sharpened, before, model, given, system, heeds=heeds)
    yield paragraph(DANGER)
