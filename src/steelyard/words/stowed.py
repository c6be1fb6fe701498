"""What a stowing plan is, in sentences."""

from collections.abc import Mapping
from typing import Final

from steelyard.assessment.damped import Damped
from steelyard.fault import joined, listed
from steelyard.quantity import GRAVITY, System, percent, shown
from steelyard.ratings import LIKELY, SURE, TIGHT
from steelyard.rig import Rig
from steelyard.rig.fumes import assumed_outside
from steelyard.stowing.allowed_places import inside_with_fumes
from steelyard.stowing.boarding import Boarding
from steelyard.stowing.cures import Cure
from steelyard.stowing.linear import Side
from steelyard.stowing.move_order import MOST
from steelyard.stowing.move_order import Sequence as Order
from steelyard.stowing.plan import EVEN, UNTOLD
from steelyard.stowing.program import NEAR, Goal
from steelyard.stowing.slides import Slide
from steelyard.stowing.stow import Stowed
from steelyard.stowing.water import Run
from steelyard.travel import plan_stages
from steelyard.words.assessed import MARKS, chance
from steelyard.words.mended import NAMED, carried, few, likelier, likeliest
from steelyard.words.next_steps import BARE, OFF, bars_mend

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
    else_, other = (" else", " other") if found.slides else ("", "")
    still = f"no{other} move mends it" if _exceeded(found) else f"nothing{else_} needs to move"
    moves = f"{count} move{'s' * (count > 1)}" if count else still
    stages = len(plan.assessment.stages)
    where = f"at all {stages} stages" if stages > 1 else "at its one stage"
    mark = MARKS[plan.assessment.verdict]
    best = " The search was stopped: this is the best so far." if plan.interrupted else ""
    if found.left:
        left = ", ".join(found.left)
        less = "" if found.least else " Perhaps less may stay home: that is not proven."
        less += _one_place(found)
        why = f"{found.conflict}{_unsure(found)}{less}{_beyond(found)}{_weigh(found)}"
        why += f"{_price(found)}{_bars(found)}{best}"
        return f"{mark}: not everything fits. Leave {left} home; {moves}. {why.lstrip()}"
    rest = f"{_beyond(found)}{_weigh(found)}{_price(found)}{_bars(found)}{best}"
    return f"{mark}: everything has a place, {where}; {moves}.{rest}"


def _one_place(found: Stowed) -> str:
    """That what stays home had nowhere else on its trailer to ride, where so little is stated."""
    places = {name for name, place in found.rig.places.items() if place.on == "trailer"}
    if len(places) != 1 or not any(found.rig.items[one].place in places for one in found.left):
        return ""
    return " One place alone is stated on the trailer: state others, and they are tried."


def _beyond(found: Stowed) -> str:
    """What is exceeded still, or may be, that no place mends, and how it is with nothing aboard."""
    costly = [x.title for x in found.unmended if x.freed and x.title in _exceeded(found)]
    over = [title for title in _exceeded(found) if title not in costly]
    bare = {one.title: one.bare for one in found.unmended}
    always = [title for title in over if bare.get(title, 0.0) >= SURE]
    named = [f"{few(always)}, exceeded with nothing aboard too"] if always else []
    others = [title for title in over if title not in always]
    named += [few([_with_none(title, bare) for title in others])] if others else []
    helps = all(one.bare <= one.now for one in found.unmended)
    less = ": carry less" if helps and any(title in bare for title in others) else ""
    words = f" Where things ride does not mend {'; nor '.join(named)}{less}." if named else ""
    if costly:
        words += f" What would mend {few(costly)} breaks another limit or makes sway likelier."
    then = likeliest(found.found.assessment, UNTOLD) if found.found else {}
    open_ = sorted(bare.keys() & then.keys() - {*over, *costly}, key=lambda title: -then[title])
    if not open_:
        return words
    told = [f"{t} ({chance(then[t])}; {chance(bare[t])} with nothing aboard)" for t in open_]
    return f"{words} Weigh first, whatever rides where, for these may not hold: {few(told)}."


