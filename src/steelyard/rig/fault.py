"""One contradiction in a rig, and the words for a name that does not exist."""

from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One contradiction in a rig: where it stands and why it cannot be."""

    path: tuple[str, ...]
    why: str


def nearest(found: str, known: Iterable[str]) -> str:
    """`' (did you mean "x"?)'` for the closest known name, or nothing."""
    close = get_close_matches(found, list(known), n=1, cutoff=0.6)
    return f' (did you mean "{close[0]}"?)' if close else ""


def missing(path: tuple[str, ...], kind: str, found: str, known: Iterable[str]) -> Fault:
    """A name that is not among those it should be one of."""
    names = list(known)
    listed = ", ".join(names[:8]) if names else "none is given"
    why = f'expected one of the {kind} ({listed}), found "{found}"{nearest(found, names)}'
    return Fault(path=path, why=why)
