"""Slips that explain readings which do not agree: asked about, never put right unasked."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import chain, combinations, pairwise
from math import log
from typing import Final

import numpy as np

from steelyard.estimate import Array, condition
from steelyard.estimate.tails import chi_square_chance
from steelyard.fault import Fault
from steelyard.quantity import GRAVITY, POUND
from steelyard.ratings.limits.coupling import least_tongue
from steelyard.weighing.agreement import DOUBTFUL
from steelyard.weighing.kinds import Platform
from steelyard.weighing.kinds.hitch_scale import HitchScale
from steelyard.weighing.kinds.tongue_scale import TongueScale
from steelyard.weighing.laid_ticket import Weighed
from steelyard.weighing.tested import Tested, linearised

CLEARLY: Final = 0.05
"""Chance from which the readings agree once a slip is undone."""
BARELY: Final = 1e-4
"""The same where undoing it takes a chi-square of `MUCH` away: then the file is off too."""
MUCH: Final = 50.0
"""What nothing but a slip explains: seven sd of one reading (assumed)."""
ALL_BUT: Final = 0.01
"""Part of the misfit that a slip may leave where nothing else explains it, however ill the file
then fits (assumed)."""
LEFT: Final = 0.5
"""Part of the misfit that an undone slip may leave to first order, to be looked at in full."""
TRIED: Final = 3
"""Slips that are looked at in full, those first that leave least."""
ROUNDS: Final = 8
"""Of Gauss-Newton, in which a slip that was made settles once undone; others need not."""
GROSS: Final = 2.5758293035489004
"""Normal quantile of 0.995: how far off a reading must lie to be tried in the other unit."""
NEARLY: Final = 0.06
"""Part of its misfit that a reading in the other unit may keep: a factor of 2.2 is told by less."""
NEARLY_AS: Final = 6.0
"""Chi-square more than one wrong reading leaves, up to which people are asked about: 20 times less
likely (judgement)."""
AMPLE: Final = 3.0
"""Times what a slip would have moved a reading that it may err, so that several which it moved
alike tell next to nothing together (judgement)."""
OVER: Final = 0.3
"""sd of how far over the tongue's rating a trailer is loaded that is over it at all (assumed)."""
LIKELIER: Final = 5.0
"""Times likelier in pounds, by prior and rating, that a tongue over its rating is asked about, or
that a trailer's axles are as a whole trailer (judgement)."""
SYSTEMS: Final = ("in kg", "in lb")
OTHERWISE: Final = (
    (1 / POUND, SYSTEMS[0]),
    (POUND, SYSTEMS[1]),
    (10.0, "ten times as large"),
    (1000.0, "a thousand times as large"),
    (0.1, "a tenth as large"),
)
"""What a weight is times what was written down, and how that is said."""
NUMBER: Final = re.compile(r"[\d., ]*\d")
"""The digits that a weight begins with."""
WHOLE: Final = re.compile(r"\d+|\d{1,3}(,\d{3})+")
"""A number without decimals."""
UNIT: Final = "weights in the unit they were read in"
AXLES: Final = ("front", "rear", "trailer")


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """What the readings would be, (m,) SI, had it not been made, and how it is asked; `many`: there
    are so many of its kind that one fits by chance where the file is a little off; `last`: it is
    told where nothing else explains them."""

    right: Array
    fault: Fault
    many: bool = False
    last: bool = False


def mistakes(weighed: Weighed, first: Tested) -> tuple[Slip, ...]:
    """Slips without which readings that do not agree would, the likeliest first; none where the
    ticket says that it is sure. first: linearised at the prior, as a belief that a slip has pulled
    is nowhere near the truth."""
    before = first.misfit()
    degrees = len(first.innovation)
    read = np.array([reading.value for reading in weighed.readings])
    if weighed.ticket.sure:
        return ()
    if chi_square_chance(before, degrees) >= DOUBTFUL:
        return (*_over_rated(weighed, first, read), *_too_light(weighed, first, read))
    near = [(first.misfit(slip.right - read), slip) for slip in _slips(weighed, first, read)]
    near = [one for one in near if one[0] < LEFT * before]
    near.sort(key=lambda one: one[0])
    tried = [[one for one in near if one[1].last is last][:TRIED] for last in (False, True)]
    found: list[tuple[float, Slip]] = []
    least, most = np.inf, tuple[Slip, ...]()
    for left, slip in chain(*tried):
        if slip.last and found:
            break
        rest, plain = _misfit(weighed, slip.right), before - left > MUCH
        rest = min(left, rest) if plain else rest
        chance = chi_square_chance(rest, degrees)
        if chance >= (BARELY if plain and not slip.many else CLEARLY) and plain >= slip.many:
            found.append((chance, slip))
        elif plain and rest < min(ALL_BUT * before, least):
            least, most = rest, (slip,)
    told = tuple(slip for _, slip in sorted(found, key=lambda pair: -pair[0]))
    return told or tuple(_beside_others(weighed, first, read)) or most


