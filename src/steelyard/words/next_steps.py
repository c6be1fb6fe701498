"""What to do next about an answer, the most pressing first."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import isfinite, isnan
from typing import Final, Literal

from steelyard.assessment import Assessment, StageResult
from steelyard.fault import dotted
from steelyard.hitching.bars import CARRYING
from steelyard.hitching.result import Fit
from steelyard.quantity import Z95, System, shown
from steelyard.ratings import LimitStatus, severity
from steelyard.ratings.limits.fitting import CAB
from steelyard.ratings.tyre_capacity import pressure_for, tyres_of
from steelyard.rig import Rig, takes_bars
from steelyard.typical.trailer import ORDINALS
from steelyard.words.assessed import TONGUE_WEIGHED, coupling, measured, settling, unsure
from steelyard.words.unstated import instead, plainly

Kind = Literal["move", "set", "weigh", "list", "look", "state", "card"]
"""Move or leave weight; set a part or pressure; take a reading; list what rides; read a rating off
its label; state a value; keep the card."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A thing to do: of what kind, in words, and about what: for `weigh` what goes on the scale (a
    key of `SETTLING`), for `look` and `state` a dotted key of the rig file, else a limit's name.
    lead: which limit it is for, where the words do not say."""

    kind: Kind
    words: str
    about: str = ""
    lead: str = ""

    @property
    def whole(self) -> str:
        """All of it, for a list of things to do."""
        lead, words = self.lead, self.words
        return f"{lead[:1].upper()}{lead[1:]}: {words[:1].lower()}{words[1:]}" if lead else words


def next_steps(
    found: Assessment, system: System, stage: StageResult | None = None
) -> Iterator[Step]:
    """What a stage, the worst unless named, asks for; the first is what its verdict asks for. What
    is set right for several axles is told once."""
    done = set()
    for step in _steps(found, system, stage or found.worst_stage):
        if step.kind != "set" or step not in done:
            yield step
        done.add(step)


def _steps(found: Assessment, system: System, stage: StageResult) -> Iterator[Step]:
    by_need = sorted(stage.limits, key=lambda one: (-severity(one.verdict), one.room))
    beyond = [one for one in by_need if one.verdict == "exceeded"]
    over = [one for one in beyond if one.name not in stage.unlisted]
    yield from _beyond(over, found.rig, system, by_need)
    for one in over[:1]:
        yield from _taped(one, stage)
    yield from _tipped(stage, next((one for one in beyond if one not in over), stage.deciding))
    open_ = [one for one in by_need if one.verdict == "cannot tell"]
    for one in open_[:1]:
        step = _unsure(one, found, system)
        yield step
        yield from _taped(one, stage) if step.kind == "weigh" else ()
    yield from (_unsure(one, found, system) for one in open_[1:])
    tight = [one for one in by_need if one.verdict == "tight"]
    if tight:
        yield _tight(tight[0], found, system)
    yield from _missing(found, by_need, system)
    if not found.missing and by_need and by_need[0].verdict == "within":
        yield Step(kind="card", words="Print the card.")
        yield from _sharper(found)


def _tipped(stage: StageResult, one: LimitStatus | None) -> Iterator[Step]:
    """To list what rides along or weigh it, where a limit would hold but for what nobody listed."""
    if one is not None and one.name in stage.unlisted:
        weigh = f", or weigh {settling(one)[1]}" if one.verdict == "exceeded" else ""
        words = f"List what rides along{weigh}: only what nobody listed tips {one.title}."
        yield Step(kind="list", words=words)


def _missing(found: Assessment, by_need: list[LimitStatus], system: System) -> Iterator[Step]:
    """What nobody stated, by what it weighs: people, what is asked about, ratings, other cargo."""
    if "people" in found.missing:
        yield _list(found)
    for question in found.questions:
        at = dotted(question.path)
        yield Step(kind="state", words=f"Look at {plainly(at)} again: is it right?", about=at)
    unknown = [_most(one, found) for one in unrated(by_need)]
    yield from (look_up(one, system) for one in unknown[:1])
    if found.missing and "people" not in found.missing:
        yield _list(found)
    yield from (look_up(one, system) for one in unknown[1:])


def _most(one: LimitStatus, found: Assessment) -> LimitStatus:
    """The same limit at the stage that asks most of it, which its label has to bear."""
    alike = (each for stage in found.stages for each in stage.limits if each.name == one.name)
    return max(
        (each for each in alike if each.value > one.value), key=lambda each: each.value, default=one
    )


def _list(found: Assessment) -> Step:
    return Step(kind="list", words=f"List what the file leaves out: {', '.join(found.missing)}.")


def unrated(limits: Iterable[LimitStatus]) -> list[LimitStatus]:
    """Limits without a rating, those of the coupling first."""
    return sorted(
        (one for one in limits if one.verdict == "unknown"), key=lambda one: not one.chain
    )


def _without_bars(rig: Rig, limits: Iterable[LimitStatus], system: System) -> str:
    """What bears too little once the spring bars are off, if anything does."""
    for one in limits:
        _, part, what = one.name.split(".") if one.name in CARRYING else ("", "", "")
        bears = getattr(getattr(rig.hitch, part, None), f"rating_{what}", None)
        if bears is not None and one.value > bears.value:
            least, load = (measured(x, one, system) for x in (bears.value, one.value))
            part = part.replace("_", " ")
            return f" Then the {part} bears {least}, and there are {load}: fit one rated for more."
    return ""


def _beyond(
    over: list[LimitStatus], rig: Rig, system: System, limits: Iterable[LimitStatus] = ()
) -> Iterator[Step]:
    """The gravest limit that a load exceeds, and whatever no moving of weight mends."""
    told, heavy = False, any(one.measure == "share" and one.side == "over" for one in over)
    for one in over:
        air = _aired(one, rig, system)
        if air is not None:
            yield air
        elif by_a_part(one):
            words = by_what_part(one, system)
            words += _without_bars(rig, limits, system) if words == OFF else ""
            yield Step(kind="set", words=words, about=one.name)
        elif not told or _lifts(one):
            told = True
            torn = None if _lifts(one) else _torn(over, rig)
            if torn:
                yield Step(kind="move", words=torn, about="limits")
            elif rig.items or rig.trailer.tanks:
                words = _lighter(one, rig, system, heavy=heavy)
                yield Step(kind="move", words=words, about=one.name)
            else:
                yield stuck_step(one, rig)


def _torn(over: list[LimitStatus], rig: Rig) -> str | None:
    """What it takes where the coupling bears too much for a part of it, and too little of the
    trailer to run steady: what mends one by moving makes the other worse."""
    low = next((one for one in over if one.measure == "share" and one.side == "under"), None)
    cap = next((one for one in over if one.kind == "part's tongue"), None)
    if low is None or cap is None:
        return None
    both = f"{cap.title} is over its rating and {low.title} below its floor: no moving mends both"
    takes = f"it takes {_takes(cap, rig)}, and load further forward"
    return f"Leave load. {both[:1].upper()}{both[1:]}. If all of it must ride, {takes}."


def _lifts(one: LimitStatus) -> bool:
    """Whether it is the share of a trailer that lifts the coupling."""
    return one.measure == "share" and one.value < 0


def _lighter(one: LimitStatus, rig: Rig, system: System, *, heavy: bool = False) -> str:
    """What to do with the load about a limit, and what may be fitted in its place; heavy: the share
    on the coupling is too large, which no spring bars mend."""
    if _lifts(one):
        lifts = f"Do not tow: the trailer lifts the {coupling(rig)}."
        return f"{lifts} Move load ahead of its axles, or leave what rides behind them."
    parts = {"Fit spring bars": bars_mend(one, rig), "Fit trailer brakes": brakes_mend(one, rig)}
    fit = next((f"{part}, or " for part, helps in parts.items() if helps), "")
    if heavy and fit.startswith("Fit spring"):
        return f"Move or leave weight to bring {one.title} and the tongue share within limits."
    if one.kind == "part's trailer" and not fit:  # wherever it rides, the part pulls it
        part = one.title.partition(":")[0]
        return (
            f"Fit a {part} rated for more than {measured(one.value, one, system)}, or leave load."
        )
    do = "move or leave weight" if rig.items else "fill or empty the tanks"
    do = do if fit else do.capitalize()
    return f"{fit}{do} to bring {one.title} within its limit."


def brakes_mend(limit: LimitStatus, rig: Rig) -> bool:
    """Whether a trailer without brakes would be within what its vehicle tows with brakes."""
    braked = rig.vehicle.tow_rating
    unbraked = limit.name == "vehicle.tow_rating_unbraked" and rig.trailer.brakes is False
    return unbraked and braked is not None and limit.value <= braked.value


def stuck_step(limit: LimitStatus, rig: Rig, lighter: Iterable[str] = ()) -> Step:
    """What it takes where no moving or leaving of the load brings a limit to hold; lighter: what
    may together with leaving it."""
    first, takes = ", ".join(lighter), f"it takes {_takes(limit, rig)}"
    where = " behind the axles" if too_light(limit) else " ahead of the axles"
    load = f"leave load{where if limit.measure == 'share' else ''}"
    if _untold(limit, rig):  # a guess is no ground for another part
        (key, how), mends = settling(limit), f"{first}, {load}, or weigh" if first else "weigh"
        words = f"{mends} {how}: nobody stated it empty. If it is so, {takes}."
        words, lead = f"{words[:1].upper()}{words[1:]}", "" if first else limit.title
        return Step(kind="weigh", words=words, about=key, lead=lead)
    words = f"{first[:1].upper()}{first[1:]}, {load}, or {takes}."
    if not first:
        words = f"No moving or leaving of the load mends {limit.title}: {takes}."
    return Step(kind="move", words=words, about="limits")


UNWEIGHED: Final = 0.01
"""sd of a tongue share above which no scale has told it (judgement: scales leave 0.3 points)."""


def _untold(limit: LimitStatus, rig: Rig) -> bool:
    """Whether a limit of the tongue's rests on what such trailers usually put there."""
    empty = rig.trailer.empty
    if empty.tongue_weight is not None or empty.cg is not None:
        return False
    least = UNWEIGHED if limit.measure == "share" else TONGUE_WEIGHED * limit.value
    return settling(limit)[0] == "tongue" and limit.sd > least


