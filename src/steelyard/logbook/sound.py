"""Whether a weighing can be kept, and what tells it from every other."""

import hashlib
import math
from collections.abc import Iterator
from datetime import date, datetime, time
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.logbook.faults import LogbookError
from steelyard.logbook.records import LoggedReading, Weighing

_TEXTS: Final = ("rig_name", "rig_hash", "taken", "place", "note", "ticket_text", "rig_text")
_NUMBERS: Final = ("trailer_kg", "tongue_kg", "share", "chance")
_SPREADS: Final = ("trailer_sd_kg", "tongue_sd_kg", "share_sd")
_IN_READING: Final = ("pass_name", "kind", "name", "unit", "text")


def require_sound(weighing: Weighing) -> None:
    """Refuse, in one sentence, what could not be read back as it was."""
    wall_clock(weighing.taken, "taken")
    for path, text in _texts(weighing):
        _require_text(path, text)
    for path, number in _numbers(weighing):
        _require_finite(path, number)
    for path, spread in _spreads(weighing):
        if spread < 0:
            raise LogbookError(f"{path}: expected a spread of at least zero, found {spread}")
    _require_posterior(weighing)


def _texts(weighing: Weighing) -> Iterator[tuple[str, str | None]]:
    yield from ((name, getattr(weighing, name)) for name in (*_TEXTS, "version"))
    yield from (("names", name) for name in weighing.names)
    for path, reading in _readings(weighing):
        yield from ((f"{path}.{name}", getattr(reading, name)) for name in _IN_READING)


def _numbers(weighing: Weighing) -> Iterator[tuple[str, float | None]]:
    yield from ((name, getattr(weighing, name)) for name in (*_NUMBERS, *_SPREADS))
    for path, reading in _readings(weighing):
        for name in ("value_si", "sd_si", "predicted_si", "standardised"):
            yield f"{path}.{name}", getattr(reading, name)


def _spreads(weighing: Weighing) -> Iterator[tuple[str, float]]:
    yield from ((name, getattr(weighing, name)) for name in _SPREADS)
    yield from ((f"{path}.sd_si", reading.sd_si) for path, reading in _readings(weighing))


def _readings(weighing: Weighing) -> Iterator[tuple[str, LoggedReading]]:
    for place, reading in enumerate(weighing.readings):
        yield f"readings[{place}]", reading


def _require_text(path: str, found: str | None) -> None:
    try:
        (found or "").encode()
    except UnicodeEncodeError:
        raise LogbookError(f"{path}: expected text, found {found!r}") from None


def _require_finite(path: str, found: float | None) -> None:
    if found is not None and not math.isfinite(found):
        raise LogbookError(f"{path}: expected a finite number, found {found}")


def _require_posterior(weighing: Weighing) -> None:
    p = len(weighing.names)
    sizes = [len(weighing.scales), len(weighing.mean), len(weighing.cov), *map(len, weighing.cov)]
    if set(sizes) - {p}:
        raise LogbookError(f"posterior: expected {p} of each, as there are names; found {sizes}")
    if not (np.isfinite(vector(weighing)).all() and np.isfinite(matrix(weighing)).all()):
        raise LogbookError("posterior: expected finite numbers, found others")


def vector(weighing: Weighing) -> NDArray[np.float64]:
    """The posterior's mean, (p,), little-endian."""
    return np.asarray(weighing.mean, dtype="<f8")


def matrix(weighing: Weighing) -> NDArray[np.float64]:
    """The posterior's covariance, (p, p), little-endian."""
    return np.asarray(weighing.cov, dtype="<f8")


def wall_clock(text: str, name: str, *, end_of_day: bool = False) -> str:
    """A date and time as a clock at the place showed it, in a form that sorts.

    A zone that was written is left out: days and seasons are those of the place. A date alone is
    its first moment, or its last.
    """
    try:
        if len(text) <= len("2025-06-01"):
            day = date.fromisoformat(text)
            moment = datetime.combine(day, time.max if end_of_day else time.min)
        else:
            moment = datetime.fromisoformat(text)
    except ValueError:
        due = "a date and time such as 2025-06-01 14:30"
        raise LogbookError(f"{name}: expected {due}, found {text[:60]!r}") from None
    return moment.replace(tzinfo=None).isoformat(timespec="microseconds")


def fingerprint(weighing: Weighing) -> str:
    """The same for two weighings only where everything is the same, to the last bit."""
    head = [_plain(getattr(weighing, name)) for name in (*_TEXTS, "version", *_NUMBERS, *_SPREADS)]
    readings = [
        [_plain(getattr(reading, name)) for name in LoggedReading.__slots__]
        for reading in weighing.readings
    ]
    said = repr((head, readings, list(weighing.names), list(weighing.scales)))
    found = hashlib.sha256(said.encode())
    found.update(vector(weighing).tobytes())
    found.update(matrix(weighing).tobytes())
    return found.hexdigest()


def _plain(value: Any) -> Any:
    """Numbers as the database gives them back: floats, and no zero with a minus."""
    return value if value is None or isinstance(value, str) else float(value) + 0.0
