"""The next most useful answer: a rating that is missing, or what narrows the deciding limit."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from steelyard.assessment import Assessment
from steelyard.fault import FaultError
from steelyard.quantity import Basis, Value
from steelyard.ratings import LimitStatus, checks, judge
from steelyard.rig import Rig
from steelyard.scene import opened
from steelyard.statics.lever import tongue_weight
from steelyard.walk.stops import Field, Stop, fields
from steelyard.words.unstated import stated_at

DRAWS: Final = 256
"""Draws behind a comparison of answers; the verdict rests on the whole number of them."""
TRIED: Final = 3
"""Answers compared."""
INSTEAD: Final = {
    "trailer.empty.cg": "trailer.empty.tongue_weight",
    "trailer.options": "trailer.empty.weight",
    "trailer.gas_and_battery": "trailer.empty.weight",
}
"""Assumed values, and the field whose answer settles them."""
WORTH: Final = 0.9
"""An answer is worth naming that brings the spread below this part of what it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Useful:
    """An answer worth giving next: its stop and field; before and after: half-widths of the
    deciding limit's 95 % interval, None where it is a rating that is missing; asked: what is stated
    there but doubted."""

    stop: Stop
    field: Field
    sd: float | None = None
    sd_after: float | None = None
    asked: str = ""


def useful(found: Assessment, walk: Sequence[Stop], here: str = "") -> Useful | None:
    """What to answer next; None where nothing asked here would tell more.

    here: the stop one is at; a missing rating there comes before others.
    """
    stage = found.worst_stage
    open_ = [
        (stop, field) for stop in walk for field in stop.fields if not stated(found.rig, field)
    ]
    one = stage.deciding
    if one is not None and stage.verdict in ("cannot tell", "tight", "exceeded"):
        narrowing = _narrowing(found, one, open_)
        if narrowing is not None:
            return narrowing
    unknown = [limit.name for limit in stage.limits if limit.verdict == "unknown"]
    at = next((n for n, stop in enumerate(walk) if stop.name == here), 0)
    order = {stop.name: (n < at, n) for n, stop in enumerate(walk)}
    rating = [
        (stop, field) for stop, field in open_ if any(field.rates(limit) for limit in unknown)
    ]
    rating.sort(key=lambda pair: order[pair[0].name])
    return Useful(stop=rating[0][0], field=rating[0][1]) if rating else None


def stated(rig: Rig, field: Field) -> bool:
    """Whether a rig says what a field asks; what is only assumed is not said."""
    return says(rig, field.at)


def says(rig: Rig, path: str) -> bool:
    """Whether a rig says what a dotted key holds, not only assumes it."""
    found = held(rig, path)
    return found is not None and not (isinstance(found, Value) and found.basis == "assumed")


def held(rig: Rig, path: str) -> Any:
    """What a rig holds at a dotted key; None where there is nothing."""
    found: Any = rig
    for key in path.split("."):
        found = found.get(key) if isinstance(found, Mapping) else getattr(found, key, None)
    return found


def holding(fact: Any, path: str, value: Value) -> Any:
    """A frozen fact that holds a value at a dotted key, nothing else changed."""
    head, _, rest = path.partition(".")
    if isinstance(fact, Mapping):
        return {**fact, head: holding(fact[head], rest, value)}
    new = holding(getattr(fact, head), rest, value) if rest else value
    return fact.model_copy(update={head: new})


def short(found: Assessment, walk: Iterable[Stop]) -> int:
    """Ratings that nobody stated and the walk asks for."""
    unknown = [one.name for one in found.worst_stage.limits if one.verdict == "unknown"]
    asked = [field for field in fields(list(walk)) if not stated(found.rig, field)]
    return sum(any(field.rates(limit) for field in asked) for limit in unknown)


def _narrowing(
    found: Assessment, one: LimitStatus, open_: Sequence[tuple[Stop, Field]]
) -> Useful | None:
    """Of the answers that widen a limit most, the one that narrows it most when it is stated."""
    by_path = {field.at: (stop, field) for stop, field in open_}
    names = [*found.worst_stage.widened.get(one.name, ()), *(row.name for row in found.assumed)]
    paths = dict.fromkeys(INSTEAD.get(name) or stated_at(name, found.rig) for name in names)
    tried = [by_path[path] for path in paths if path in by_path][:TRIED]
    now = _sd(found.rig, one)
    after = [(sd, pair) for pair in tried if (sd := _sd_with(found, one, pair[1])) is not None]
    if not after or now is None:
        return None
    least, (stop, field) = min(after, key=lambda row: row[0])
    if least >= WORTH * now:
        return None
    return Useful(stop=stop, field=field, sd=now, sd_after=least)


def _sd(rig: Rig, one: LimitStatus) -> float | None:
    """One sd of a limit's value at the worst of its stages, from few draws."""
    scene = opened(rig, draws=DRAWS)
    check = next((check for check in checks(scene) if check.name == one.name), None)
    if check is None:
        return None
    count = len(scene.stages)
    return max(judge(check, stage, count, DRAWS).sd for stage in range(count))


def _sd_with(found: Assessment, one: LimitStatus, field: Field) -> float | None:
    """The same if a field were stated at what is believed of it now."""
    value = _believed(found, field)
    if value is None:
        return None
    try:
        return _sd(holding(found.rig, field.at, value), one)
    except (FaultError, ValueError, ArithmeticError):
        return None


def _believed(found: Assessment, field: Field) -> Value | None:
    """What is believed of a field, as a label or a tape would say it."""
    v = found.estimate.at_mean()
    if field.at == "trailer.empty.tongue_weight":
        weight, cg, axles = (float(v[f"trailer.{key}"]) for key in _EMPTY)
        size = float(tongue_weight(weight, weight * cg, axles))
    elif field.at in v and field.dimension is not None:
        size = float(v[field.at])
    else:
        return None
    basis: Basis = "measured" if field.basis == "measured" else "stated"
    return Value(value=size, sd=None, basis=basis, includes=None, kind=None, text="")


_EMPTY: Final = ("empty.weight", "empty.cg", "axles.station")