def _bars(found: Stowed) -> str:
    """Spring bars, where a rule asks for them or a rating is higher with them and the load is what
    the plan would give up instead."""
    titles = {*_exceeded(found), *(one.title for one in found.unmended)}
    now = [
        one
        for stage in found.before.stages
        for one in stage.limits
        if one.title in titles or one.title in found.conflict
    ]
    if any(one.kind == BARE for one in now):
        fit = "Fit spring bars: the vehicle's manual requires them at this weight."
        return f" {fit if found.rig.hitch.bars is None else OFF}"
    lifted = dict.fromkeys(one.title for one in now if bars_mend(one, found.rig))
    return f" Spring bars may mend {few(list(lifted))}." if lifted else ""


def _with_none(title: str, bare: Mapping[str, float]) -> str:
    return f"{title} ({chance(bare[title])} with nothing aboard)" if title in bare else title


def _exceeded(found: Stowed) -> tuple[str, ...]:
    stages = found.found.assessment.stages if found.found else ()
    titles = [one.title for stage in stages for one in stage.limits if one.verdict == "exceeded"]
    return tuple(dict.fromkeys(titles))


def _weigh(found: Stowed) -> str:
    """What a plan that holds at the best estimate alone rests on."""
    if not found.weigh or found.found is None:
        return ""
    open_: dict[str, float] = {}
    beyond = {one.title for one in found.unmended}
    for stage in found.found.assessment.stages:
        for one in stage.limits:
            if one.verdict in ("tight", "cannot tell") and one.title not in beyond:
                open_[one.title] = max(one.chance, open_.get(one.title, 0.0))
    if not open_:
        return ""
    titles = sorted(open_, key=lambda title: -open_[title])
    told = f"{listed(titles, NAMED)} may not hold, {chance(open_[titles[0]])} at most"
    if beyond <= {*_exceeded(found)}:
        return f" Weigh first: {told}, for the spread alone."
    return f" And for the spread alone: {told}."


def _price(found: Stowed) -> str:
    """What a plan that mends something graver makes likelier not to hold."""
    told = likelier(found.before, found.found.assessment) if found.found else ""
    return f" In return likelier not to hold: {told}." if told else ""


def _unsure(found: Stowed) -> str:
    """What stays home for the spread alone."""
    if not found.unsure:
        return ""
    return f" The spread alone keeps {listed(found.unsure)} home: weigh first."


def cure_words(found: Stowed, system: System) -> str:
    """`Move the pantry to the galley: that mends the spring bars.`; nothing where nothing is wrong,
    or where that is the plan itself."""
    cure, plan = found.cure, found.found
    if cure is None:
        return ""
    moves = joined(carried(found.rig, cure.order.moves))
    told = "; ".join(
        [slid_words(one, system) for one in found.slides]
        + ([f"move {moves}"] if moves else [])
        + [water_words(found, run, system) for run in cure.water]
    )
    told = told[:1].upper() + told[1:]
    calm = _chances(found.calm, cure.found.calm)
    sway = f"; chance of too little damping {calm}" if calm else ""
    sure = " at the best estimate: weigh first" if cure.weigh else ""
    same = plan and plan.plan == cure.found.plan and not found.water
    best = " That is the plan below too." if same else ""
    other = "what may not ride there" if inside_with_fumes(found.rig) else "the damping"
    named = _mended(found, cure)
    wrong = listed(named[:NAMED]) if named else other
    more = likelier(found.before, cure.found.assessment)
    more = f"; in return likelier not to hold: {more}" if more else ""
    return f"{told}: mends {wrong}{sure}{more}{sway}.{best}"


def _mended(found: Stowed, cure: Cure) -> list[str]:
    """What is wrong now and no more after a cure, at the level it is as sure as, the likeliest
    first."""
    level, most = (EVEN, LIKELY) if cure.weigh else (UNTOLD, TIGHT)
    now_, then = (likeliest(whole, level) for whole in (found.before, cure.found.assessment))
    told = [title for title in found.wrong if now_[title] >= most > then[title]]
    surer = [title for title in found.wrong if now_[title] > then[title] and title not in told]
    left = {one.title for one in cure.unmended}
    each = told or [title for title in surer if title not in left]
    return sorted(each, key=lambda title: -now_[title])