def too_light(limit: LimitStatus) -> bool:
    """Whether a share is off for too little on the ball."""
    return (limit.side == "under") == (limit.margin < 0)


def _in_one_place(rig: Rig) -> bool:
    """Whether something rides on the trailer, of which one place alone is stated."""
    on = [name for name, place in rig.places.items() if place.on == "trailer"]
    return on in ([item.place] for item in rig.items.values())


def _takes(limit: LimitStatus, rig: Rig) -> str:
    if limit.measure == "share":
        axles, way = ("back", "forward") if too_light(limit) else ("forward", "back")
        what = "the boat" if rig.trailer.style == "boat" else "what is built on"
        built = f"axles set further {axles}, or {what} set further {way}"
        return f"a place stated further {way} for the load" if _in_one_place(rig) else built
    if brakes_mend(limit, rig):
        return "trailer brakes, or a lighter trailer"
    own = {part: f"a {part} rated for more" for part in ("trailer", "hitch")}
    whole = own.get(limit.at.partition(".")[0], "a lighter trailer, or a vehicle rated for more")
    if not bars_mend(limit, rig):
        return whole
    return f"spring bars, {whole if ', or ' in whole else f'or {whole}'}"


def bars_mend(limit: LimitStatus, rig: Rig) -> bool:
    """Whether spring bars may be fitted and take weight off the limit, or are what the part is
    rated for more with."""
    if not takes_bars(rig) or rig.hitch.bars or rig.vehicle.distribution == "forbidden":
        return False
    if limit.name not in CARRYING:
        return limit.at.startswith("vehicle.rear")
    _, name, what = limit.name.split(".")
    held = getattr(getattr(rig.hitch, name), f"distributing_{what}", None)
    return held is None or held.value > limit.value


