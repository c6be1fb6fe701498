"""How fast a swing dies out, from what speed it doesn't, what moves that, and a run to look at."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from markupsafe import Markup

from steelyard.assessment.sway_advice import Advice, sway_advice
from steelyard.drawing.cargo import cargo_picture
from steelyard.drawing.damping import damping_curve
from steelyard.drawing.names import place_name
from steelyard.drawing.sway import trace_picture
from steelyard.files.changes import AskError
from steelyard.quantity import System, shown
from steelyard.ratings import doubted, questions
from steelyard.rig import Rig
from steelyard.swaying.chart import cargo_chart
from steelyard.swaying.remedies import Move
from steelyard.swaying.result import StageSway
from steelyard.swaying.stage_sway import sway
from steelyard.web.acts.sway import KEPT
from steelyard.web.look import Look
from steelyard.web.sections.base import Section, all_of
from steelyard.web.session import Seen
from steelyard.web.swaying import MANOEUVRES, speed_of, told
from steelyard.words.sway import (
    ball_words,
    headline,
    hurt_words,
    move_words,
    onset_words,
    speed,
    sway_sentences,
    tellable,
)

SHOWN: Final = 8
"""Pieces of advice."""
SPEEDS_US: Final = (45, 50, 55, 60, 65, 70, 75)
SPEEDS_METRIC: Final = (70, 80, 90, 100, 110, 120)
LEAST: Final = 0.002
"""Gain of the damping ratio that is worth a line."""


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """Everything about sway at the stage in view."""
    work = seen.work
    key, system = look.at(work), look.system(work)
    unit, listed = ("mph", SPEEDS_US) if system == "us" else ("km/h", SPEEDS_METRIC)
    try:
        asked = speed_of(look.choice.get("speed") or None)
        found = work.apart(sway, work.rig, work.estimate, (key,), speed=asked)[0]
        advice = work.apart(sway_advice, work.rig, work.estimate, key, speed=found.chosen_speed)
    except (AskError, ValueError) as error:
        return {"fault": str(error)}
    doubt = doubted("road.sway", questions(work.rig))
    worth = [one for one in advice if one.move.gain > LEAST]
    return {
        "fault": None,
        "sentences": list(headline(found, system, doubt)),
        "more": list(sway_sentences(found, system))[1:],
        "known": tellable(found.wagging),
        "curve": Markup(damping_curve(found, system, wide=look.wide)),
        "chart": _chart(seen, found, look, system),
        "advice": [_advice(one, work.rig, system) for one in worth[:SHOWN]],
        "at": speed(found.chosen_speed, system),
        "speeds": [f"{n} {unit}" for n in listed],
        "asked": look.choice.get("speed", ""),
        "runs": [
            (words, {"what": what, "stage": key, "speed": look.choice.get("speed") or None})
            for what, words in MANOEUVRES.items()
        ],
        **_run(seen, found, look, system),
    }


def _chart(seen: Seen, found: StageSway, look: Look, system: System) -> Markup | None:
    """Cargo place against speed, where the trailer has cargo."""
    work = seen.work
    try:
        chart = work.apart(cargo_chart, work.rig, work.estimate, found.key)
    except ValueError:
        return None
    return Markup(cargo_picture(chart, system, speed=found.chosen_speed, wide=look.wide))


def _run(seen: Seen, found: StageSway, look: Look, system: System) -> dict[str, Any]:
    """The last run, if it was of the rig as it is, at the stage and the speed in view."""
    kept = seen.laid.get(KEPT)
    if kept is None or not kept[0].believes(seen.state) or kept[1] != found.key:
        return {"trace": None}
    *_, what, u, trace = kept
    if abs(u - found.chosen_speed) > 0.01:
        return {"trace": None}
    title = f"{MANOEUVRES[what]} at {speed(u, system)}"
    title = title[0].upper() + title[1:]
    picture = Markup(trace_picture(trace, title=title, wide=look.wide))
    return {"trace": picture, "said": told(trace, what)}


def _advice(advice: Advice, rig: Rig, system: System) -> dict[str, Any]:
    move, ball = advice.move, ball_words(advice.ball_change_kg, system)
    see = _nearest(move, rig)
    return {
        "what": move_words(_titled(move, rig), system),
        "gain": f"{move.gain:+z.3f}",
        "onset": _onset(onset_words(move, system)),
        "ball": "as before" if ball == "-" else ball.replace("-", "−"),
        "hurts": [hurt_words(one, system) for one in advice.hurts],
        "breaks": bool(advice.breaks),
        "see": see,
        "weighs": _unlike(move, rig, see, system),
    }


def _titled(move: Move, rig: Rig) -> Move:
    """A move with the places' own titles."""
    if move.kind != "weight":
        return move
    called = {name: place_name(rig, name) for name in rig.places}
    source, target = (called.get(one, one) for one in (move.source, move.target))
    return replace(move, source=source, target=target)


def _onset(words: str) -> str:
    """`at 86 mph (+4)`, `above 124 mph`, `as before`."""
    gain, _, to = words.rpartition(" to ")
    if gain:
        return f"at {to} ({gain})"
    return words if words.startswith(("as before", "above")) else f"at {words}"


def _nearest(move: Move, rig: Rig) -> dict[str, str] | None:
    """The item whose move comes nearest to the advice; None where no one item does."""
    if move.kind != "weight" or move.target not in rig.places:
        return None
    there = {
        name: abs(item.weight.value - move.amount)
        for name, item in rig.items.items()
        if item.place == move.source and not item.fixed
    }
    return {"item": min(there, key=lambda n: there[n]), "to": move.target} if there else None


def _unlike(move: Move, rig: Rig, see: dict[str, str] | None, system: System) -> str:
    """` (34 kg)` where the item weighs clearly more or less than what the advice moves."""
    if see is None:
        return ""
    own = rig.items[see["item"]].weight.value
    return "" if abs(own - move.amount) <= 0.1 * move.amount else f" ({shown(own, 'mass', system)})"


SECTION: Final = Section(
    "sway", "Sway", "how fast a swing dies out, and what moves that", facts, slow=True, own=all_of
)
