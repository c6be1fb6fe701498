"""What slides, slid to its best station before anything else is moved, without being asked."""

from dataclasses import dataclass
from typing import Final

from steelyard.assessment import Assessment, assess
from steelyard.assessment.damped import Damped, damped
from steelyard.quantity import Value
from steelyard.ratings import LIKELY, TIGHT
from steelyard.rig import Rig
from steelyard.scene import NoBalanceError, Opening, restated
from steelyard.stowing.station import Footing, StationError, footings, sliding

WORTH: Final = 0.02
"""m that are not worth sliding."""
PARTS: Final = (1.0, 0.5, 0.25)
"""Of the way to the best station, the first that makes nothing worse, or mends more than that."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Slide:
    """A thing slid along its deck: from and to which station of its centre, m, and the best one."""

    item: str
    start: float
    to: float
    footing: Footing


def slid(
    scene: Opening, before: Assessment, calm: tuple[Damped, ...], target: float, confidence: float
) -> tuple[Opening, tuple[Slide, ...]]:
    """The rig with everything that slides where it stands best, and what was slid."""
    found: list[Slide] = []
    for name in sliding(scene.rig):
        item = scene.rig.items[name]
        start = (item.station or scene.rig.places[item.place].station).value
        try:
            each = footings(scene.rig, name, scene.estimate, target=target, confidence=confidence)
        except StationError:
            continue
        best = each[0]  # facing as it does
        if item.fixed or abs(best.best - start) < WORTH:
            continue
        for part in PARTS:
            to = start + part * (best.best - start)
            after = moved(scene, name, to)
            try:
                judged = assess(after, tight=confidence)
            except NoBalanceError:  # too far: it would tip there
                continue
            helps = no_worse(before, judged, confidence) or mends(before, judged, confidence)
            if helps and calmer(calm, damped(after, calm)):
                found.append(Slide(item=name, start=start, to=to, footing=best))
                scene = after
                break
    return scene, tuple(found)


def moved(scene: Opening, name: str, station: float) -> Opening:
    """The rig with a thing's centre at another station of its place, known as well as before."""
    rig = stood(scene.rig, name, station)
    return scene.changed(rig, restated(scene.estimate, rig, [f"items.{name}.station"]))


def stood(rig: Rig, name: str, station: float) -> Rig:
    """The facts with a thing's centre at another station, m."""
    item = rig.items[name]
    sd = item.station.sd if item.station else None
    text = f"{station:.3f} m"
    there = Value(value=station, sd=sd, basis="stated", includes=None, kind=None, text=text)
    items = {**rig.items, name: item.model_copy(update={"station": there})}
    return rig.model_copy(update={"items": items, "felt": {}})


def no_worse(before: Assessment, after: Assessment, confidence: float) -> bool:
    """Whether no limit is likelier broken than before, beyond what is tight."""
    for old, new in zip(before.stages, after.stages, strict=True):
        was = {limit.name: limit.chance for limit in old.limits}
        for limit in new.limits:
            if limit.chance > max(confidence, was.get(limit.name, 0.0)):
                return False
    return True


def mends(before: Assessment, after: Assessment, confidence: float) -> bool:
    """Whether a limit likelier broken than not becomes likelier to hold, and none the other way."""
    stages = zip(before.stages, after.stages, strict=True)
    each = [
        (next((o.chance for o in old.limits if o.name == limit.name), 0.0), limit.chance)
        for old, new in stages
        for limit in new.limits
    ]
    worse = any(now >= LIKELY for was, now in each if now > max(confidence, was))
    return not worse and any(was >= LIKELY > now for was, now in each)


def calmer(before: tuple[Damped, ...], after: tuple[Damped, ...]) -> bool:
    """Whether too little damping is no likelier than before at any stage, beyond what is tight."""
    each = zip(before, after, strict=False)
    return all(new.undriven <= max(TIGHT, old.undriven) for old, new in each)
