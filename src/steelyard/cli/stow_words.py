"""What `stow` says: the plan, its proof, the moves in order, a deck's best station; lists."""

from collections.abc import Iterable, Iterator
from math import isnan
from typing import Any, Final

import click

from steelyard.cli.options import fail
from steelyard.cli.words import Row, bullets, clipped, paragraph, table
from steelyard.files.plain import plain
from steelyard.files.reader import read_placing
from steelyard.files.report import CAUTIONS, report
from steelyard.quantity import System, percent, shown, to_border
from steelyard.ratings import severity
from steelyard.rig import Item, Rig
from steelyard.stowing.allowed_places import may_ride
from steelyard.stowing.move_order import Load, changes
from steelyard.stowing.move_order import Sequence as Order
from steelyard.stowing.plan import Found
from steelyard.stowing.station import Footing
from steelyard.stowing.stow import Stowed, beforehand
from steelyard.stowing.water import Run
from steelyard.typical.load import starter
from steelyard.words import stowed
from steelyard.words.assessed import MARKS, share_spread, weight

STAGES: Final = 2
MOVES: Final = 8
CUTS: Final = 5


def stow_lines(found: Stowed, system: System, *, everything: bool, cut: int = 0) -> Iterator[str]:
    """The answer for people: verdict, moves in order, stages; where all rides and proof if due.

    cut: what a plan of many stages or moves does without, of `CUTS`: stages but the worst, moves
    but the first.
    """
    yield found.rig.name
    warning = stowed.less_calm(found)
    yield from ([paragraph(warning)] if warning else ())
    cure = stowed.cure_words(found, system)
    yield from ([paragraph(cure), ""] if cure else ())
    yield paragraph(stowed.plan_verdict(found))
    yield ""
    yield from (paragraph(one) for one in stowed.fumes_words(found.rig))
    yield from (paragraph(stowed.boarding_words(one, system)) for one in found.boardings)
    yield from (paragraph(stowed.slide_words(one, found.rig, system)) for one in found.slides)
    if found.found is not None and found.order is not None:
        yield from _moves(found, found.order, system, None if cut < 2 else MOVES - 3 * (cut - 2))
        yield from _stages(found, found.found, system, None if cut < 1 else STAGES)
        stop = stowed.stop_words(found, system)
        yield from ([paragraph(stop), ""] if stop else ())
        yield from _water(found, system)
        if everything:
            yield from _places(found, found.found, system)
            yield from _proof(found, found.found, system)
        else:
            yield paragraph("With --all: where everything rides, and how good the plan is.")
    if found.hopeless and found.found is None:
        yield "No stowing mends these"
        yield from bullets(found.hopeless)
        yield ""
    yield paragraph(" ".join((stowed.TIE_DOWN, *CAUTIONS)))


def _stages(found: Stowed, plan: Found, system: System, most: int | None) -> Iterator[str]:
    """Each stage now and then; those least well then, in the trip's order, if not all."""
    pairs = list(zip(found.before.stages, plan.assessment.stages, strict=True))
    worst = sorted(pairs, key=lambda one: -severity(one[1].verdict))[:most]
    rows: list[Row] = [("stage", "share now", "then", "load now", "then", "now", "then")]
    for old, new in (pair for pair in pairs if pair in worst):
        rows.append(
            (
                clipped(new.title, 14),
                share_spread(old.tongue.share),
                share_spread(new.tongue.share),
                weight(old.tongue.weight_kg.value, system),
                weight(new.tongue.weight_kg.value, system),
                MARKS[old.verdict][:1],
                MARKS[new.verdict],
            )
        )
    yield table(rows, left=(0, 5, 6), indent="")
    if len(worst) < len(pairs):
        yield f"{len(pairs) - len(worst)} more stages, none worse then: --all lists them."
    yield ""


def _places(found: Stowed, plan: Found, system: System) -> Iterator[str]:
    if not plan.plan:
        return
    yield "Where everything rides"
    for name, place in found.rig.places.items():
        here = [item for item, there in plan.plan.items() if there == name]
        if here:
            moved = [f"{i} (moved)" if found.rig.items[i].place != name else i for i in here]
            held = sum(found.rig.items[i].weight.value for i in here)
            title = place.title or name
            yield paragraph(
                f"{title}, {shown(held, 'mass', system)}: {', '.join(moved)}", "      ", "  "
            )
    yield ""


def _water(found: Stowed, system: System) -> Iterator[str]:
    """How much each tank that was left free carries, by filling."""
    if found.water:
        yield "Water, where the level was left free"
        yield from bullets([stowed.water_words(found, run, system) for run in found.water])
        yield ""


