"""Reading a rig file: every fault becomes one sentence with file, line and key."""

import codecs
import re
import stat
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import Any, Final, TypeVar

from pydantic import BaseModel, ValidationError

from steelyard.fault import Fault, quoted, require
from steelyard.files.faults import FileFaultError, from_validation
from steelyard.files.limits import LIMITS, beyond, data_faults, unprintable
from steelyard.rig import FORMAT, Rig

LARGEST: Final = LIMITS["bytes"].most


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

    path: of the file, text or Path. Values with a unit become SI. Raises FileFaultError, a
    FaultError whose text is one sentence a fault naming file, line, key, what was found and what is
    due. Nothing is ever written.

    >>> from steelyard import read_rig
    >>> round(read_rig("perihelion-camper.toml").trailer.gvwr.value)  # kg, of 7000 lb
    3175
    """
    require(path, str | Path, "path", "the path of a rig file")
    where = Path(path)
    return parse_rig(read_text(where, RIG_FILE.noun), where.name)


def parse_rig(text: str, name: str = "rig file") -> Rig:
    """The rig in TOML text; `name` stands for the file in messages."""
    return parse_form(Rig, text, name, RIG_FILE)


def read_placing(path: str | Path) -> tuple[Rig, tuple[str, ...]]:
    """The rig in a TOML file whose items may lack a place, and which do: those stand in the rig's
    first place until one is found for them. Faults as of `read_rig`."""
    where = Path(path)
    text = read_text(where, RIG_FILE.noun)
    data = toml(text, where.name)
    items, places = data.get("items"), data.get("places")
    if not isinstance(items, dict) or not isinstance(places, dict) or not places:
        return parse_rig(text, where.name), ()
    bare = tuple(n for n, one in items.items() if isinstance(one, dict) and "place" not in one)
    _check_version(data, where.name, RIG_FILE)
    first = {"place": next(iter(places))}
    stood = {n: {**one, **first} if n in bare else one for n, one in items.items()}
    return validated(Rig, {**data, "items": stood}, text, where.name), bare


def parse_form(model: type[Model], text: str, name: str, form: Form) -> Model:
    """A model from TOML text whose first key is its form's version."""
    data = toml(text, name)
    _check_version(data, name, form)
    return validated(model, data, text, name)


def validated(model: type[Model], data: Mapping[str, Any], text: str, name: str) -> Model:
    """A model from plain data that was read from `text`."""
    over = next(data_faults(data), None)
    if over is not None:
        raise FileFaultError(over).within(file=name)
    try:
        try:
            return model.model_validate(data)
        except ValidationError as error:
            raise from_validation(error, text, name, model) from None
    except RecursionError:
        raise FileFaultError(file=name, due="fewer tables in each other") from None


def read_text(path: Path, noun: str) -> str:
    """The text of a user's file; FileFaultError where there is none, or too much of it."""
    return decoded(read_bytes(path, noun), path.name)


def read_bytes(path: Path, noun: str, largest: int = LARGEST) -> bytes:
    """What is in a user's file; FileFaultError where there is none, or too much of it."""
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode) and not path.is_dir():
            fault = Fault(file=str(path), due=f"a {noun}", found="a pipe or a device")
            raise FileFaultError(fault)
        with path.open("rb") as file:
            data = file.read(largest + 1)
    except FileFaultError:
        raise
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or "not a path").lower()
        fault = Fault(file=str(path), due=f"a {noun}", found="none", hint=reason)
        raise FileFaultError(fault) from None
    if len(data) > largest:
        due, found = f"a {noun} of at most {largest:,} bytes", f"{max(status.st_size, len(data)):,}"
        raise FileFaultError(file=path.name, due=due, found=found)
    return data


def decoded(data: bytes, name: str) -> str:
    """Text in UTF-8, with a byte order mark or without, and no letter that steers a terminal."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        hint = "save it again as UTF-8"
        raise FileFaultError(file=name, due="UTF-8 text", found="UTF-16", hint=hint)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        found = f"byte {error.object[error.start]:#04x} at {error.start}"
        raise FileFaultError(file=name, due="UTF-8 text", found=found) from None
    odd = unprintable(text)
    if odd:
        line, due = text[: text.index(odd)].count("\n") + 1, "text without control characters"
        raise FileFaultError(file=name, line=line, due=due, found=quoted(odd))
    return text


_DIGITS: Final = re.compile(r"\d{20,}")
_AT: Final = re.compile(r"\(at line (\d+), column \d+\)")
_SLIPS: Final = (
    (re.compile("([\u2018-\u201f«»])"), 'straight quotes, "like this"'),
    (re.compile(r"[=,\[]\s*(yes|no|on|off|True|False)\b", re.IGNORECASE), "true or false"),
)
"""What people write where TOML wants something else, and what that is."""


def toml(text: str, name: str) -> dict[str, Any]:
    """The plain values in TOML text."""
    for number, line in enumerate(text.split("\n"), start=1):
        digits = max(map(len, _DIGITS.findall(line)), default=0)
        counted = (("dots", line.count(".")), ("digits", digits))
        for fault in chain.from_iterable(beyond(*one, file=name, line=number) for one in counted):
            raise FileFaultError(fault)
    try:
        return tomllib.loads(text)
    except RecursionError:
        due = f"at most {LIMITS['depth'].most} {LIMITS['depth'].what}"
        raise FileFaultError(file=name, due=due, found="far more") from None
    except tomllib.TOMLDecodeError as error:
        raise not_toml(name, str(error), text) from None


def not_toml(name: str, why: str, text: str) -> FileFaultError:
    """Text that is no TOML: the slip that people make, else what its reader says of it."""
    at = _AT.search(why)
    number = int(at[1]) if at else text.rstrip().count("\n") + 1
    line = text.split("\n")[number - 1].partition("#")[0]
    for slip, due in _SLIPS:
        if found := slip.search(line):
            return FileFaultError(file=name, line=number, due=due, found=found[1])
    if re.search("overwrite a value|declare .* twice|uplicate inline", why):
        inline = re.search(r"key '(.+?)'", why)
        twice = inline[1] if inline else line.partition("=")[0]
        due, said = "each key and table once", f"{quoted(twice.strip())} again"
        return FileFaultError(file=name, line=number, due=due, found=said)
    said = f"a fault: {why[:1].lower()}{why[1:200]}"
    last = number if "at end of document" in why else None
    return FileFaultError(file=name, line=last, due="TOML", found=said)


def _check_version(data: Mapping[str, Any], name: str, form: Form) -> None:
    key, newest, found = form.key, form.newest, data.get(form.key)
    if found is None or next(iter(data)) != key:
        place = "it further down" if found is not None else "none"
        due = f"`{key} = {newest}` as first key"
        raise FileFaultError(file=name, line=1, due=due, found=place)
    if not isinstance(found, int) or isinstance(found, bool) or found < 1:
        raise FileFaultError(file=name, path=(key,), due=str(newest), found=quoted(str(found)))
    if found > newest:
        due, hint = f"at most {newest}", "a newer Steelyard is due"
        raise FileFaultError(file=name, path=(key,), due=due, found=str(found), hint=hint)
