"""The verdict in one second: mark and word, one reason, one thing to do, the column's end."""

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import Any, Final

from markupsafe import Markup

from steelyard.assessment import StageResult
from steelyard.drawing.marks import mark, notch
from steelyard.drawing.paper import unparted
from steelyard.rig import Rig, is_pin
from steelyard.web import readings
from steelyard.web.look import Look
from steelyard.web.sections.base import REST, Section
from steelyard.web.sections.limits import found_by
from steelyard.web.session import Seen
from steelyard.web.work import Work
from steelyard.words.headline import Headline, headline
from steelyard.words.next_steps import Step
from steelyard.words.weighed import excess_lines

PADS: Final = {
    "front": "platform:front",
    "rear": "platform:rear",
    "vehicle": "platform:front+rear",
    "axles": "platform:trailer",
    "trailer": "platform:trailer",
}
"""What goes on the scale, and the form that takes the reading, hitched."""


def headed(work: Work, look: Look, *, mending: bool) -> tuple[Headline, StageResult]:
    """The headline of the stage in view. mending: the moves are sought that mend it."""
    stage = next(one for one in work.found.stages if one.key == look.at(work))
    system = look.system(work)
    if mending:
        return headline(work.found, system, stage, work.doubt, lambda: work.mended), stage
    return headline(work.found, system, stage, work.doubt), stage


def facts(seen: Seen, look: Look, *, mending: bool = False) -> Mapping[str, Any]:
    """The headline of the stage in view. mending: the moves are sought that mend it."""
    work = seen.work
    system = look.system(work)
    found, stage = headed(work, look, mending=mending)
    limit = next((one for one in stage.limits if one.name == found.decides), None)
    return {
        "kind": found.verdict.replace(" ", "-"),
        "shape": Markup(mark(found.verdict)),
        "word": found.word,
        "reason": [(unparted(text), strong) for text, strong in found.reason],
        "do": found.step.words,
        "go": opens(found.step, work.rig),
        "notch": Markup(notch(limit, system)) if limit else "",
        "told": excess_lines(work.reconciled, system) if work.reconciled is not None else (),
    }


def opens(step: Step, rig: Rig) -> dict[str, str]:
    """What a tap on a thing to do opens: a section, a choice within it, an act begun there."""
    if step.about == "limits":
        return {"open": "limits"}
    if step.kind == "move":
        return {"open": "plan", "then": "find"}
    if step.kind == "card":
        return {"open": "card"}
    if step.kind in ("look", "state"):
        return {"open": "rig", "choice": "find", "value": step.about}
    if step.kind == "set":
        at = found_by(step.about)
        return {"open": "rig", "choice": "find", "value": at} if at else {"open": "limits"}
    if step.kind == "list":
        people = "people" in step.words
        return {"open": "rig", "choice": "rig", "value": "people"} if people else {"open": "load"}
    if step.about == "place":
        return {"open": "load"}
    if step.about == "readings":
        return {"open": "weigh"}
    return {"open": "weigh", "choice": "weigh", "value": reading(step.about, rig)}


def reading(about: str, rig: Rig) -> str:
    """The choice that opens the one field for what goes on the scale."""
    if about in PADS:
        return f"{readings.arrangements(rig)[0]}/{PADS[about]}"
    if is_pin(rig):
        return f"{readings.arrangements(rig)[0]}/hitch-scale:ball"
    return "trailer-alone/tongue-scale:"


SECTION: Final = Section("headline", "The verdict", "in one second, with one thing to do", facts)
MENDED: Final = replace(SECTION, facts=partial(facts, mending=True), slow=True, breath=REST)
"""The headline when the moves that mend it are at hand: in the place of the first."""
