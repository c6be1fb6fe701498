"""The part of `steelyard sway` that listens to a recording; `steelyard.cli.sway` is the door."""

from collections.abc import Iterator
from pathlib import Path
from typing import NoReturn

import click
import numpy as np

from steelyard.cli.options import about, drawn, print_json
from steelyard.cli.recording_words import DANGER, heard_lines, sharpened_lines
from steelyard.cli.words import paragraph
from steelyard.estimate import Estimate
from steelyard.files.recording_report import recording_report
from steelyard.files.recordings import read_recording
from steelyard.quantity import System
from steelyard.rig import Rig
from steelyard.swaying.recording_caps import heeded, shown_by
from steelyard.swaying.recordings.recording import Heard, listen
from steelyard.swaying.recordings.update import Sharpened, sharpen
from steelyard.swaying.result import StageSway


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
