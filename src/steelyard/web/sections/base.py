"""A section: a part of the page with a template of its own name."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from steelyard.web.bench import Bench
from steelyard.web.look import Look


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """name: of the part and of its template; title: in the index, with one line on what it is for;
    facts: what the template shows, for one bench and look; slow: worked out after the others."""

    name: str
    title: str
    about: str
    facts: Callable[[Bench, Look], Mapping[str, Any]]
    slow: bool = False
