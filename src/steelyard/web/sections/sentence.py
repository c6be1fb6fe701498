"""The answer in words; its underlined words are the controls."""

from collections.abc import Mapping
from typing import Any, Final

from steelyard.assessment import Assessment, StageResult
from steelyard.fault import Fault, dotted
from steelyard.quantity import System
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.sections.headline import reading
from steelyard.web.session import Seen
from steelyard.words import assessed
from steelyard.words.weighed import reading_lines


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """The words of the sentence for the stage in view."""
    work = seen.work
    found, system = work.found, look.system(work)
    stage = next(one for one in found.stages if one.key == look.at(work))
    return {
        "rig": found.rig.name,
        "stage": stage,
        "stages": found.stages,
        "seat": assessed.coupling(found.rig),
        "lifts": stage.tongue.weight_kg.value < 0,
        "ball": assessed.weight_spread(stage.tongue.weight_kg, system).removeprefix("-"),
        "share": assessed.share_spread(stage.tongue.share),
        "decides": _decides(stage, system),
        "unknown": sum(one.verdict == "unknown" for one in stage.limits),
        "worst": found.worst_stage,
        "questions": tuple(map(_question, found.questions)),
        "asked": (*work.asked, *work.slips),
        "missing": _missing(found, system),
        "assumed": len(found.assumed),
        "weighed": work.reconciled is not None,
        "agrees": work.reconciled is None or work.reconciled.agrees,
        "readings": reading_lines(work.reconciled, system) if work.reconciled is not None else (),
        "tongue": reading("tongue", work.rig),
        "doubt": assessed.doubt(stage.deciding) if stage.deciding else "",
        "has_file": seen.path is not None,
        "remark": seen.remark,
        "clash": seen.clash,
    }


def _missing(found: Assessment, system: System) -> tuple[str, str]:
    """What is not listed, and what to do about it."""
    first, _, rest = (assessed.missing_line(found, system) or "").partition(". ")
    return f"{first}." if rest else first, rest


def _question(asked: Fault) -> dict[str, str]:
    """What is asked about a stated value, and the field that has a tick for it."""
    return {"words": assessed.asked_line(asked), "at": dotted(asked.path)}


def _decides(stage: StageResult, system: System) -> dict[str, str] | None:
    one = stage.deciding
    if one is None:
        return None
    return {"title": one.title, "room": assessed.room(one, system), "name": one.name}


SECTION: Final = Section(
    "sentence",
    "The answer",
    "in one sentence, with its spread",
    facts,
    own=lambda seen: (seen.path, seen.remark, seen.clash),
)
