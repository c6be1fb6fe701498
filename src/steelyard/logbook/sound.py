"""Whether a weighing can be kept, and what tells it from every other."""

import hashlib
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime, time
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.fault import Path, quoted
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.records import LoggedReading, Weighing

_TEXTS: Final = ("rig_name", "rig_hash", "taken", "place", "note", "ticket_text", "rig_text")
_NUMBERS: Final = ("trailer_kg", "tongue_kg", "share", "chance")
_SPREADS: Final = ("trailer_sd_kg", "tongue_sd_kg", "share_sd")
_IN_READING: Final = ("pass_name", "kind", "name", "unit", "text")


def require_sound(weighing: Weighing) -> None:
    """Refuse what could not be read back as it was."""
    wall_clock(weighing.taken, path=("taken",))
    for path, text in _texts(weighing):
        _require_text(path, text)
    for path, number in _numbers(weighing):
        if number is not None and not math.isfinite(number):
            raise LogbookError(path=path, due="a finite number", found=str(number))
    for path, spread in _spreads(weighing):
        if spread < 0:
            raise LogbookError(path=path, due="a spread of at least zero", found=str(spread))
    _require_posterior(weighing)
    _require_evidence(weighing)


def _texts(weighing: Weighing) -> Iterator[tuple[Path, str | None]]:
    yield from (((name,), getattr(weighing, name)) for name in (*_TEXTS, "version"))
    yield from ((("names",), name) for name in weighing.names)
    yield from _of_readings(weighing, _IN_READING)


def _numbers(weighing: Weighing) -> Iterator[tuple[Path, float | None]]:
    yield from (((name,), getattr(weighing, name)) for name in (*_NUMBERS, *_SPREADS))
    yield from _of_readings(weighing, ("value_si", "sd_si", "predicted_si", "standardised"))


def _spreads(weighing: Weighing) -> Iterator[tuple[Path, float]]:
    yield from (((name,), getattr(weighing, name)) for name in _SPREADS)
    yield from _of_readings(weighing, ("sd_si",))


def _of_readings(weighing: Weighing, names: Sequence[str]) -> Iterator[tuple[Path, Any]]:
    for place, reading in enumerate(weighing.readings):
        yield from ((("readings", place, name), getattr(reading, name)) for name in names)


def _require_text(path: Path, found: str | None) -> None:
    try:
        (found or "").encode()
    except UnicodeEncodeError:
        raise LogbookError(path=path, due="text", found=quoted(found)) from None


def _require_posterior(weighing: Weighing) -> None:
    p, path = len(weighing.names), ("posterior",)
    sizes = [len(weighing.scales), len(weighing.mean), len(weighing.cov), *map(len, weighing.cov)]
    if set(sizes) - {p}:
        raise LogbookError(path=path, due=f"{p} of each, as there are names", found=quoted(sizes))
    if not (np.isfinite(vector(weighing)).all() and np.isfinite(matrix(weighing)).all()):
        raise LogbookError(path=path, due="finite numbers", found="others")


def _require_evidence(weighing: Weighing) -> None:
    for place, one in enumerate(weighing.evidence or ()):
        if not one.sound():
            due = "a belief in typical values of a style before and after the readings"
            raise LogbookError(path=("evidence", place), due=due, found="something else")


def vector(weighing: Weighing) -> NDArray[np.float64]:
    """The posterior's mean, (p,), little-endian."""
    return np.asarray(weighing.mean, dtype="<f8")


def matrix(weighing: Weighing) -> NDArray[np.float64]:
    """The posterior's covariance, (p, p), little-endian."""
    return np.asarray(weighing.cov, dtype="<f8")


def wall_clock(text: str, *, end_of_day: bool = False, **where: Any) -> str:
    """A date and time as a clock at the place showed it, in a form that sorts.

    A zone that was written is left out: days and seasons are those of the place. A date alone is
    its first moment, or its last. `where`: the path or argument of a Fault.
    """
    try:
        if len(text) <= len("2025-06-01"):
            day = date.fromisoformat(text)
            moment = datetime.combine(day, time.max if end_of_day else time.min)
        else:
            moment = datetime.fromisoformat(text)
    except ValueError:
        due = "a date and time such as 2025-06-01 14:30"
        raise LogbookError(due=due, found=quoted(text), **where) from None
    return moment.replace(tzinfo=None).isoformat(timespec="microseconds")


def fingerprint(weighing: Weighing) -> str:
    """The same for two weighings only where everything is the same, to the last bit."""
    readings = [
        [getattr(reading, name) for name in LoggedReading.__slots__]
        for reading in weighing.readings
    ]
    held = vector(weighing).tobytes(), matrix(weighing).tobytes()
    said = {name: getattr(weighing, name) for name in Weighing.__slots__}
    return digest(said, readings, weighing.names, weighing.scales, *held)


def digest(
    said: Mapping[str, Any],
    readings: Iterable[Iterable[Any]],
    names: Iterable[str],
    scales: Iterable[str],
    mean: bytes,
    cov: bytes,
) -> str:
    """A fingerprint from a weighing's parts as they lie in the database."""
    head = [_plain(said[name]) for name in (*_TEXTS, "version", *_NUMBERS, *_SPREADS)]
    rows = [[_plain(value) for value in reading] for reading in readings]
    words = repr((head, rows, list(map(str, names)), list(map(str, scales))))
    found = hashlib.sha256(words.encode())
    found.update(mean)
    found.update(cov)
    return found.hexdigest()


def seal(*values: Any) -> str:
    """What holds a row of the database to what was written there."""
    return hashlib.sha256(repr(values).encode("utf-8", "surrogatepass")).hexdigest()[:16]


def _plain(value: Any) -> Any:
    """As the database gives it back: plain text, floats, and no zero with a minus."""
    if value is None:
        return None
    return str(value) if isinstance(value, str) else float(value) + 0.0
