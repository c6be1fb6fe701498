"""Why a vehicle and a trailer belong together or don't, and why two trailers differ, in words."""

import math
from collections.abc import Iterator, Mapping
from typing import Final

from steelyard.matching.block_answers import Block
from steelyard.matching.compare import Because, Comparison
from steelyard.matching.pair_limits import Room
from steelyard.matching.pair_remedies import Remedy
from steelyard.matching.pairing import FULL, TYPICAL
from steelyard.matching.rank import List, Summary, standing_of
from steelyard.quantity import System, percent, shown
from steelyard.ratings import LimitStatus
from steelyard.ratings.check import ASKED
from steelyard.ratings.judge import UNKNOWN
from steelyard.words.assessed import chance, room, weight

USUAL_LOAD: Final = (
    "Usual load: the people and gear that the vehicle's file lists, else about 900 lb (410 kg) with"
    " the hitch (common practice, no source); cargo in the trailer as a share of what its rating,"
    " or one usual of its style, leaves (assumed)."
)
"""What the middle of the three loadings is."""


TIPS: Final = 0.01
"""Share of the draws that would tip from which it is said first."""
HEADS: Final[dict[List, str]] = {
    "fits": (
        "Fits: every rating due and the trailer's own weights are known and hold at the best"
        " estimate, as usually loaded. Where it is tight, weigh first."
    ),
    "may-fit": (
        "May fit: nothing known is exceeded, but ratings or weights are missing, or nobody can"
        " tell. Neither is a pass: find out first."
    ),
    "does-not-fit": (
        "Does not fit: something is exceeded, or likelier exceeded than not, as usually loaded."
    ),
}
"""What each list holds."""
NAMES: Final[dict[List, str]] = {
    "fits": "Fits",
    "may-fit": "May fit",
    "does-not-fit": "Does not fit",
}


def counted(counts: Mapping[str, int]) -> str:
    """`36 pairs of vehicle and trailer: 4 fit, 9 may fit, 23 do not fit`."""
    total, fit = sum(counts.values()), counts.get("fits", 0)
    may, gone = counts.get("may-fit", 0), counts.get("does-not-fit", 0)
    plural = "" if total == 1 else "s"
    verbs = f"{fit:,} {'fits' if fit == 1 else 'fit'}, {may:,} may fit"
    last = f"{gone:,} {'does' if gone == 1 else 'do'} not fit"
    return f"{total:,} pair{plural} of vehicle and trailer: {verbs}, {last}"


def title_line(block: Block, found: Summary, number: int, system: System) -> str:
    """What governs as usually loaded: the sentence that comes first."""
    limit = int(found.governs[number])
    if limit < 0:
        return "Nothing can be said: no rating is known."
    usual = block.stages.index(TYPICAL)
    one = standing_of(block, limit, usual, number)
    words = f"{one.title} {room(one, system)}"
    return f"Usually loaded, what governs is {words} ({chance(one.chance)} chance of not holding)."


def reasons(block: Block, found: Summary, number: int, system: System) -> Iterator[str]:
    """Why a pair stands where it stands, a sentence each, what governs first."""
    tips = float(block.tips[block.stages.index(TYPICAL), number])
    if tips >= TIPS:
        yield (
            f"In {100 * tips:z.0f} % of what may be true of it, it would not stand on its axles:"
            " check the lengths and weights given."
        )
    if not math.isfinite(block.tongue_kg[0, block.stages.index(TYPICAL), number]):
        return
    yield title_line(block, found, number, system)
    yield from _over(block, found, number, system)
    yield _at_rating(block, found, number, system)
    yield from _rooms(block, number, system)
    yield sway_line(block, number, system)
    yield from _not_known(block, found, number)