def got_out(weighed: Weighed, first: Tested) -> tuple[str, ...]:
    """Who may not have been aboard in which passes, where that explains what clashes nearly as well
    as one wrong reading: everybody, or all but who drives, out of one pass or of all but one. None
    where one pass alone has the vehicle, as its file may then as well be off."""
    whole = weighed.ticket.passes.items()
    passes = [name for name, one in whole if one.arrangement != "trailer-alone"]
    before, degrees = first.misfit(), len(first.innovation)
    asks = not weighed.ticket.sure and chi_square_chance(before, degrees) < DOUBTFUL
    if len(passes) < 2 or not asks:
        return ()
    people, found = weighed.rig.people, []
    riding = [name for name, one in people.items() if one.seat != "driver"]
    out = {"nobody": list(people), "only the driver": riding if len(riding) < len(people) else []}
    those = {(name,) for name in passes} | {tuple(set(passes) - {name}) for name in passes}
    mean = weighed.prior.at_mean()
    least = before - float(np.max(np.square(first.off))) + NEARLY_AS
    for words, names in out.items() if people else ():
        gone = {**mean, **{f"people.{name}.weight": np.zeros(()) for name in names}}
        there, left = (
            np.concatenate([np.ravel(one.predict(v)) for one in weighed.readings])
            for v in (mean, gone)
        )
        for which in those:
            mine = [line.pass_name in which for line in weighed.lines]
            rest = first.misfit((there - left) * mine)
            due = BARELY if before - rest > MUCH else CLEARLY
            if rest < least and chi_square_chance(rest, degrees) >= due:
                where = " and ".join(f"“{name}”" for name in passes if name in which)
                found.append((rest, f"{words} aboard in {where}"))
    return tuple(told for _, told in sorted(found))


@np.errstate(all="ignore")
def _misfit(weighed: Weighed, right: Array) -> float:
    """The chi-square that other numbers leave."""
    pairs = zip(weighed.readings, right, strict=True)
    readings = tuple(replace(one, value=float(value)) for one, value in pairs)
    there = condition(weighed.prior, list(readings), ROUNDS).mean
    return (
        linearised(replace(weighed, readings=readings), there).misfit()
        if np.isfinite(there).all()
        else np.inf
    )


def doubted(weighed: Weighed, slips: tuple[Slip, ...]) -> Weighed:
    """The ticket with every reading that a slip is asked of `AMPLE` times as wide as that would
    have moved it."""
    read = np.array([reading.value for reading in weighed.readings])
    off = sum((np.square(slip.right - read) for slip in slips), np.zeros(len(read)))
    pairs = zip(weighed.readings, np.sqrt(off), strict=True)
    wide = tuple(replace(one, sd=float(np.hypot(one.sd, AMPLE * more))) for one, more in pairs)
    return replace(weighed, readings=wide) if slips else weighed


def _slips(weighed: Weighed, first: Tested, read: Array) -> Iterator[Slip]:
    yield from _other_units(weighed, read)
    for name in weighed.ticket.passes:
        mine = [i for i, line in enumerate(weighed.lines) if line.pass_name == name]
        pads = {
            "+".join(pad.axles): i
            for i in mine
            if isinstance(pad := weighed.lines[i].reading, Platform)
        }
        for one, other in combinations([axle for axle in AXLES if axle in pads], 2):
            right = read.copy()
            right[[pads[one], pads[other]]] = read[[pads[other], pads[one]]]
            due = f"{one} and {other} each in its place"
            yield _asked(right, "readings that agree once swapped", due, name)
        empty = _vehicle_alone(weighed, read)
        if "all" in pads and weighed.ticket.passes[name].arrangement == "coupled" and empty:
            right = read.copy()
            right[pads["all"]] += empty
            said = "a weight that agrees once the vehicle's own is added: a net"
            yield _asked(right, said, "the gross weight of the whole rig", name)
    yield from _whole_trailers(weighed, read)
    yield from _other_passes(weighed, read)
    yield from _other_digits(weighed, first, read)


