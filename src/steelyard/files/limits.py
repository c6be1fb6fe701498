"""How much a file may hold: every reader's bounds, in one table that the documentation prints."""

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from steelyard.fault import Fault, Path, quoted


class Limit(NamedTuple):
    """At most so many of something in a kind of file."""

    most: int
    what: str
    where: str


_TOML: Final = "rig file or ticket"
LIMITS: Final[Mapping[str, Limit]] = MappingProxyType(
    {
        "bytes": Limit(1_000_000, "bytes", "rig file, ticket, list of items or codes' text"),
        "recording bytes": Limit(20_000_000, "bytes", "recording"),
        "sheet bytes": Limit(10_000_000, "bytes", "spreadsheet"),
        "picture bytes": Limit(50_000_000, "bytes", "picture or PDF"),
        "export bytes": Limit(200_000_000, "bytes", "logbook's export"),
        "unpacked bytes": Limit(100_000_000, "bytes once unpacked", "spreadsheet"),
        "parts": Limit(1000, "parts", "spreadsheet"),
        "dots": Limit(200, "dots in a line", _TOML),
        "digits": Limit(100, "digits in a number", _TOML),
        "depth": Limit(16, "tables or lists in each other", _TOML),
        "letters": Limit(100, "letters in a number with its unit", "any file"),
        "line": Limit(1_000_000, "letters in a line", "table of vehicles or trailers"),
        "columns": Limit(400, "columns", "table, list, recording or spreadsheet"),
        "cell": Limit(2000, "letters in a cell", "table, list, recording or spreadsheet"),
        "rows": Limit(5000, "rows", "list of items"),
        "pixels": Limit(150_000_000, "pixels", "picture or page"),
        "pages": Limit(20, "pages", "PDF"),
        "items": Limit(500, "items", "rig file"),
        "places": Limit(200, "places", "rig file"),
        "people": Limit(20, "people", "rig file"),
        "stages": Limit(60, "stages", "rig file"),
        "trailer.tanks": Limit(40, "tanks", "rig file"),
        "vehicle.tanks": Limit(40, "tanks", "rig file"),
        "vehicle.seats": Limit(40, "seats", "rig file"),
        "trailer.equipment": Limit(200, "things", "rig file"),
        "hitch.reducers": Limit(10, "reducers", "rig file"),
        "passes": Limit(200, "passes", "ticket"),
        "scales": Limit(50, "scales", "ticket"),
        "readings": Limit(200, "readings in a pass", "ticket"),
        "list": Limit(1000, "entries in a list", _TOML),
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