def _over(block: Block, found: Summary, number: int, system: System) -> Iterator[str]:
    usual = block.stages.index(TYPICAL)
    also = [
        standing_of(block, limit, usual, number)
        for limit in range(len(block.limits))
        if block.refused[limit, usual, number] and limit != found.governs[number]
    ]
    if also:
        also.sort(key=lambda one: one.room)
        listed = "; ".join(_broken(one, system) for one in also[:4])
        more = f"; and {len(also) - 4} more" if len(also) > 4 else ""
        yield f"Exceeded too, or likely so: {listed}{more}."


def _broken(one: LimitStatus, system: System) -> str:
    """A limit that is exceeded; its chance too where the best estimate alone would hold."""
    doubt = f", yet {chance(one.chance)} chance of not holding" if one.margin >= 0 else ""
    return f"{one.title} {room(one, system)}{doubt}"


def _at_rating(block: Block, found: Summary, number: int, system: System) -> str:
    if found.full[number] < 0:
        return "The trailer's GVWR is not known, so nothing can be said of it loaded up to that."
    limit = int(found.governs_full[number])
    if limit < 0:
        return "Loaded up to the trailer's GVWR: no rating is known."
    one = standing_of(block, limit, block.stages.index(FULL), number)
    holds = "does not hold" if found.refused_full[number] else "what governs"
    return (
        f"Loaded up to the trailer's GVWR, {holds}: {one.title} {room(one, system)}"
        f" ({chance(one.chance)} chance of not holding)."
    )


def _rooms(block: Block, number: int, system: System) -> Iterator[str]:
    """What more goes in, by the weight ratings and by the tongue band, each with what stops it."""
    for where, ratings, band in (
        ("trailer", block.cargo, block.cargo_band),
        ("vehicle", block.gear, block.gear_band),
    ):
        if math.isnan(ratings.kg[0, number]):
            yield f"Room in the {where} cannot be said: {_ROOM_NEEDS[where]}."
            continue
        said = _room(block, ratings, number, system)
        yield f"Room in the {where} by the weight ratings known: {said}."
        if band.by[number] >= 0:
            yield f"Room in the {where} by the tongue band: {_room(block, band, number, system)}."


_ROOM_NEEDS: Final = {
    "trailer": "the trailer's GVWR is not known",
    "vehicle": "neither placard payload nor GVWR is known",
}


def _room(block: Block, found: Room, number: int, system: System) -> str:
    """`455 lb at the best estimate, 71 lb to be sure; stopped by trailer GVWR`."""
    best, sure = (float(kg) for kg in found.kg[:, number])
    by = int(found.by[number])
    if by < 0:
        return "nothing stops it"
    one = standing_of(block, by, block.stages.index(TYPICAL), number)
    if best <= 0:
        return f"none; stopped by {one.title}"
    words = f"{shown(best, 'mass', system)} at the best estimate"
    if sure > 0:
        return f"{words}, {shown(sure, 'mass', system)} to be sure; stopped by {one.title}"
    why = f"{one.title} may be past its limit as it is ({chance(one.chance)} chance)"
    return f"{words}, none to be sure: {why}"


def sway_line(block: Block, number: int, system: System) -> str:
    """How the pair sways as usually loaded, at the speed asked about."""
    usual = block.stages.index(TYPICAL)
    speed = shown(block.speed, "speed", system)
    ratio, wags = float(block.damping[usual, number]), float(block.wags[usual, number])
    if not math.isfinite(ratio):
        return f"Sway at {speed}: not known, an axle carries nothing."
    if wags <= block.speed:
        return f"At {speed} a swing grows: it does from {shown(wags, 'speed', system)} on."
    above = "at no speed" if wags > 90 else f"from {shown(wags, 'speed', system)} on"
    may = float(block.wags_chance[usual, number])
    doubt = f" ({chance(may)} chance that it does at {speed})" if may > 0 else ""
    return f"At {speed} a swing dies out with damping ratio {ratio:z.2f}; it grows {above}{doubt}."


UNSAID: Final[Mapping[str, str]] = {
    "trailer.empty.weight": "the trailer's empty weight",
    "trailer.empty.tongue_weight": "its empty tongue weight",
    "trailer.brakes": "whether it has brakes",
}