def _whole_trailers(weighed: Weighed, read: Array) -> Iterator[Slip]:
    """The whole trailer written down as what its axles carry."""
    values = weighed.prior.at_mean()
    for i, line in enumerate(weighed.lines):
        if getattr(line.reading, "axles", ()) == ("trailer",):
            pose = weighed.poses.at(line.pass_name, values)
            rest = np.ravel(pose.whole_trailer() - pose.axle("trailer"))[0] / GRAVITY
            right = np.where(np.arange(len(read)) == i, read - rest, read)
            due, said = (
                "the trailer's axles alone",
                f"“{line.name}”, which agrees as all the trailer weighs",
            )
            if rest > 0:
                yield _asked(right, said, due, line.pass_name)


def _too_light(weighed: Weighed, first: Tested, read: Array) -> Iterator[Slip]:
    """A whole trailer in the place of its axles, so that next to nothing is left for the ball,
    which few load so; the file bears the slip out better, though nothing contradicts the reading.
    """
    before = first.misfit()
    for slip in _whole_trailers(weighed, read):
        if 0.5 * (before - first.misfit(slip.right - read)) > log(LIKELIER):
            yield slip


def _other_digits(weighed: Weighed, first: Tested, read: Array) -> Iterator[Slip]:
    """Two neighbouring digits of a weight, each in the other's place; and of all weights with a
    digit more or one fewer the one that leaves least."""
    for i, line in enumerate(weighed.lines):
        text = getattr(getattr(line.reading, "weight", None), "text", "")
        found = NUMBER.match(text)
        if not found or not _number(found[0]):
            continue

        def told(new: str, how: str, i: int = i, was: int = _number(found[0])) -> Slip:
            right = np.where(np.arange(len(read)) == i, read * _number(new) / was, read)
            said = f"“{weighed.lines[i].name}”, which agrees as {new}, {how}"
            asked = _asked(right, said, _due("swapped"), weighed.lines[i].pass_name)
            return replace(asked, many=True)

        yield from (told(new, "two digits swapped") for new in _swapped(found[0]))
        others = [told(new, "a digit too many") for new in _shorter(found[0])]
        others += [told(new, "a digit left out") for new in _longer(found[0])]
        others.sort(key=lambda slip: first.misfit(slip.right - read))
        yield from (replace(slip, last=True) for slip in others[:1])


def _number(text: str) -> int:
    return int(re.sub(r"\D", "", text) or 0)


def _swapped(text: str) -> Iterator[str]:
    letters = list(text)
    for one, other in pairwise(n for n, letter in enumerate(text) if letter.isdigit()):
        new = list(letters)
        new[one], new[other] = letters[other], letters[one]
        yield "".join(new)


def _shorter(text: str) -> Iterator[str]:
    fewer = (text[:n] + text[n + 1 :] for n in range(len(text)) if WHOLE.fullmatch(text))
    yield from (one for one in fewer if one.strip("0,"))


def _longer(text: str) -> Iterator[str]:
    for n in range(len(text) + 1) if WHOLE.fullmatch(text) else ():
        yield from (text[:n] + digit + text[n:] for digit in "0123456789")


def _other_passes(weighed: Weighed, read: Array) -> Iterator[Slip]:
    """Two passes taken for each other: bars on and off with the same readings, or the vehicle alone
    and coupled, what was read of both."""
    passes = weighed.ticket.passes
    there = {
        name: {
            str(x.reading.target()): i for i, x in enumerate(weighed.lines) if x.pass_name == name
        }
        for name, one in passes.items()
        if one.arrangement != "trailer-alone"
    }
    for one, other in combinations(there, 2):
        both = there[one].keys() & there[other].keys()
        alone = {passes[name].arrangement for name in (one, other)} == {"vehicle-alone", "coupled"}
        bars = {passes[name].bars for name in (one, other)} == {"on", "off"}
        if (alone and len(both) > 1) or (bars and there[one].keys() == there[other].keys()):
            right = read.copy()
            for at in both:
                right[[there[one][at], there[other][at]]] = read[[there[other][at], there[one][at]]]
            what = "vehicle alone and coupled" if alone else "bars on and bars off"
            found = f"readings of “{one}” and “{other}” that agree once swapped"
            yield _asked(right, found, f"{what} each in its pass")


