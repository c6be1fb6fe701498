"""What Python and a notebook show of answers: one line, a picture or a table, a data frame.

Rigs and answers know nothing of drawing, words or tables, which lie above them; they are given
here what is looked for, under the names it is looked for by.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from html import escape
from typing import Any, Final

from steelyard.assessment import Assessment, assess
from steelyard.braking.result import StageRoad
from steelyard.cards import Content, as_html
from steelyard.drawing.damping import damping_curve
from steelyard.drawing.stow import stow_picture
from steelyard.drawing.whole import whole_picture
from steelyard.estimate import Estimate
from steelyard.files.table_rows import polars
from steelyard.hitching.result import Fit
from steelyard.learning import Learnt
from steelyard.matching.compare import Comparison
from steelyard.matching.match import Matched
from steelyard.ratings import LimitStatus
from steelyard.rig import Rig
from steelyard.stowing.stow import Stowed
from steelyard.stowing.what_if import WhatIf
from steelyard.swaying.result import StageSway
from steelyard.weighing.reconcile import Reconciled
from steelyard.weighing.ticket import Ticket
from steelyard.words.assessed import MARKS, system_of

HEADS: Final = ("stage", "limit", "value", "sd", "rating", "margin", "chance", "verdict", "unit")


def rig_picture(rig: Rig) -> str:
    """The rig at its worst stage, to scale, as SVG."""
    found = assess(rig)
    return whole_picture(found, system_of(found, None))


def limits_frame(found: Assessment) -> Any:
    """Every limit at every stage, a row each, as a Polars frame; numbers in the `unit` of the row,
    as the objects and JSON have them; null where a rating is unknown. FaultError without Polars."""
    return polars().DataFrame([dict(zip(HEADS, row, strict=True)) for row in _rows(found)])


def limits_table(found: Assessment) -> str:
    """The same as an HTML table, rounded, under the rig's name and verdict."""
    return _table(f"{found.rig.name}: {MARKS[found.verdict]}", HEADS, _rows(found))


def _table(title: str, heads: Iterable[str], rows: Iterable[Iterable[Any]]) -> str:
    lines = "".join(
        f"<tr>{''.join(f'<td>{escape(_rounded(one))}</td>' for one in row)}</tr>" for row in rows
    )
    head = "".join(f"<th>{name}</th>" for name in heads)
    return f"<table><caption>{escape(title)}</caption><tr>{head}</tr>{lines}</table>"


def _rows(found: Assessment) -> Iterator[tuple[Any, ...]]:
    for stage in found.stages:
        for limit in stage.limits:
            yield (stage.key, limit.name, *_numbers(limit), limit.told, limit.unit)


def _numbers(limit: LimitStatus) -> tuple[float | None, ...]:
    known = limit.verdict != "unknown"
    return (
        limit.value,
        limit.sd,
        limit.rating if known else None,
        limit.margin if known else None,
        limit.chance if known else None,
    )


def _rounded(one: Any) -> str:
    return "" if one is None else f"{one:.4g}" if isinstance(one, float) else str(one)


def readings_table(found: Reconciled) -> str:
    """Each reading, what is believed of it afterwards, and by how many sd it is off, in HTML."""
    heads = ("reading", "read", "expected", "sd", "off by sd")
    rows = ((r.name, r.value, r.predicted, r.sd, r.standardised) for r in found.readings)
    return _table(_agreement(found), heads, rows)


def findings_table(found: StageRoad) -> str:
    """What must hold on the road, in HTML."""
    rows = ((one.title, MARKS[one.verdict], one.chance, one.due) for one in found.findings)
    return _table(
        f"{found.title}: {MARKS[found.verdict]}", ("what", "verdict", "chance", "due"), rows
    )


def matches_table(found: Fit) -> str:
    """Parts that must fit each other, in HTML."""
    rows = (
        (one.title, one.first, one.second, MARKS[one.verdict], one.why) for one in found.matches
    )
    heads = ("parts", "first", "second", "verdict", "why")
    return _table(f"{found.rig.name}: {MARKS[found.verdict]}", heads, rows)