def _not_known(block: Block, found: Summary, number: int) -> Iterator[str]:
    usual = block.stages.index(TYPICAL)
    verdicts = zip(block.limits, block.verdict[:, usual, number], strict=True)
    unknown = [check for check, verdict in verdicts if verdict == UNKNOWN]
    names = [check.title for check in unknown]
    missing = int(found.unknown[number]) - len(block.unsaid)
    if missing:
        listed = ", ".join(names[:6]) + (f" and {missing - 6} more" if missing > 6 else "")
        said = "One rating is" if missing == 1 else f"{missing} ratings are"
        yield f"{said} not known, which is no pass: {listed}."
    doubts = dict.fromkeys(check.due for check in unknown if check.due.endswith(ASKED))
    if doubts:
        yield f"Is it right? {'; '.join(doubts)}: `steelyard check` says what is due there."
    if block.unsaid:
        listed = ", ".join(UNSAID[path] for path in block.unsaid)
        yield f"Not stated, taken as usual of the style, which is no pass either: {listed}."


def remedy_line(remedy: Remedy) -> str:
    """What one change does, worked out again with it."""
    what = remedy.what.replace(":", ",", 1)
    if remedy.mends and remedy.found.unknown[0]:
        return f"{what}: nothing known is exceeded any more; some ratings are not known."
    if remedy.mends:
        return f"{what}: nothing is exceeded any more."
    titles = {check.name: check.title for check in remedy.block.limits}
    left = ", ".join(titles.get(name, name) for name in (*remedy.left, *remedy.new))
    return f"{what}: helps, but still over: {left}."


def first_sentence(found: Comparison, system: System) -> str:
    """The answer of a comparison: how much more, and the two reasons that count most."""
    a, b = found.name_a, found.name_b
    gap, none = (weight(x, system) for x in (abs(found.difference_kg), 0.0))
    way = "more" if found.difference_kg > 0 else "less"
    heavier = found.stage_b.trailer_kg.value - found.stage_a.trailer_kg.value
    alike = gap == none
    words = f"“{b}” puts {gap} {way} on the ball than “{a}”"
    words = f"“{b}” puts as much on the ball as “{a}”" if alike else words
    if abs(heavier) > 0.5:
        than = "heavier" if heavier > 0 else "lighter"
        same_way = not alike and (heavier > 0) == (found.difference_kg > 0)
        joined = "and is" if same_way else "though it is"
        words += f", {joined} {weight(abs(heavier), system)} {than}"
    told = [reason(row, system) for row in found.rows[:2] if abs(row.difference_kg) > 0.5]
    return words + (f". What counts most: {'; '.join(told)}." if told else ".")


def reason(row: Because, system: System) -> str:
    """One row in words: `more mass behind the axles (−310 lb)`."""
    size = signed(row.difference_kg, system)
    up = (row.value_b or 0.0) > (row.value_a or 0.0)
    if row.name == "mass behind the axles":
        return f"{'more' if up else 'less'} of its own weight towards the rear ({size})"
    if row.name == "axle place along the box":
        return f"axles further {'back' if up else 'forward'} along the box ({size})"
    if row.name == "weight of the empty trailer":
        return f"the empty trailer is {'heavier' if up else 'lighter'} ({size})"
    if row.name == "length of the box":
        return f"a {'longer' if up else 'shorter'} box ({size})"
    return f"{row.name} ({size})"


def signed(kg: float, system: System) -> str:
    """`+120 lb`, `−310 lb`."""
    sign = "−" if kg < 0 else "+"
    return f"{sign}{weight(abs(kg), system)}"


def value(row: Because, which: str, system: System) -> str:
    """A row's own number in a or b: weight, length or share of the box."""
    number = row.value_a if which == "a" else row.value_b
    if number is None or row.dimension is None:
        return ""
    if row.dimension == "share":
        return percent(number)
    return shown(number, row.dimension, system)
