"""Readings: typed pass by pass, whether they agree, and what they did to the answer."""

from collections.abc import Mapping
from typing import Any, Final

from steelyard.assessment import Spread, StageResult, assess
from steelyard.quantity import Z95, System, shown, to_border, unit_of
from steelyard.scene import NoBalanceError
from steelyard.typical.load import stage_names
from steelyard.web import readings
from steelyard.web.acts.readings import STEPPED
from steelyard.web.look import Look
from steelyard.web.sections.base import Section
from steelyard.web.session import Seen
from steelyard.web.state import rig_of
from steelyard.web.work import Work, today
from steelyard.weighing.agreement import old
from steelyard.weighing.carry import carried
from steelyard.weighing.laid_ticket import JACK
from steelyard.weighing.observe import unobservable
from steelyard.weighing.reconcile import Judged, Reconciled
from steelyard.weighing.ticket import Pass
from steelyard.words import weighed
from steelyard.words.assessed import doubt, room, share_spread, weight_spread

STEPS: Final[Mapping[str, tuple[str, ...]]] = {
    "lb": ("1 lb", "2 lb", "5 lb", "10 lb", "20 lb", "50 lb", "100 lb"),
    "kg": ("0.5 kg", "1 kg", "2 kg", "5 kg", "10 kg", "20 kg", "50 kg"),
}


def facts(seen: Seen, look: Look) -> Mapping[str, Any]:
    """What can be typed in the pass in view, and what the readings so far say."""
    work = seen.work
    system = _system(look, work)
    return {
        **_typing(seen, look, system),
        "system": "us" if system == "us" else "metric",
        "found": _found(work, look, system) if work.reconciled is not None else None,
        "ticket": work.state.ticket or {},
        "changed": work.state.weighed is not None and work.state.weighed != work.state.data,
        "book": seen.logged,
    }


def _system(look: Look, work: Work) -> System:
    """Units on the scale's display: as chosen here, else the reader's."""
    chosen = look.choice.get("weigh-unit")
    if chosen in ("us", "metric"):
        return "us" if chosen == "us" else "metric"
    return look.system(work)


def stage_weighed(look: Look, work: Work, known: tuple[str, ...]) -> str:
    """The stage that is being weighed: as chosen here, else that of the last reading, else the one
    in view if one was picked, else the first. It never moves with the answer, as the worst does."""
    passes = list((work.state.ticket or {"passes": {}})["passes"].values())
    last = passes[-1].get("stage") if passes else None
    asked = (look.choice.get("weigh-stage"), last, look.stage, known[0])
    return next(str(key) for key in asked if key in known)


def _typing(seen: Seen, look: Look, system: System) -> dict[str, Any]:
    """The form of every reading of the pass in view."""
    rig = rig_of(seen.state.weighed or seen.state.data, seen.name)
    known = readings.arrangements(rig)
    asked, what, again = [*look.choice.get("weigh", "").split("/"), "", ""][:3]
    arrangement = asked if asked in known else known[0]
    titles = {one.key: one.title for one in seen.work.found.stages}
    stages = {key: titles.get(key, key) for key in stage_names(rig)}
    stage = stage_weighed(look, seen.work, tuple(stages))
    rows = [
        _row(
            form, seen.work, arrangement, stage, system, asked=form.what == what, again=bool(again)
        )
        for form in readings.forms(rig, arrangement)
    ]
    alone = next((row for row in rows if row["asked"] and seen.state.ticket is None), None)
    top = [row for row in rows if row["first"] or row["asked"] or row["read"]]
    top = [row for row in top if row is not alone]
    step = look.choice.get("weigh-step", "")
    return {
        "arrangements": [(key, readings.ARRANGEMENTS[key][0]) for key in known],
        "arrangement": arrangement,
        "stages": stages,
        "stage": stage,
        "steps": STEPS[unit_of("mass", system)],
        "step": step if step in STEPS[unit_of("mass", system)] else "",
        "alone": alone,
        "rows": top,
        "others": [row for row in rows if row not in top and row is not alone],
        "stood": _stood(seen.work, stage, system) if arrangement == "trailer-alone" else (),
        "length_unit": unit_of("length", system),
    }