def _moves(found: Stowed, order: Order, system: System, most: int | None) -> Iterator[str]:
    first = beforehand(found)
    if not order.moves and first is None:
        return
    unit = "lb" if system == "us" else "kg"
    title = found.before.stages[0].title
    yield f"In this order; what each adds at “{title}”, {unit}"
    rows: list[Row] = [("    move", "ball", "front", "rear", "trailer", "damping")]
    if first is not None:
        words = clipped(f"    {stowed.first_words(found)}", 36)
        rows.append((words, *_added(first, system), _damping(order.calm.damping)))
    told = list(enumerate(changes(order), start=1))
    for number, (move, load) in told[:most]:
        words = clipped(f"{number:2}. {move.item}: {move.origin} → {move.to}", 36)
        rows.append((words, *_added(load, system), _damping(move.calm.damping)))
    yield table(rows, indent=" ")
    if most and len(told) > most:
        yield f"     {len(told) - most} more moves: --all lists them."
    later = stowed.later_words(found)
    yield from ([paragraph(later, "  ")] if later else ())
    yield paragraph(stowed.sway_after(found, system), "  ")
    if order.peak is not None or most is None:
        yield paragraph(stowed.on_the_way(order, system), "  ")
    yield ""


def _added(load: Load, system: System) -> tuple[str, ...]:
    parts = (load.ball, load.front, load.rear, load.trailer)
    return tuple(f"{to_border(part, 'mass', system):+z,.0f}" for part in parts)


def _damping(ratio: float) -> str:
    return "-" if isnan(ratio) else f"{ratio:z.2f}"


def _proof(found: Stowed, plan: Found, system: System) -> Iterator[str]:
    yield "How good it is"
    lines = [stowed.goal_words(goal, found, system) for goal in plan.goals]
    lines.append(
        f"found in {plan.rounds} round{'s' * (plan.rounds > 1)}; the planner's sums and"
        " the full balance"
        f" differ by {shown(plan.off, 'mass', system, 1)} at most; the plan holds in the"
        " full balance"
        if plan.plan
        else "the rig holds with none of it aboard"
    )
    yield from bullets(lines)
    yield ""


def stow_report(found: Stowed) -> dict[str, Any]:
    """The answer for programs; kg, and the reports of before and after."""
    plan, first = found.found, beforehand(found)
    return {
        "stow": 1,
        "target_share": found.target,
        "wrong": list(found.wrong),
        "cure": _cure_row(found),
        "plan": plan.plan if plan else None,
        "left": list(found.left),
        "left_is_least": found.least,
        "conflict": found.conflict or None,
        "holds_at_best_estimate_only": found.weigh,
        "left_for_spread": list(found.unsure),
        "not_mended": [*found.hopeless, *(one.title for one in found.unmended)],
        "interrupted": plan.interrupted if plan else None,
        "stops": stowed.stop_words(found, "metric") if plan else found.conflict,
        "ball_proven": plan.proven if plan else None,
        "rounds": plan.rounds if plan else None,
        "linear_off_kg": plan.off if plan else None,
        "goals": plain(plan.goals) if plan else [],
        "beforehand": plain(first),
        "moves": _move_rows(found.order) if found.order else [],
        "water": _water_rows(found.water),
        "calm_now": plain(found.calm),
        "calm_then": plain(plan.calm) if plan else None,
        "slides": [
            {"item": one.item, "from_station_m": one.start, "to_station_m": one.to}
            for one in found.slides
        ],
        "boardings": plain(found.boardings),
        "questions": stowed.fumes_words(found.rig),
        "damping_now": plain(found.order.calm.damping) if found.order else None,
        "worst_moment_after_move": found.order.peak if found.order else None,
        "cautions": [stowed.TIE_DOWN, *CAUTIONS],
        "before": report(found.before),
        "after": report(plan.assessment) if plan else None,
    }


def _water_rows(runs: Iterable[Run]) -> list[dict[str, Any]]:
    """Each run of a tank: its stages and what it carries at each."""
    return [
        {
            "tank": run.tank,
            "stages": list(run.stages),
            "levels_kg": [run.capacity * share for share in run.levels],
        }
        for run in runs
    ]


def _cure_row(found: Stowed) -> dict[str, Any] | None:
    """The fewest and lightest moves that mend what is wrong, as the plan's are told."""
    if found.cure is None:
        return None
    return {
        "moves": _move_rows(found.cure.order),
        "water": _water_rows(found.cure.water),
        "holds_at_best_estimate_only": found.cure.weigh,
        "verdict": found.cure.found.assessment.verdict,
        "calm_then": plain(found.cure.found.calm),
    }


def _move_rows(order: Order) -> list[dict[str, Any]]:
    return [
        {
            "item": move.item,
            "from": move.origin,
            "to": move.to,
            **plain(load),
            "damping_after": plain(move.calm.damping),
            "wagging_after_mps": plain(move.calm.wagging),
            "worst_excess_kg": move.worst,
        }
        for move, load in changes(order)
    ]