def changes_table(found: WhatIf) -> str:
    """Limits whose standing a move changes, in HTML."""
    rows = (
        (one.stage, one.after.title, MARKS[one.before.verdict], MARKS[one.after.verdict])
        for one in found.changed
    )
    return _table(_outcome(found), ("stage", "limit", "before", "after"), rows)


def reasons_table(found: Comparison) -> str:
    """Why one puts more on the ball than another, kg, in HTML."""
    rows = ((one.name, one.a_kg, one.b_kg, one.difference_kg) for one in found.rows)
    return _table(_difference(found), ("what", "in A", "in B", "B less A"), rows)


def _agreement(found: Reconciled) -> str:
    said = "agree" if found.agrees else "do not agree"
    return f"{len(found.readings)} readings that {said}, chance of worse {found.among.chance:.2g}"


def _outcome(found: WhatIf) -> str:
    before, after = found.before.verdict, found.after.verdict
    return f"{found.rig.name}: {before}, then {after}, {len(found.changed)} limits changed"


def _difference(found: Comparison) -> str:
    return f"{found.name_b} less {found.name_a}: {found.difference_kg:.0f} kg on the ball"


def _plan(found: Stowed) -> str:
    if found.found is None:
        return f"{found.rig.name}: no plan"
    moved = sum(found.rig.items[n].place != place for n, place in found.found.plan.items())
    verdict = found.found.assessment.verdict
    return f"{found.rig.name}: {verdict}, {moved} things moved, {len(found.left)} left at home"


def _damping(found: StageSway) -> str:
    ratio, speed = float(found.at_damping.value), found.chosen_speed
    return f"{found.title}: damping {ratio:.2f} at {speed:.1f} m/s"


SHORT: Final[Mapping[type, Callable[[Any], str]]] = {
    Comparison: _difference,
    Content: lambda one: f"{one.name}: {one.verdict}",
    Estimate: lambda one: f"{len(one.names)} parameters",
    Fit: lambda one: f"{one.rig.name}: {one.verdict}",
    Learnt: lambda one: f"{one.style}, {one.name}: {one.value:.3g} from {one.rigs} rigs",
    Matched: lambda one: f"{len(one.tows)} vehicles, {len(one.toweds)} trailers, {len(one)} pairs",
    Reconciled: _agreement,
    StageRoad: lambda one: f"{one.title}: {one.verdict}",
    StageSway: _damping,
    Stowed: _plan,
    Ticket: lambda one: f"{len(one.passes)} passes",
    WhatIf: _outcome,
}
"""What an answer is in one line."""
SHOWN: Final[Mapping[type, Mapping[str, Callable[[Any], Any]]]] = {
    Assessment: {"_repr_html_": limits_table, "to_frame": limits_frame},
    Comparison: {"_repr_html_": reasons_table},
    Content: {"_repr_html_": as_html},
    Fit: {"_repr_html_": matches_table},
    Reconciled: {"_repr_html_": readings_table},
    Rig: {"_repr_svg_": rig_picture},
    StageRoad: {"_repr_html_": findings_table},
    StageSway: {"_repr_svg_": lambda one: damping_curve(one, "metric")},
    Stowed: {"_repr_svg_": lambda one: stow_picture(one, system_of(one.before, None))},
    WhatIf: {"_repr_html_": changes_table},
}
"""What a notebook shows of it."""


def _shortly(line: Callable[[Any], str]) -> Callable[[Any], str]:
    return lambda one: f"<{type(one).__name__} {line(one)}>"


for kind, line in SHORT.items():
    kind.__repr__ = _shortly(line)  # type: ignore[method-assign, assignment]
for kind, ways in SHOWN.items():
    for name, way in ways.items():
        setattr(kind, name, way)
