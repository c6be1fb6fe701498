"""Validation errors as faults, with the line of each."""

from collections.abc import Mapping
from dataclasses import replace

from pydantic import BaseModel, ValidationError

from steelyard.fault import FaultError, Path
from steelyard.rig.spelling import ALSO, KEY
from steelyard.rig.validation import validation_faults


class FileFaultError(FaultError):
    """A file that cannot be used."""


def from_validation(
    error: ValidationError, text: str, name: str, root: type[BaseModel]
) -> FileFaultError:
    """All faults in file order, with lines from a syntax tree that is loaded only now."""
    from steelyard.files.lines import key_lines

    lines = key_lines(text)
    found = [
        replace(fault, file=name, path=path, line=_line(path, lines))
        for fault in validation_faults(error, root)
        for path in (_as_spelt(fault.path, lines),)
    ]
    return FileFaultError(*sorted(found, key=lambda one: one.line or 0))


def located(error: FaultError, text: str, name: str) -> FaultError:
    """The same faults, found once the file was read, with the line that each stands on."""
    from steelyard.files.lines import key_lines

    lines = key_lines(text)
    return type(error)(
        *(replace(one, file=name, line=_line(one.path, lines)) for one in error.faults)
    )


def _as_spelt(path: Path, lines: Mapping[Path, int]) -> Path:
    """The path with `tires` where the file spells it so."""
    for end, part in enumerate(path):
        if part == KEY and (*path[:end], ALSO) in lines:
            return (*path[:end], ALSO, *path[end + 1 :])
    return path


def _line(path: Path, lines: Mapping[Path, int]) -> int | None:
    """Line of the key, else of the nearest table around it."""
    ends = (path[:end] for end in range(len(path), 0, -1))
    return next((lines[end] for end in ends if end in lines), None)
