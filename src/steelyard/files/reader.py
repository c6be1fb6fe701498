"""Reading a rig file: every fault becomes one sentence with file, line and key."""

import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from pydantic import ValidationError

from steelyard.files.faults import RigFileError, from_validation
from steelyard.rig import FORMAT, Rig

LARGEST: Final = 1_000_000
"""Bytes; a rig file is a few kilobytes, so a larger one is refused before it is read."""


def read_rig(path: str | Path) -> Rig:
    """The rig in a TOML file.

    Raises RigFileError, whose text is one sentence a fault naming file, line, key, what was found
    and what is due. Nothing is ever written.
    """
    where = Path(path)
    return parse_rig(_text(where), where.name)


def parse_rig(text: str, name: str = "rig file") -> Rig:
    """The rig in TOML text; `name` stands for the file in messages."""
    data = _data(text, name)
    _check_format(data, name)
    try:
        return Rig.model_validate(data)
    except ValidationError as error:
        raise from_validation(error, text, name) from None
    except RecursionError:
        raise RigFileError([f"{name}: expected a rig file, found tables nested too deep"]) from None


def _text(path: Path) -> str:
    try:
        size = path.stat().st_size
        if size > LARGEST:
            why = f"expected a rig file of at most {LARGEST:,} bytes, found {size:,}"
            raise RigFileError([f"{path.name}: {why}"])
        return path.read_bytes().decode("utf-8")
    except UnicodeDecodeError as error:
        why = f"expected UTF-8 text, found byte {error.object[error.start]:#04x} at {error.start}"
        raise RigFileError([f"{path.name}: {why}"]) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not a path"
        raise RigFileError(
            [f"{path}: expected a rig file, found none ({reason.lower()})"]
        ) from None


def _data(text: str, name: str) -> Mapping[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise RigFileError(
            [f"{name}: expected TOML, found a fault: {_lower(str(error))}"]
        ) from None
    except (RecursionError, ValueError) as error:
        why = "tables nested too deep" if isinstance(error, RecursionError) else _lower(str(error))
        raise RigFileError([f"{name}: expected TOML, found {why}"]) from None


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:200]


def _check_format(data: Mapping[str, Any], name: str) -> None:
    found = data.get("format")
    if found is None or next(iter(data)) != "format":
        place = "further down" if found is not None else "none"
        raise RigFileError(
            [f"{name}, line 1: expected `format = {FORMAT}` as first key, found {place}"]
        )
    if not isinstance(found, int) or isinstance(found, bool) or found < 1:
        raise RigFileError([f"{name}, format: expected {FORMAT}, found {str(found)[:40]!r}"])
    if found > FORMAT:
        raise RigFileError(
            [f"{name}, format: expected at most {FORMAT}, found {found}: a newer Steelyard is due"]
        )
