"""How much a file may hold: every reader's bounds, in one table that the documentation prints."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from steelyard.fault import Fault, Path, quoted


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """At most so many of something in a kind of file."""

    most: int
    what: str
    where: str


def _limit(most: int, what: str, where: str) -> Limit:
    return Limit(most=most, what=what, where=where)


_TOML: Final = "rig file or ticket"
LIMITS: Final[Mapping[str, Limit]] = MappingProxyType(
    {
        "bytes": _limit(1_000_000, "bytes", "rig file, ticket, list of items or codes' text"),
        "recording bytes": _limit(20_000_000, "bytes", "recording"),
        "sheet bytes": _limit(10_000_000, "bytes", "spreadsheet"),
        "picture bytes": _limit(50_000_000, "bytes", "picture or PDF"),
        "export bytes": _limit(200_000_000, "bytes", "logbook's export"),
        "unpacked bytes": _limit(100_000_000, "bytes once unpacked", "spreadsheet"),
        "parts": _limit(1000, "parts", "spreadsheet"),
        "dots": _limit(200, "dots in a line", _TOML),
        "digits": _limit(100, "digits in a number", _TOML),
        "depth": _limit(16, "tables or lists in each other", _TOML),
        "letters": _limit(100, "letters in a number with its unit", "any file"),
        "line": _limit(1_000_000, "letters in a line", "table of vehicles or trailers"),
        "columns": _limit(400, "columns", "table, list, recording or spreadsheet"),
        "cell": _limit(2000, "letters in a cell", "table, list, recording or spreadsheet"),
        "rows": _limit(5000, "rows", "list of items"),
        "pixels": _limit(150_000_000, "pixels", "picture or page"),
        "pages": _limit(20, "pages", "PDF"),
        "items": _limit(500, "items", "rig file"),
        "places": _limit(200, "places", "rig file"),
        "people": _limit(20, "people", "rig file"),
        "stages": _limit(60, "stages", "rig file"),
        "trailer.tanks": _limit(40, "tanks", "rig file"),
        "vehicle.tanks": _limit(40, "tanks", "rig file"),
        "vehicle.seats": _limit(40, "seats", "rig file"),
        "trailer.equipment": _limit(200, "things", "rig file"),
        "hitch.reducers": _limit(10, "reducers", "rig file"),
        "passes": _limit(200, "passes", "ticket"),
        "scales": _limit(50, "scales", "ticket"),
        "readings": _limit(200, "readings in a pass", "ticket"),
        "list": _limit(1000, "entries in a list", _TOML),
    }
)
"""By key; those that are a path of tables hold for what stands there."""
_COUNTED: Final[dict[Path, str]] = {
    tuple(key.split(".")): key
    for key, limit in LIMITS.items()
    if limit.where in ("rig file", "ticket")
}


def beyond(key: str, found: int, **where: Any) -> Iterator[Fault]:
    """The fault of what is more than its limit; nothing for what is not."""
    limit = LIMITS[key]
    if found > limit.most:
        yield Fault(due=f"at most {limit.most:,} {limit.what}", found=f"{found:,}", **where)


def data_faults(data: Mapping[str, Any]) -> Iterator[Fault]:
    """What is too much, too deep or no plain text in the values of a file, as they are met."""
    waiting: list[tuple[Path, Any]] = [((), data)]
    while waiting:
        path, held = waiting.pop()
        if len(path) > LIMITS["depth"].most and isinstance(held, Mapping | list):
            yield from beyond("depth", len(path), path=path)
            return
        if isinstance(held, str):
            yield from _text_faults(path, held)
        elif isinstance(held, Mapping):
            if path in _COUNTED:
                yield from beyond(_COUNTED[path], len(held), path=path)
            waiting += [((*path, key), value) for key, value in reversed([*held.items()])]
        elif isinstance(held, list | tuple):
            key = "readings" if path[-1:] == ("readings",) else "list"
            yield from beyond(key, len(held), path=path)
            waiting += [((*path, n), value) for n, value in reversed([*enumerate(held)])]


def _text_faults(path: Path, text: str) -> Iterator[Fault]:
    odd = unprintable(text)
    if odd:
        yield Fault(path=path, due="text without control characters", found=quoted(odd))


def unprintable(text: str) -> str:
    """The first letter that steers a terminal; line ends and tabs do not."""
    if text.isprintable():
        return ""
    return next((letter for letter in text if letter in _STEERING), "")


_STEERING: Final = frozenset(chr(code) for code in (*range(0x20), *range(0x7F, 0xA0))) - set(
    "\t\n\r\f"
)
"""Control characters (ISO/IEC 6429)."""