def _chances(now: tuple[Damped, ...], then: tuple[Damped, ...]) -> str:
    """`15.2 % now, 7.4 % then`, at the worst stage of each."""
    if not now or not then:
        return ""
    before, after = (max(one.undriven for one in each) for each in (now, then))
    aside = any(one.chance < one.undriven for one in now)
    felt = ", what was felt with this load left aside" if aside else ""
    return f"{_tenth(before)} now, {_tenth(after)} then{felt}"


def _tenth(p: float) -> str:
    """A chance to a tenth of a percent, so that two of them can be told apart."""
    return percent(p) if p >= 0.1 else chance(p)


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


def sway_after(found: Stowed, system: System) -> str:
    """What the moves together do to how surely a swing dies away."""
    then = found.found.calm if found.found else ()
    if not found.calm or not then:
        return "Sway is not known for this rig: `steelyard sway` says why."
    return f"Damping, by move, is the best estimate. {calm_words(found.calm, then, system)}"


def calm_words(now: tuple[Damped, ...], then: tuple[Damped, ...], system: System) -> str:
    """How much likelier or less likely too little damping is; why, where it is likelier; nothing
    where the sway model has no answer."""
    if not now or not then:
        return ""
    at = shown(now[0].speed, "speed", system)
    chances = [max(one.undriven for one in each) for each in (now, then)]
    words = f"Chance that damping at {at} is below {now[0].asked:.2f}, at the worst stage:"
    words += f" {_chances(now, then)}."
    if chances[1] <= chances[0]:
        return words
    return f"{words} For sway alone the weight had better go the other way (`steelyard sway`)."


def less_calm(found: Stowed) -> str:
    """Where too little damping is likelier by a plan than now, and beyond what is tight; nothing
    where it is not."""
    if found.found is None:
        return ""
    raised = [
        (new.undriven, f"{percent(old.undriven)} to {percent(new.undriven)} at “{new.title}”")
        for old, new in zip(found.calm, found.found.calm, strict=True)
        if new.undriven > max(old.undriven, TIGHT)
    ]
    if not raised:
        return ""
    asked = found.calm[0].asked
    return (
        f"It makes sway likelier: damping below {asked:.2f}, from {max(raised)[1]}, as you allow."
    )


def room_beside(rig: Rig, name: str) -> str:
    """What stands on the same deck as a thing that slides, which nobody keeps it clear of."""
    others = [k for k, x in rig.items.items() if k != name and x.place == rig.items[name].place]
    return f"Room beside {', '.join(others)} on the same deck is yours to check." if others else ""


def slide_words(one: Slide, rig: Rig, system: System) -> str:
    """`Slide tractor 1 ft 2 in aft: its front wheels 8 ft behind the headboard of deck.`, and what
    it is to be kept clear of."""
    there = one.footing
    end = "front wheels" if there.wheels else "front end"
    behind = shown(one.to - there.ahead - there.headboard, "length", system)
    what = f"its {end if there.ahead else 'centre'} {behind} behind the headboard of {there.place}"
    slide = slid_words(one, system)
    return f"{slide[:1].upper()}{slide[1:]}: {what}. {room_beside(rig, one.item)}".rstrip()


def slid_words(one: Slide, system: System) -> str:
    """`slide tractor 1 ft 2 in aft`."""
    by = shown(abs(one.to - one.start), "length", system)
    return f"slide {one.item} {by} {'aft' if one.to > one.start else 'forward'}"