BARE: Final = "distribution"
"""Kind of the limit on a trailer with or without spring bars where the vehicle's maker forbids or
requires them."""
OFF: Final = "Take the spring bars off: the vehicle's manual forbids them."


PARTS: Final = ("tyre rating", "chains", "part's force", BARE)
"""Kinds of limits that another part mends, and no weight moved."""
MENDED: Final = ("pressure", "speed", "fitted", "length")
"""Measures that no weight moved or left at home brings within their limit."""


def by_a_part(one: LimitStatus) -> bool:
    """Whether a part, a pressure or a speed mends a limit, and no weight that is moved or left."""
    return one.measure in MENDED or one.kind in PARTS or one.name == "rules.chains"


def by_what_part(one: LimitStatus, system: System) -> str:
    """Which part, pressure or speed brings such a limit to hold."""
    edge = measured(one.rating, one, system)
    if one.kind == BARE:
        fit = f"Fit spring bars: the vehicle's manual requires them above {edge}."
        return OFF if one.measure == "fitted" else fit
    if one.kind == "tyre rating":
        axle, least = one.title.removeprefix("GAWR within "), measured(one.value, one, system)
        return f"Fit {axle} that carry the axle's {least} together."
    if one.name == "rules.chains":
        return f"Fit {measured(one.value, one, system)} safety chains."
    if one.kind == "chains":
        return f"Fit safety chains of {measured(one.value, one, system)} breaking force each."
    if one.kind == "part's force":
        return f"Fit another: {one.title} of {measured(one.value, one, system)} or more."
    if one.name == "hitch.ball.size":
        least = measured(one.value, one, system)
        return f"Do not tow with this: a trailer of that GVWR takes a ball of {least} or more."
    if one.measure == "pressure":
        return f"Let {one.title} down to {edge} or less, cold."
    if one.measure == "speed":
        return f"Stay at {edge} or less: {one.title} allows no more."
    if one.name == CAB:
        takes = "a hitch that slides, a longer pin box or a longer bed"
        return f"Do not tow with this: the nose meets the cab before 15° of turn. It takes {takes}."
    return f"Do not tow with this: {one.title} must be put right."


