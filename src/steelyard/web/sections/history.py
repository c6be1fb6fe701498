"""The rig's history: every weighing, and what changed between, as a picture and as a list."""

from collections.abc import Mapping
from typing import Any, Final

from markupsafe import Markup

from steelyard.drawing.history import history_picture
from steelyard.web.history import told
from steelyard.web.look import Look
from steelyard.web.sections.base import Section, all_of
from steelyard.web.session import Seen
from steelyard.words.assessed import MARKS, share_spread


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """Every moment; the picture where there are two or more."""
    found, trouble = told(seen)
    moments = [one.moment for one in found if one.moment is not None]
    picture = None
    if moments:
        system = look.system(seen.work)
        picture = Markup(history_picture(seen.work.rig.name, moments, system, wide=look.wide))
    return {
        "picture": picture,
        "trouble": trouble,
        "weighings": sum(one.number is not None for one in found),
        "rows": [
            {
                "when": one.moment.when if one.moment else f"weighing {one.number}",
                "word": one.moment.word if one.moment else one.fault,
                "mark": MARKS[one.moment.verdict] if one.moment else "",
                "share": share_spread(one.moment.share) if one.moment else "",
                "changed": one.moment.changed if one.moment else (),
                "number": one.number,
            }
            for one in found
        ],
    }


SECTION: Final = Section(
    "history", "History", "each weighing, and what changed between", facts, slow=True, own=all_of
)