def boarding_words(one: Boarding, system: System) -> str:
    """What rolling a load on over the tail does, and what must stand under it first."""
    lift, weight, rear = (shown(x, "mass", system) for x in (one.lift, one.weight, one.rear))
    words = f"Rolling {one.item} ({weight}) on over the tail takes up to {lift} off the ball"
    if one.ball >= 0:
        left = shown(one.ball, "mass", system)
        return (
            f"{words} until it is forward: coupled, {left} stays on it and {rear} comes off the"
            " vehicle's rear axle. Load coupled, on level ground, wheels chocked."
        )
    up, stand = (shown(x, "mass", system) for x in (-one.ball, one.stand))
    return (
        f"{words}: coupled, it pulls up by {up} and {rear} comes off the vehicle's rear axle;"
        f" unhitched, the trailer tips. First stands under the tail, for {stand} at least, and"
        " wheels chocked; they stay until it is forward, and when it rolls off."
    )


def fumes_words(rig: Rig) -> list[str]:
    """What is taken to ride outside only by what it is called, and what of it rides inside."""
    inside = dict(inside_with_fumes(rig))
    return [
        f"Does {name} hold fuel or give off fumes? Then it rides outside only"
        + (", and it is inside now" if name in inside else "")
        + "; if not, say outside_only = false."
        for name, _ in assumed_outside(rig)
    ]


def first_words(found: Stowed) -> str:
    """What comes before the moves: things left home, water as chosen."""
    parts = [f"leave {', '.join(found.left)} home"] if found.left else []
    parts += [f"slide {one.item}" for one in found.slides]
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


def stop_words(found: Stowed, system: System) -> str:
    """What keeps the ball from its target: `10.4 %: receiver: tongue (350 kg) stops more`; nothing
    where it is as near as was asked."""
    plan = found.found
    if plan is None or not plan.goals or plan.goals[0].value <= NEAR:
        return ""
    off = [
        (abs(s.tongue.weight_kg.best - found.target * s.trailer_kg.best), s.tongue.share.value)
        for s in plan.assessment.stages
    ]
    share = max(off)[1]
    way = "more" if share < found.target else "less"
    stop = plan.stop or next((one.footing.stop for one in found.slides if one.footing.stop), None)
    if stop is None:
        return f"{percent(share)}: nothing that may be moved gives {way}."
    if stop.measure == "share" and stop.under == (share > stop.rating):
        edge = f"{'floor' if stop.under else 'ceiling'} of {percent(stop.rating)}, for the spread"
        return f"{percent(share)}: {way} might pass the {edge} of the {stop.title}: weigh first."
    return f"{percent(share)}: {edge_words(stop, system)} stops {way}."


def edge_words(side: Side, system: System) -> str:
    """`towbar: tow ball mass (280 kg)`, `tongue share (10 %)`."""
    if side.sways:
        return f"the damping of {side.rating:.2f} that is asked for"
    if side.measure in ("weight", "force"):
        return f"{side.title} ({shown(side.rating / GRAVITY, 'mass', system)})"
    edge = percent(side.rating) if side.measure == "share" else f"{side.rating:.2f}"
    return f"{side.title} ({edge})"


def goal_words(goal: Goal, found: Stowed, system: System) -> str:
    """One goal: how near it is met, and what is proven where something is."""
    assert found.found is not None
    if goal.name == "share":
        off = shown(goal.value, "mass", system, 1)
        words = f"the ball is at most {off} from {percent(found.target)} of the trailer at the"
        words += " worst stage; "
        if found.found.proven:
            near = shown(NEAR, "mass", system, 1)
            return words + f"proven: no plan brings it {near} nearer, whatever the limits"
        bound = shown(max(goal.bound, 0.0), "mass", system, 1)
        return words + f"by the planner's sums around this plan none gets under {bound}"
    if goal.name == "spread":
        return (
            f"weight near the axles and low: {goal.value:z,.0f} kg m² of cargo, by the planner's"
            f" sums within {percent(goal.relative)} of the least with the ball held there"
        )
    return (
        f"moves: {int(goal.value)}, by the planner's sums the fewest and lightest that give this"
        if int(goal.bound) == int(goal.value)
        else (f"moves: {int(goal.value)}; as few as {int(goal.bound)} are not ruled out")
    )