def _asked(right: Array, found: str, due: str, *passes: str) -> Slip:
    path = ("passes", *passes) if passes else ()
    return Slip(right=right, fault=Fault(path=path, due=due, found=found, asks=True))


def _other_units(weighed: Weighed, read: Array) -> Iterator[Slip]:
    """All weights, those of a pass, or one, written down otherwise than they were read."""
    weights = np.array([line.reading.dimension == "mass" for line in weighed.lines])
    whose = np.array([line.pass_name for line in weighed.lines])
    passes = list(weighed.ticket.passes) if len(weighed.ticket.passes) > 1 else []
    groups: list[tuple[str, tuple[str, ...], Array]] = [
        ("this ticket, which agrees", (), weights),
        *(("this pass, which agrees", (name,), weights & (whose == name)) for name in passes),
    ]
    groups += [
        (f"“{line.name}”, which agrees", (line.pass_name,), np.arange(len(read)) == i)
        for i, line in enumerate(weighed.lines)
        if weights[i]
    ]
    alone = {which.tobytes(): (words, where, which) for words, where, which in groups}
    for words, where, which in alone.values():
        for factor, how in OTHERWISE:
            right = np.where(which, factor * read, read)
            yield _asked(right, f"{words} {_told(weighed, which, how)}", _due(how), *where)


def _told(weighed: Weighed, which: Array, how: str) -> str:
    """How a weight would have to be read; one in pounds that would agree in pounds, or one in
    kilograms in kilograms, was converted before it was written down."""
    if how not in SYSTEMS:
        return how
    lines = (line for line, mine in zip(weighed.lines, which, strict=True) if mine)
    texts = [getattr(getattr(line.reading, "weight", None), "text", "") for line in lines]
    same = all(("lb" in text or "pound" in text) is (how == "in lb") for text in texts)
    return "with one conversion fewer" if same else how


def _due(how: str) -> str:
    return UNIT if how in SYSTEMS else "weights as they were read"


def _over_rated(weighed: Weighed, first: Tested, read: Array) -> Iterator[Slip]:
    """A tongue far over what its coupling may carry, and within it if pounds were read, which the
    file bears out better; though nothing contradicts it, few load so."""
    rated, before = least_tongue(weighed.rig), first.misfit()
    for i, line in enumerate(weighed.lines):
        which = np.arange(len(read)) == i
        right = np.where(which, POUND * read, read)
        left = first.misfit(right - read)
        over = (read[i] / rated - 1.0) / OVER
        likelier = 0.5 * (before - left + over**2) + log(POUND)
        told = right[i] <= rated < read[i] and left < before and likelier > log(LIKELIER)
        if told and isinstance(line.reading, TongueScale | HitchScale):
            how = _told(weighed, which, SYSTEMS[1])
            said = f"“{line.name}”, which the coupling may carry {how}"
            yield _asked(right, said, UNIT, line.pass_name)


def _vehicle_alone(weighed: Weighed, read: Array) -> float:
    """kg of the vehicle, where a pass of the ticket weighed all of it alone; else none."""
    for name, one in weighed.ticket.passes.items():
        pads = {
            i: line.reading.axles
            for i, line in enumerate(weighed.lines)
            if line.pass_name == name and isinstance(line.reading, Platform)
        }
        axles = {axle for borne in pads.values() for axle in borne}
        if one.arrangement == "vehicle-alone" and axles in ({"all"}, {"front", "rear"}):
            return float(read[list(pads)].sum())
    return 0.0


def _beside_others(weighed: Weighed, first: Tested, read: Array) -> Iterator[Slip]:
    """The reading furthest off, where it would fit the others in the other unit though these have
    faults of their own; only where the others say what it should read to a tenth."""
    weights = np.array([line.reading.dimension == "mass" for line in weighed.lines])
    root = np.sqrt(np.diag(first.weight))
    off = np.where(weights, first.off, 0.0)
    i = int(np.argmax(np.abs(off)))
    if not abs(off[i]) >= GROSS or 1.0 / root[i] > 0.1 * abs(read[i]):
        return
    line = weighed.lines[i]
    for factor, how in OTHERWISE:
        left = abs(off[i] + root[i] * read[i] * (factor - 1.0))
        if left < max(GROSS, NEARLY * abs(off[i])):
            which = np.arange(len(read)) == i
            said = f"“{line.name}”, which would fit the others {_told(weighed, which, how)}"
            right = np.where(which, factor * read, read)
            yield _asked(right, said, _due(how), line.pass_name)
            return