def put_right(found: Fit, system: System) -> Iterator[str]:
    """The parts of a hitch that do not go together or are too weak, whatever the ball's height, and
    spring bars that are due or must not be."""
    for match in (one for one in found.matches if one.verdict == "exceeded"):
        yield f"Do not tow with this: {match.title} must be put right ({match.why})."
    for _, one in found.limits:
        if one.verdict == "exceeded" and not one.note and by_a_part(one):
            yield by_what_part(one, system)
    bars = found.bars
    if bars is not None and bars.verdict == "exceeded" and bars.due == "forbidden":
        yield OFF
    elif bars is not None and bars.verdict == "exceeded" and not bars.fitted:
        rated = f", rated {shown(bars.size, 'mass', system)} or more" if bars.size else ""
        yield f"Fit spring bars{rated}: they are due, and there are none."
    over = (one for _, one in found.limits if one.verdict == "exceeded" and not one.note)
    for one in [one for one in over if not by_a_part(one)][:1]:
        yield _lighter(one, found.rig, system)


def _unsure(one: LimitStatus, found: Assessment, system: System) -> Step:
    """The reading that settles it or, where it was weighed, what to take off; for a tyre that is
    soft, air."""
    air = _aired(one, found.rig, system)
    if air is not None:
        return air
    words, (key, _) = unsure(one, found, system), settling(one)
    if words.startswith("It is weighed"):
        return Step(kind="move", words=words, about=one.name, lead=one.title)
    return Step(kind="weigh", words=words, about=key, lead=one.title)


def _aired(one: LimitStatus, rig: Rig, system: System) -> Step | None:
    """More air, where a tyre's sidewall allows as much as carries its load with all its spread."""
    if one.kind != "tyre load" or not isfinite(one.value):
        return None
    axle = one.name.split(".")[-2]
    axle = f"trailer {ORDINALS.index(axle) + 1}" if axle in ORDINALS else axle
    tyres, _ = tyres_of(rig, axle)
    most = tyres.max_pressure
    if most is None or not pressure_for(rig, axle, one.value + Z95 * one.sd) <= most.value:
        return None
    up = f"up, to the sidewall's {shown(most.value, 'pressure', system)} at most"
    words = f"Pump the {axle.split()[0]} tyres {up}, cold: the card says how far."
    return Step(kind="set", words=words, about=one.at.replace("max_load", "pressure"))


def _taped(one: LimitStatus, stage: StageResult) -> Iterator[Step]:
    """To say where a thing rides, where nothing else widens a limit more: a tape is at hand before
    a scale is."""
    for name in stage.widened.get(one.name, ())[:1]:
        table, _, rest = name.partition(".")
        if table == "items" and rest.endswith(".station"):
            thing = plainly(name).removesuffix(" station")
            words = (
                f"Tape how far back {thing} rides and state it: nothing widens {one.title} more."
            )
            yield Step(kind="state", words=words, about=name)


def _tight(one: LimitStatus, found: Assessment, system: System) -> Step:
    air = _aired(one, found.rig, system)
    if air is not None:
        return air
    if by_a_part(one):
        return Step(kind="set", words=by_what_part(one, system), about=one.name)
    words = unsure(one, found, system)
    if words.startswith("It is weighed"):
        return Step(kind="move", words=words, about=one.name, lead=one.title)
    key, how = settling(one)
    return Step(kind="weigh", words=f"Weigh {how}, to be surer.", about=key, lead=one.title)


def _sharper(found: Assessment) -> Iterator[Step]:
    if found.assumed:
        name = found.assumed[0].name
        how = instead(name)
        how = "it moves the answer most" if how.startswith("weighing the rig") else how
        yield Step(kind="state", words=f"State or weigh {plainly(name)}: {how}.", about=name)


def look_up(one: LimitStatus, system: System) -> Step:
    """Where to read a rating that is missing."""
    known = not isnan(one.value)
    lead = f"{one.title}, {measured(one.value, one, system)}" if known else one.title
    at = one.at
    return Step(kind="look", words=f"Look at {one.due}.", about=at, lead=lead)