def footing_lines(rig: Rig, found: tuple[Footing, ...], system: System) -> Iterator[str]:
    """Where on its deck a thing should stand, each facing a sentence."""
    for one in found:
        yield paragraph(_footing(one, len(found) > 1, system))
    if beside := stowed.room_beside(rig, found[0].item):
        yield paragraph(beside)
    yield paragraph(stowed.TIE_DOWN)
    yield from (paragraph(line) for line in CAUTIONS)


def _footing(one: Footing, both: bool, system: System) -> str:  # noqa: FBT001
    facing = (" facing backwards" if one.backwards else " facing forwards") if both else ""
    end = "rear" if one.backwards else "front"
    leading = f"{end} {'wheels' if one.wheels else 'end'}" if one.ahead else "centre"
    behind = shown(one.best - one.ahead - one.headboard, "length", system)
    shares = " to ".join(dict.fromkeys(percent(x) for x in (min(one.share), max(one.share))))
    words = f"{one.item}{facing}: {leading} {behind} behind the headboard of {one.place}"
    stop = stowed.edge_words(one.stop, system) if one.stop else one.stopped_by
    way = "more" if one.share_low + one.share_high > min(one.share) + max(one.share) else "less"
    if one.low is None or one.high is None:
        if not one.exceeded:
            mark, why = MARKS["cannot tell"], f"{stop} may not hold, for the spread alone"
            return f"{mark}: {words} is the best there is ({shares}); weigh first: {why}."
        return f"{MARKS['exceeded']}: {words} is the best there is. {shares}: {stop} stops {way}."
    half = min(one.best - one.low, one.high - one.best)
    band = f"{100 * one.share_low:g}-{100 * one.share_high:g} %"
    low, high = (
        shown(s - one.ahead - one.headboard, "length", system) for s in (one.low, one.high)
    )
    return (
        f"{MARKS['within']}: {words} ({shares}), ± {shown(half, 'length', system)} keeps {band};"
        f" anywhere from {low} to {high} does, with every known limit that it alters kept."
        + (f" {shares}: {stop} stops {way}." if stop else "")
    )


def footing_rows(found: tuple[Footing, ...]) -> list[dict[str, Any]]:
    """The same for programs, m."""
    return [
        {
            **plain(one),
            "leading_behind_headboard_m": one.best - one.ahead - one.headboard,
            "caution": stowed.TIE_DOWN,
        }
        for one in found
    ]


def listed(rig: Rig, path: str) -> tuple[Rig, "object"]:
    """The rig with the items of a list added, and the list."""
    from steelyard.files.manifest import read_manifest

    if not rig.places:
        fail("--manifest: expected a rig with places for the list's things, found none")
    found = read_manifest(path, rig)
    for raw, place in found.guessed.items():
        click.echo(f"{path}: “{raw}” is taken for the place {place}", err=True)
    for name, row in found.items.items():
        first = next(iter(rig.places), "") if "place" not in row else row["place"]
        item = Item.model_validate({**row, "place": first})
        rig = rig.model_copy(update={"items": {**rig.items, name: item}})
    return somewhere(rig, unplaced(found)), found


def placing(path: str) -> tuple[Rig, tuple[str, ...]]:
    """The rig in a file, and which of its things the file gives no place."""
    rig, bare = read_placing(path)
    return somewhere(rig, bare), bare


def somewhere(rig: Rig, names: tuple[str, ...]) -> Rig:
    """The rig with these things in the first place that may hold each, until one is found."""
    for name in names:
        item = rig.items[name]
        free = (place for place in rig.places if may_ride(rig, name, place))
        item = item.model_copy(update={"place": next(free, item.place)})
        rig = rig.model_copy(update={"items": {**rig.items, name: item}})
    return rig


def unplaced(listed: object) -> tuple[str, ...]:
    """Things of a list that gives them no place."""
    tables = getattr(listed, "items", {})
    return tuple(name for name, row in tables.items() if "place" not in row)


def put(found: Stowed, names: tuple[str, ...]) -> tuple[str, ...]:
    """Where things go that had no place."""
    plan = found.found.plan if found.found else {}
    rig = found.rig
    return tuple(
        f"{name} had no place: it goes into {rig.places[plan[name]].title or plan[name]}."
        for name in names
        if name in plan
    )


def print_starter(ctx: click.Context, kind: str | None) -> None:
    """Print a list to start from, and end the command."""
    if kind is None:
        return
    from steelyard.files.manifest import manifest_csv

    rows = [
        {"item": name, "weight": one["weight"], "note": f"{one['title']}; {one['source']}"}
        for name, one in starter(kind).items()
    ]
    click.echo(manifest_csv(rows), nl=False)
    ctx.exit()
