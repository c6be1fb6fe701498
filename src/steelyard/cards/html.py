"""The card as one HTML file that needs nothing else; it prints as two pages."""

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Final

from steelyard.cards.result import Content

if TYPE_CHECKING:
    from jinja2 import Template
    from markupsafe import Markup

_PAGE: Final = Path(__file__).parent / "sheet.html"
_FIGURE: Final = re.compile(r"[0-9][0-9,.]*(?: ± [0-9][0-9,.]*)?(?: %)?")


def as_html(content: Content) -> str:
    """A whole page. May be called from several threads at once."""
    return _template().render(card=content)


@cache
def _template() -> "Template":
    from jinja2 import Environment, StrictUndefined

    surroundings = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    surroundings.filters["figures"] = _figures
    return surroundings.from_string(_PAGE.read_text(encoding="utf-8"))


def _figures(text: str) -> "Markup":
    """Numbers of a sentence in elements of their own; all words escaped."""
    from markupsafe import Markup, escape

    parts, at = [], 0
    for match in _FIGURE.finditer(text):
        parts += [escape(text[at : match.start()]), Markup("<b>{}</b>").format(match[0])]
        at = match.end()
    return Markup("").join([*parts, escape(text[at:])])
