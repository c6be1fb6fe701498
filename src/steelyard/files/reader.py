"""Reading a rig file: every fault becomes one sentence with file, line and key."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, TypeVar

from pydantic import BaseModel, ValidationError

from steelyard.files.faults import FileFaultError, from_validation
from steelyard.rig import FORMAT, Rig

LARGEST: Final = 1_000_000
"""Bytes; a user's file is a few kilobytes, so a larger one is refused before it is read."""


Model = TypeVar("Model", bound=BaseModel)


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """A kind of file: what it is called, its version's key and the newest version read."""

    noun: str
    key: str
    newest: int


RIG_FILE: Final = Form(noun="rig file", key="format", newest=FORMAT)


def read_rig(path: str | Path) -> Rig:
    """The rig in a TOML file.

    Raises FileFaultError, whose text is one sentence a fault naming file, line, key, what was found
    and what is due. Nothing is ever written.
    """
    where = Path(path)
    return parse_rig(read_text(where, RIG_FILE.noun), where.name)


def parse_rig(text: str, name: str = "rig file") -> Rig:
    """The rig in TOML text; `name` stands for the file in messages."""
    return parse_form(Rig, text, name, RIG_FILE)


def parse_form(model: type[Model], text: str, name: str, form: Form) -> Model:
    """A model from TOML text whose first key is its form's version."""
    data = _data(text, name)
    _check_version(data, name, form)
    return validated(model, data, text, name)


def validated(model: type[Model], data: Mapping[str, Any], text: str, name: str) -> Model:
    """A model from plain data that was read from `text`."""
    try:
        try:
            return model.model_validate(data)
        except ValidationError as error:
            raise from_validation(error, text, name, model) from None
    except RecursionError:
        raise FileFaultError([f"{name}: expected fewer tables in each other"]) from None


def read_text(path: Path, noun: str) -> str:
    """The text of a user's file; FileFaultError where there is none, or too much of it."""
    try:
        size = path.stat().st_size
        if size > LARGEST:
            why = f"expected a {noun} of at most {LARGEST:,} bytes, found {size:,}"
            raise FileFaultError([f"{path.name}: {why}"])
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        why = f"expected UTF-8 text, found byte {error.object[error.start]:#04x} at {error.start}"
        raise FileFaultError([f"{path.name}: {why}"]) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "not a path"
        raise FileFaultError(
            [f"{path}: expected a {noun}, found none ({reason.lower()})"]
        ) from None


def _data(text: str, name: str) -> Mapping[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise FileFaultError(
            [f"{name}: expected TOML, found a fault: {_lower(str(error))}"]
        ) from None
    except (RecursionError, ValueError) as error:
        why = "tables nested too deep" if isinstance(error, RecursionError) else _lower(str(error))
        raise FileFaultError([f"{name}: expected TOML, found {why}"]) from None


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:200]


def _check_version(data: Mapping[str, Any], name: str, form: Form) -> None:
    key, newest, found = form.key, form.newest, data.get(form.key)
    if found is None or next(iter(data)) != key:
        place = "further down" if found is not None else "none"
        why = f"expected `{key} = {newest}` as first key, found {place}"
        raise FileFaultError([f"{name}, line 1: {why}"])
    if not isinstance(found, int) or isinstance(found, bool) or found < 1:
        raise FileFaultError([f"{name}, {key}: expected {newest}, found {str(found)[:40]!r}"])
    if found > newest:
        why = f"expected at most {newest}, found {found}: a newer Steelyard is due"
        raise FileFaultError([f"{name}, {key}: {why}"])
