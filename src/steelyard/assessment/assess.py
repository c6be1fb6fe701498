"""The one call: loads, ledger and standings of a rig at all its stages, with their spread."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

import numpy as np

from steelyard.assessment.assumed import assumptions, widened_by
from steelyard.assessment.result import (
    Assessment,
    Attitude,
    AxleLoad,
    Spread,
    StageResult,
    Tongue,
)
from steelyard.assessment.spreads import spreads
from steelyard.estimate import Array, Estimate, Moments
from steelyard.quantity import GRAVITY, Z95, percent
from steelyard.ratings import (
    TIGHT,
    Check,
    LimitStatus,
    Question,
    checks,
    judgements,
    questions,
    severity,
)
from steelyard.rig import Rig, is_pin
from steelyard.scene import DEFAULT_REGION, DRAWS, Opening, opened
from steelyard.statics.ledger import closed, ledgers, levers
from steelyard.statics.loads import Loads
from steelyard.travel import StagePlan, unfollowed
from steelyard.typical.contents import aboard

ATTITUDE: Final = ("ball_height", "front_drop", "rear_drop", "trailer_pitch", "vehicle_pitch")
"""How a rig stands."""
BUMPER: Final = 0.3
"""m ahead of the ball: where a vehicle ends, so that what rides behind hangs outside (assumed)."""


def assess(
    rig: Rig | Opening,
    estimate: Estimate | None = None,
    stages: tuple[str, ...] | None = None,
    draws: int = DRAWS,
    seed: int = 0,
    tight: float = TIGHT,
) -> Assessment:
    """Everything Steelyard knows of a rig: loads, tongue weight, ledger, limits, at each stage.

    estimate: a belief sharper than the rig file's own, from a weighing; stages: keys to look at,
    all by default; draws: Latin hypercube draws behind every spread and chance; tight: the chance
    of exceeding from which a limit is called tight. Raises ValueError for a stage that isn't
    there, and its kind NoBalanceError for a rig that would tip over.

    >>> from steelyard import Rig, assess
    >>> rig = Rig(
    ...     vehicle={"class": "half-ton-crew-cab"},
    ...     trailer={"style": "rear-living", "empty": {"weight": "6300 lb"}},
    ... )
    >>> assess(rig).verdict
    'cannot tell'
    """
    scene = opened(rig, estimate, stages, draws, seed).standing()
    found, people = scene.loads, bool(scene.stated.people)
    asked = questions(scene.rig)
    results = _stages(scene, asked, tight)
    return Assessment(
        rig=scene.rig,
        estimate=scene.estimate,
        stages=results,
        assumed=assumptions(scene.sheet, scene.estimate, found.share),
        questions=tuple(one.fault for one in asked),
        remarks=(
            *scene.sheet.remarks,
            *_tipping(found, scene.stages, scene.draws),
            *_remarks(scene.rig, results),
        ),
        missing=tuple(
            what
            for what, there in _listed(scene.rig, people=people)
            if not (there or scene.rig.everything_listed)
        ),
        region=scene.region,
        draws=scene.draws,
        seed=scene.seed,
        tight=tight,
    )


def _listed(rig: Rig, *, people: bool) -> tuple[tuple[str, bool], ...]:
    """What rides, and whether the file lists any of it, or says that there is no more."""
    carriers = {rig.places[item.place].on for item in rig.items.values()}
    return (
        ("people", people),
        ("cargo in the vehicle", "vehicle" in carriers),
        ("cargo in the trailer", "trailer" in carriers),
    )


LEAST: Final = 0.001
"""Share that is told as a number; one below it is no 0.0 %."""


def _tipping(found: Loads, plans: tuple[StagePlan, ...], n: int) -> list[str]:
    """Stages at which some draws of the estimate would not stand; each counts as exceeding."""
    said = []
    for number, plan in enumerate(plans):
        share = float(np.mean(np.isnan(found.tongue[number, -n:])))
        if share > 0:
            told = percent(share) if share >= LEAST else "under 0.1 %"
            said.append(
                f"{plan.title}: {told} of what is possible would tip over; those count"
                " against every limit and are left out of the spreads"
            )
    return said


def _stages(scene: Opening, asked: Sequence[Question], tight: float) -> tuple[StageResult, ...]:
    """Everything found, by stage: each array is looked at once for all stages."""
    todo = checks(scene, asked)
    found, estimate, plans = scene.loads, scene.estimate, scene.stages
    count, moments = len(plans), Moments(scene.draws)
    weights = {name: (x, GRAVITY) for name, x in _weights(found).items()}
    others = {name: (x, 1.0) for name, x in _others(found).items()}
    spread = spreads({**weights, **others}, count, moments)
    tongues, axles = _tongues(found, spread), _axles(found, spread, count)
    books, arms = ledgers(found), levers(found.balance)
    results = []
    judged = judgements(todo, count, moments, tight)
    alone = tipped(scene, todo, [one.standings for one in judged], tight)
    for number, found_here in enumerate(judged):
        standings = found_here.standings
        limits = tuple(standing for standing in standings if not standing.note)
        results.append(
            StageResult(
                key=plans[number].key,
                title=plans[number].title,
                trailer_kg=spread["trailer"][number],
                vehicle_kg=spread["vehicle"][number],
                tongue=tongues[number],
                axles=axles[number],
                attitude=Attitude(**{name: spread[name][number] for name in ATTITUDE}),
                limits=limits,
                notes=tuple(standing for standing in standings if standing.note),
                chance=found_here.chance,
                deciding=_least(limits),
                governing=_least([standing for standing in limits if standing.chain]),
                ledger=closed(books[number][0], tongues[number].weight_kg.value),
                driven=closed(books[number][1], tongues[number].net_kg.value),
                levers=arms[number],
                widened=_widened(todo, standings, estimate, number),
                unlisted=alone[number],
            )
        )
    return tuple(results)


def _widened(
    todo: list[Check], standings: Sequence[LimitStatus], estimate: Estimate, stage: int
) -> dict[str, tuple[str, ...]]:
    """What widens each limit whose spread reaches its edge."""
    both = zip(todo, standings, strict=True)
    open_ = [check for check, standing in both if _reaches(standing)]
    values = [check.value for check in open_]
    names = [check.name for check in open_]
    return dict(zip(names, widened_by(values, estimate, stage), strict=True))


def _reaches(one: LimitStatus) -> bool:
    """Whether it is tight, cannot be told, or might hold though it is exceeded."""
    return one.verdict in ("tight", "cannot tell") or (
        one.verdict == "exceeded" and one.room > -Z95
    )


def _least(limits: tuple[LimitStatus, ...] | list[LimitStatus]) -> LimitStatus | None:
    known = [standing for standing in limits if standing.verdict != "unknown"]
    return min(known, key=lambda one: (-severity(one.verdict), one.room), default=None)


def _weights(found: Loads) -> dict[str, Array]:
    """What weighs, N: as a whole, on the ball, on each axle and its sides."""
    axles = (found.front, found.rear, *found.trailer_axles)
    return {
        "trailer": found.trailer,
        "vehicle": found.vehicle,
        "tongue": found.tongue,
        "net": found.net,
        "contact": found.contact,
        **dict(zip(_axle_names(found), axles, strict=True)),
        **{f"{wheel.axle} {wheel.side}": wheel.load for wheel in found.wheels},
    }


def _others(found: Loads) -> dict[str, Array]:
    """Share, moment and restoration at the ball, and how the rig stands."""
    at_ball = {"share": found.share, "bar moment": found.bar_moment}
    if np.any(found.bar_moment):
        at_ball["restoration"] = np.nan_to_num(found.restoration)
    stand = found.heights
    return at_ball | {
        "ball_height": stand.ball,
        "front_drop": stand.front_drop,
        "rear_drop": stand.rear_drop,
        "trailer_pitch": stand.trailer_pitch,
        "vehicle_pitch": stand.vehicle_pitch,
    }


def _axle_names(found: Loads) -> list[str]:
    return ["front", "rear", *(f"trailer {i + 1}" for i in range(len(found.trailer_axles)))]


def _tongues(found: Loads, spread: Mapping[str, Sequence[Spread]]) -> list[Tongue]:
    """What the ball carries at each stage; no restoration where nothing restores."""
    restored, there = spread.get("restoration"), np.isfinite(found.restoration[:, 0])
    return [
        Tongue(
            weight_kg=spread["tongue"][stage],
            share=share,
            net_kg=spread["net"][stage],
            contact_kg=spread["contact"][stage],
            bar_moment=spread["bar moment"][stage],
            restoration=restored[stage] if restored and there[stage] else None,
        )
        for stage, share in enumerate(spread["share"])
    ]


def _axles(
    found: Loads, spread: Mapping[str, Sequence[Spread]], stages: int
) -> list[tuple[AxleLoad, ...]]:
    alone = {"front": found.front_alone, "rear": found.rear_alone}
    bare = {name: np.broadcast_to(x[:, 0] / GRAVITY, stages) for name, x in alone.items()}
    return [
        tuple(
            AxleLoad(
                name=name,
                weight_kg=spread[name][stage],
                left_kg=spread[f"{name} left"][stage],
                right_kg=spread[f"{name} right"][stage],
                alone_kg=float(bare[name][stage]) if name in bare else None,
            )
            for name in _axle_names(found)
        )
        for stage in range(stages)
    ]


def _at_the_ball(rig: Rig) -> Iterator[str]:
    """Things on the vehicle so far back that a rack on its receiver may carry them."""
    wheelbase, overhang = rig.vehicle.wheelbase, rig.vehicle.overhang
    if wheelbase is None or overhang is None or is_pin(rig):
        return
    for name, item in rig.items.items():
        place = rig.places[item.place]
        at = (item.station or place.station).value
        if place.on == "vehicle" and at > wheelbase.value + overhang.value - BUMPER:
            yield item.title or name


IMPERIAL: Final = ("CA", "GB", "IE")
"""Countries where a gallon may be meant as the imperial one."""
_GALLON: Final = re.compile(r"(?<!imp )(?<!US )\b(?:gal|mpg)\b")


def _gallons(rig: Rig) -> Iterator[str]:
    """What is stated in gallons of which nobody says whose, where that is in doubt."""
    if rig.country not in IMPERIAL:
        return
    stated = [(name, tank.capacity) for name, tank in rig.vehicle.tanks.items()]
    stated += [(name, tank.capacity) for name, tank in rig.trailer.tanks.items()]
    for name, stage in rig.stages.items():
        levels = (*stage.tanks.values(), *stage.vehicle_tanks.values())
        said = (stage.fuel_use, stage.water_used, *(level.stated for level in levels))
        stated += [(name, one) for one in said if one is not None]
    yield from (name for name, one in stated if one is not None and _GALLON.search(one.text))


def _remarks(rig: Rig, results: tuple[StageResult, ...]) -> list[str]:
    """Contradictions among the ratings themselves, in words."""
    found = []
    if rig.region is None:
        found.append(f"region: not stated, rules of {DEFAULT_REGION} taken")
    vehicle = rig.vehicle
    stated = vehicle.weight
    if vehicle.gvwr and vehicle.payload and stated and aboard(stated) is None:
        built = vehicle.gvwr.value - vehicle.payload.value
        if stated.value > built:
            found.append(
                "vehicle.weight: more than GVWR less placard payload; one of the three is not this"
                " vehicle's (49 CFR 567.4)"
            )
    if rig.trailer.empty.cg and rig.trailer.empty.tongue_weight:
        found.append("trailer.empty.tongue_weight: not read, as trailer.empty.cg is stated")
    if hung := list(_at_the_ball(rig)):
        found.append(
            f"{', '.join(hung)}: as far back as the ball; if it hangs on the receiver, add it to"
            " the tongue weight there, which leaves it out"
        )
    if unsaid := unfollowed(rig):
        found.append(
            f"levels of {', '.join(unsaid)}: as is usual whatever flows, as no stage before what"
            " flows states them"
        )
    if gallons := list(dict.fromkeys(_gallons(rig))):
        found.append(
            f"gallons of {', '.join(gallons)}: taken to be US ones; the imperial one, a fifth more,"
            " is written “imp gal” and “imp mpg”"
        )
    found += _band_conflicts(results)
    return found


def _band_conflicts(results: tuple[StageResult, ...]) -> list[str]:
    """Where the tongue band and a rated tongue weight cannot both hold, the rating wins."""
    worst: dict[str, tuple[str, str]] = {}
    for stage in results:
        bands = [s for s in (*stage.limits, *stage.notes) if s.kind == "band"]
        caps = [s for s in stage.limits if s.kind == "part's tongue"]
        for cap in caps:
            if (
                bands
                and bands[0].side == "under"
                and cap.rating < bands[0].rating * stage.trailer_kg.value
            ):
                worst[cap.name] = stage.title, cap.title
    by_stage: dict[str, list[str]] = {}
    for stage_title, title in worst.values():
        by_stage.setdefault(stage_title, []).append(title)
    return [
        f"{where}: the tongue share's floor and the rating of {' or '.join(titles)} cannot both"
        " hold at this trailer weight; the rating wins"
        for where, titles in by_stage.items()
    ]


def tipped(
    scene: Opening,
    todo: Sequence[Check],
    judged: Sequence[Sequence[LimitStatus]],
    tight: float,
) -> tuple[frozenset[str], ...]:
    """Names, at each stage, of limits that only what nobody listed tips: without it they would be
    within or, where they are exceeded, tight; none of a rig that was weighed, whatever was on it.
    """
    pressing = [{one.name: one.verdict for one in stage if _presses(one)} for stage in judged]
    if not scene.bare:
        return (frozenset(),) * len(judged)
    named = frozenset[str]().union(*pressing)
    asked = [_without(one, scene) for one in todo if one.name in named]
    without = judgements(asked, len(judged), Moments(scene.bare), tight)
    return tuple(
        frozenset(
            one.name
            for one in found.standings
            if one.verdict == "within"
            or (one.verdict == "tight" and verdicts.get(one.name) == "exceeded")
        )
        & verdicts.keys()
        for found, verdicts in zip(without, pressing, strict=True)
    )


def _presses(one: LimitStatus) -> bool:
    return one.verdict in ("tight", "cannot tell", "exceeded")


def _without(check: Check, scene: Opening) -> Check:
    """The check at the draws with nothing aboard but what is listed."""
    value, high, low = (_cut(x, scene) for x in (check.value, check.high, check.low))
    assert value is not None
    return replace(check, value=value, high=high, low=low)


def _cut(x: Array | None, scene: Opening) -> Array | None:
    if x is None or np.ndim(x) == 0 or x.shape[-1] == 1:
        return x
    first = len(scene.columns) - scene.draws - scene.bare
    return np.asarray(x[..., first : first + scene.bare])