def _stood(work: Work, stage: str, system: System) -> list[dict[str, str]]:
    """How the trailer stood in the pass of it alone; nothing before a reading."""
    jack = f"{shown(JACK, 'length', system)}, assumed"
    for one in (work.state.ticket or {"passes": {}})["passes"].values():
        if readings.arrangement_of(one) == "trailer-alone" and one.get("stage") == stage:
            return [
                {
                    "key": more.key,
                    "words": more.words,
                    "unsaid": more.default or jack,
                    "value": said,
                }
                for more in readings.STOOD
                for said in (str(one.get(more.key, "")),)
            ]
    return []


def _row(
    form: readings.Form,
    work: Work,
    arrangement: str,
    stage: str,
    system: System,
    *,
    asked: bool,
    again: bool,
) -> dict[str, Any]:
    unit = unit_of(form.dimension, system)
    again = again and asked
    was = None if again else _was(form, work.state.ticket, arrangement, stage)
    text = str(was[2][form.field]) if was else ""
    return {
        "form": form,
        "what": form.what,
        "first": form.first,
        "asked": asked,
        "unit": unit,
        "value": text.removesuffix(unit).strip(),
        "read": was,
        "stepped": form.reading["kind"] in STEPPED,
        "again": again,
        "more": [
            (more, (was[2].get(more.key) if was else None) or usual)
            for more in form.more
            for usual in ((system != "us" and more.metric) or more.default,)
        ],
    }


def _was(
    form: readings.Form, ticket: Any, arrangement: str, stage: str
) -> tuple[str, int, Mapping[str, Any]] | None:
    """Pass, number and reading that a form would correct; None where nothing was read yet."""
    name = readings.pass_in(ticket, arrangement, stage) if ticket else None
    if name is None:
        return None
    one = ticket["passes"][name]
    number = readings.last_of(one, form.what)
    return None if number is None else (name, number, one["readings"][number])


def _found(work: Work, look: Look, system: System) -> dict[str, Any]:
    found: Reconciled = work.reconciled
    stage = look.at(work)
    before, after = (
        next(one for one in whole.stages if one.key == stage)
        for whole in (work.unweighed, work.found)
    )
    suspect = None if found.slips else found.suspect
    lines = [
        weighed.file_line(found, system),
        weighed.rests_on(found),
        weighed.contradicted_line(work.carried.contradicted),
        *weighed.step_lines(found, system),
    ]
    return {
        "heading": weighed.heading(found),
        "agrees": found.agrees and not found.slips,
        "agreement": weighed.agreement(found, system),
        "asked": (*work.asked, *work.slips),
        "old": _age(found),
        "suspect": (
            *(weighed.suspect_lines(suspect, system) if suspect else ()),
            *weighed.out_lines(found),
        ),
        "without": _without(work, found, stage, system),
        "lines": [line for line in lines if line],
        "cannot": unobservable(found),
        "passes": _passes(work, found, system),
        "stage": after.title,
        "pictures": _pictures(before, after, system),
        "decides": [_decides(one, system) for one in (before, after)],
    }


def _age(found: Reconciled) -> str | None:
    """That the weighing is of another season."""
    days = old(found.weighed.ticket.date, today())
    return None if days is None else weighed.age_line(days)


def _without(work: Work, found: Reconciled, stage: str, system: System) -> dict[str, Any] | None:
    """The answer with the suspect left out, and which reading that is."""
    if found.without is None or found.suspect is None:
        return None
    passes = found.weighed.ticket.passes.items()
    names = [(name, at) for name, one in passes for at in range(len(one.readings))]
    name, at = names[next(i for i, one in enumerate(found.readings) if one is found.suspect)]
    estimate = carried(found.weighed.rig, found.without, work.rig).estimate
    try:
        stages = assess(work.rig, estimate=estimate).stages
    except (NoBalanceError, ValueError, ArithmeticError):
        return None
    tongue = next(one for one in stages if one.key == stage).tongue
    return {
        "name": name,
        "number": at,
        "share": share_spread(tongue.share),
        "ball": weight_spread(tongue.weight_kg, system),
    }


