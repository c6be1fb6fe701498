"""A section: a part of the page with a template of its own name."""

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from steelyard.web.look import Look
from steelyard.web.session import Seen


def nothing(_seen: Seen) -> Hashable:
    """Nothing: for a section that shows the rig and its readings alone."""
    return ()


BREATH: Final = 0.2
"""s after which slow work is begun: the browser has painted what changed, and may ask again."""
REST: Final = 2.5
"""s without an act after which a search is begun: whoever is still moving things reads none."""


@dataclass(frozen=True, slots=True)
class Section:
    """name: of the part and of its template; title: in the index, with one line on what it is for;
    facts: what the template shows, for a session as seen and a look; slow: worked out after the
    others, breath: s after them;
    own: what it shows of the session beside the rig and its readings, which all who look at
    them share; template: one of another name.
    """

    name: str
    title: str
    about: str
    facts: Callable[[Seen, Look], Mapping[str, Any]]
    slow: bool = False
    breath: float = BREATH
    own: Callable[[Seen], Hashable] = nothing
    template: str = ""


def all_of(seen: Seen) -> Hashable:
    """Everything: for a section that shows what was laid beside the rig, or the rig file."""
    return seen.number, seen.revision
