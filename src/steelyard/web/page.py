"""The page as parts: each a piece of HTML that is sent when it has changed."""

from collections.abc import Iterator
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from steelyard.web.bench import Bench
from steelyard.web.look import Look
from steelyard.web.sections import SECTIONS, TOP, Section


@cache
def templates() -> Environment:
    """The templates; everything that is put into one is escaped."""
    return Environment(
        loader=PackageLoader("steelyard.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def parts(bench: Bench, look: Look, *, slow: bool) -> Iterator[tuple[str, str]]:
    """The quick or the slow parts of the page for one look, by name."""
    for section in _shown(look):
        if section.slow is slow:
            yield section.name, part(section, bench, look)


def late(look: Look) -> list[Section]:
    """The slow parts of the page for one look."""
    return [section for section in _shown(look) if section.slow]


def _shown(look: Look) -> list[Section]:
    return [*TOP, *(one for one in SECTIONS if one.name in look.open)]


def part(section: Section, bench: Bench, look: Look) -> str:
    """One part as HTML."""
    facts = section.facts(bench, look)
    return templates().get_template(f"{section.name}.html").render(facts)


def whole(bench: Bench, look: Look) -> str:
    """The first view of the page: the quick parts filled in, the slow ones to come."""
    quick = {name: Markup(text) for name, text in parts(bench, look, slow=False)}
    facts: dict[str, Any] = {"parts": quick, "top": TOP, "sections": SECTIONS, "look": look}
    return templates().get_template("page.html").render(facts, revision=bench.revision)
