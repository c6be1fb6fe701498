"""What a stowing plan is, in sentences."""

from math import isnan
from typing import Final

from steelyard.quantity import System, percent, shown
from steelyard.stowing import Goal, Order, Stowed
from steelyard.stowing.moves import MOST
from steelyard.stowing.water import Run
from steelyard.trip import plan_stages
from steelyard.words.assessed import MARKS
from steelyard.words.sway import FAST, beyond

TIE_DOWN: Final = (
    "Tie-down strength is not looked at: secure every load by the rules that hold for it."
)


def plan_verdict(found: Stowed) -> str:
    """Whether everything has a place, what stays home and why."""
    plan = found.found
    if plan is None and found.stopped:
        return f"{MARKS['unknown']}: the search was stopped before any plan was found."
    if plan is None:
        why = f" {found.conflict}" if found.conflict else ""
        words = "no plan was found that holds at every stage"
        return f"{MARKS['exceeded']}: {words}, even with things left home.{why}"
    count = len(found.order.moves) if found.order else 0
    moves = "nothing needs to move" if not count else f"{count} move{'s' * (count > 1)}"
    stages = len(plan.assessment.stages)
    where = f"at all {stages} stages" if stages > 1 else "at its one stage"
    mark = MARKS[plan.assessment.verdict]
    best = " The search was stopped: this is the best so far." if plan.interrupted else ""
    if found.left:
        left = ", ".join(found.left)
        less = "" if found.least else " Perhaps less may stay home: that is not proven."
        return (
            f"{mark}: not everything fits. Leave {left} home; {moves}. {found.conflict}{less}{best}"
        )
    return f"{mark}: everything has a place, {where}; {moves}.{best}"


def water_words(found: Stowed, run: Run, system: System) -> str:
    """`leaving home: leave with 20 gal in fresh, 56 % full (9 gal as the file has it)`."""
    rig = found.rig
    capacity = rig.trailer.tanks[run.tank].capacity.value
    names = [rig.stages[key].title or key.replace("-", " ") for key in run.stages]
    carried = [shown(share * capacity, "volume", system) for share in run.levels]
    words = f"{names[0]}: leave with {carried[0]} in {run.tank}, {percent(run.levels[0], 0)} full"
    later = [f"{much} at {name}" for much, name in zip(carried[1:], names[1:], strict=True)]
    used = f"; what is used on the way leaves {', '.join(later)}" if later else ""
    fixed = ", which what is used on the way needs" if run.high - run.low < 0.005 else ""
    return f"{words}{fixed}{used}"


def sway_after(order: Order, system: System) -> str:
    """What the moves together do to how fast a swing dies away."""
    now, then = order.calm, order.moves[-1].calm if order.moves else order.calm
    if isnan(now.damping) or isnan(then.damping):
        return "Sway is not known for this rig: `steelyard sway` says why."
    at = shown(now.speed, "speed", system)
    return (
        f"Damping is the ratio of the least damped swing at {at} once the move is done, best"
        f" estimate: {now.damping:z.2f} now, {then.damping:z.2f} at the end. Sway grows"
        f" {_from(now.wagging, system)} now, {_from(then.wagging, system)} then."
    )


def _from(onset: float, system: System) -> str:
    return beyond(system) if onset > FAST else f"at {shown(onset, 'speed', system)}"


def first_words(found: Stowed) -> str:
    """What comes before the moves: things left home, water as chosen."""
    parts = [f"leave {', '.join(found.left)} home"] if found.left else []
    parts += ["water as chosen"] if found.water else []
    return " and ".join(parts)


def later_words(found: Stowed) -> str:
    """Which moved things are not aboard yet at the stage that the moves are told at."""
    first = plan_stages(found.rig)[0]
    moves = found.order.moves if found.order else ()
    names = [move.item for move in moves if move.item not in first.items]
    if not names:
        return ""
    them = "it adds" if len(names) == 1 else "they add"
    return f"Not aboard yet at “{first.title}”, so {them} nothing there: {', '.join(names)}."


def on_the_way(order: Order, system: System) -> str:
    """The worst moment between the moves."""
    broken = order.worst_before > 0
    if order.peak is None and broken:
        return "No moment on the way is worse than it is now."
    if order.peak is None:
        return "Every limit that the moves touch holds at each moment on the way too."
    move = order.moves[order.peak - 1]
    worse = shown(move.worst - max(order.worst_before, 0.0), "mass", system)
    words = f"{worse} worse than now" if broken else f"a limit is missed by {worse}, held now"
    least = ", in any order at least" if len(order.moves) <= MOST else ""
    return (
        f"The worst moment is after move {order.peak} ({move.item}): {words}{least}; do not drive"
        " off between the moves."
    )


def goal_words(goal: Goal, target: float, system: System) -> str:
    """One goal: how near it is met and what is proven."""
    if goal.name == "share":
        off, bound = (shown(x, "mass", system, 1) for x in (goal.value, max(goal.bound, 0.0)))
        return (
            f"the ball is at most {off} from {percent(target)} of the trailer at the worst stage;"
            f" no plan gets under {bound} (proven, gap"
            f" {shown(goal.gap, 'mass', system, 1)})"
        )
    if goal.name == "spread":
        return (
            f"weight near the axles and low: {goal.value:z,.0f} kg m² of cargo, within"
            f" {percent(goal.relative)} of the least possible with the ball held there"
        )
    return (
        f"moves: {int(goal.value)}, the fewest and lightest that give this"
        if int(goal.bound) == int(goal.value)
        else (f"moves: {int(goal.value)}; as few as {int(goal.bound)} are not ruled out")
    )