def _passes(work: Work, found: Reconciled, system: System) -> list[dict[str, Any]]:
    """Every reading under its pass: read, expected by the file and by all else, how far off."""
    rows = iter(zip(found.weighed.lines, found.readings, work.foretold, strict=True))
    passes = []
    for name, one in found.weighed.ticket.passes.items():
        lines = []
        for number in range(len(one.readings)):
            line, judged, before = next(rows)
            lines.append(
                {
                    "number": number,
                    "title": line.reading.label(),
                    "text": line.reading.value().text,
                    "before": _around(before.value, before.sd, judged, system),
                    "others": _around(judged.value - judged.error, judged.error_sd, judged, system),
                    "off": weighed.off_by(judged, found),
                    "go": _again(one, number),
                }
            )
        passes.append({"name": name, "stage": one.stage, "extra": _extra(one), "readings": lines})
    return passes


def _again(one: Pass, number: int) -> str:
    """The choice that opens a form for a second reading of the same."""
    plain = one.model_dump(exclude_defaults=True, mode="python")
    reading = one.readings[number]
    what = readings.what_of({"kind": reading.kind, **_keys(reading)})
    return f"{readings.arrangement_of(plain)}/{what}/again"


def _keys(reading: Any) -> dict[str, Any]:
    return {key: getattr(reading, key) for key in readings.WHICH if hasattr(reading, key)}


def _extra(one: Pass) -> str:
    """What a pass says of its load beside its stage, in a few words."""
    said = one.model_dump(exclude_defaults=True, exclude={*readings.PLAIN})
    return ", ".join(key.replace("_", " ") for key in said)


def _around(value: float, sd: float, one: Judged, system: System) -> str:
    number, half = (weighed.read_number(x, one, system) for x in (value, Z95 * sd))
    return f"{number.rpartition(' ')[0]} ± {half}"


def _pictures(before: StageResult, after: StageResult, system: System) -> list[dict[str, Any]]:
    """Tongue weight and share, before and after, as whiskers on one scale each."""
    edges = [
        one.rating for one in after.limits if one.measure == "share" and one.verdict != "unknown"
    ]

    def scaled(one: Spread) -> tuple[float, float]:
        size = to_border(1.0, "mass", system)
        return size * one.value, size * Z95 * one.sd

    return [
        _picture(
            "Ball carries",
            [scaled(one.tongue.weight_kg) for one in (before, after)],
            [weight_spread(one.tongue.weight_kg, system) for one in (before, after)],
        ),
        _picture(
            "Tongue share",
            [(one.tongue.share.value, Z95 * one.tongue.share.sd) for one in (before, after)],
            [share_spread(one.tongue.share) for one in (before, after)],
            edges,
        ),
    ]


def _picture(
    title: str, pairs: list[tuple[float, float]], words: list[str], edges: list[float] | None = None
) -> dict[str, Any]:
    """Where each whisker stands, in per cent of the width; the margins leave a twentieth free."""
    low, high = min(x - half for x, half in pairs), max(x + half for x, half in pairs)
    room_ = 0.05 * (high - low) or 1.0
    low, high = low - room_, high + room_

    def at(x: float) -> float:
        return round(100 * (x - low) / (high - low), 2)

    rows = [
        {
            "name": name,
            "left": at(x - half),
            "width": at(x + half) - at(x - half),
            "mid": at(x),
            "words": said,
        }
        for name, (x, half), said in zip(("before", "weighed"), pairs, words, strict=True)
    ]
    marks = [at(edge) for edge in edges or () if low < edge < high]
    ratio = pairs[0][1] / pairs[1][1] if pairs[1][1] > 0 else None
    narrower = f"{ratio:z.1f}" if ratio is not None and ratio > 1.05 else None
    return {"title": title, "rows": rows, "marks": marks, "ratio": narrower}


def _decides(stage: StageResult, system: System) -> str | None:
    one = stage.deciding
    if one is None:
        return None
    return f"{one.title}, {room(one, system)} ({doubt(one)})"


SECTION: Final = Section(
    "weigh",
    "Readings",
    "type what the scale says; see what it changes",
    facts,
    own=lambda seen: (seen.logged, today()),
)
