"""The page as parts: each a piece of HTML that is sent when it has changed."""

import re
from collections.abc import Hashable, Iterator
from functools import cache
from typing import Any, Final

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from steelyard.drawing.paper import unparted
from steelyard.web.look import Look
from steelyard.web.sections import SECTIONS, TOP, WALK, Section, headline, tools
from steelyard.web.sections.walk import bodies_and_styles, walked
from steelyard.web.session import Seen
from steelyard.words.trade import speaking

_SPREAD: Final = re.compile(r">[^<>]*±[^<>]*<")
"""Text between tags with a spread in it, whose parts no line end may part."""
MENDED: Final = (headline.MENDED, tools.MENDED)
"""What follows when the moves that mend the rig are found."""
MOST: Final = 60
"""Parts kept of one rig."""


class Templates(Environment):
    """Templates whose rows are dicts: a key is looked up as such, unless a dict's method has it."""

    def getattr(self, obj: Any, attribute: str) -> Any:
        """What a template calls `obj.attribute`."""
        if type(obj) is dict and attribute in obj and attribute not in _METHODS:
            return obj[attribute]
        return super().getattr(obj, attribute)


_METHODS: Final = frozenset(dir(dict))


@cache
def templates() -> Environment:
    """The templates; everything that is put into one is escaped."""
    return Templates(
        loader=PackageLoader("steelyard.web", "templates"),
        autoescape=True,
        auto_reload=False,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def parts(seen: Seen, look: Look, *, slow: bool) -> Iterator[tuple[str, str]]:
    """The quick or the slow parts of the page for one look, by name."""
    for section in _shown(look):
        if section.slow is slow:
            yield section.name, part(section, seen, look)


def late(look: Look) -> list[Section]:
    """The slow parts of the page for one look."""
    return [section for section in _shown(look) if section.slow]


def _shown(look: Look) -> list[Section]:
    if look.walk:
        return walked(look)
    return [*TOP, *(one for one in SECTIONS if one.name in look.open), *MENDED]


def part(section: Section, seen: Seen, look: Look) -> str:
    """One part as HTML; made once for all who see the same of the same rig."""
    found = made(section, seen, look)
    if found is None:
        with speaking(seen.work.trade) as trade:
            facts = section.facts(seen, look)
            name = section.template or section.name
            html = templates().get_template(f"{name}.html").render(facts)
            found = _SPREAD.sub(lambda one: unparted(one[0]), trade.page(html))
        if len(seen.work.parts) >= MOST:
            seen.work.parts.clear()
        seen.work.parts[_key(section, seen, look)] = found
    return found


def made(section: Section, seen: Seen, look: Look) -> str | None:
    """A part that was made already; None where it was not."""
    return seen.work.parts.get(_key(section, seen, look))


def _key(section: Section, seen: Seen, look: Look) -> Hashable:
    return section.name, section.slow, look.key, section.own(seen)


def beginning() -> str:
    """The page on which a new rig of the book is begun: what stands here."""
    start = next(one for one in WALK if one.name == "start")
    html = templates().get_template("start.html").render(bodies_and_styles())
    facts = {"walk": [start], "name": "", "parts": {"start": Markup(html)}}
    return templates().get_template("walk.html").render(facts, revision=0, begins=True)


def whole(seen: Seen, look: Look, *, network: bool = False, owner: str = "") -> str:
    """The first view of the page: the quick parts filled in, the slow ones to come. network: it is
    served to others too; owner: whose the rig is, where the asker may know."""
    quick = {name: Markup(text) for name, text in parts(seen, look, slow=False)}
    facts: dict[str, Any] = {"parts": quick, "top": TOP, "sections": SECTIONS, "look": look}
    facts |= {"walk": WALK, "name": seen.work.rig.name}
    page = templates().get_template("walk.html" if look.walk else "page.html")
    html = page.render(facts, revision=seen.revision, network=network, owner=owner, begins=False)
    return seen.work.trade.page(html)
