"""What would make a pair work: each change made, and the pair worked out again with it."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from steelyard.matching.beliefs import coupling_of
from steelyard.matching.block_answers import Block
from steelyard.matching.candidates import Tow, Towed, suits
from steelyard.matching.match import match
from steelyard.matching.pair_rows import DRAWS
from steelyard.matching.pairing import TYPICAL
from steelyard.matching.rank import REFUSED, Summary, summary
from steelyard.quantity import POUND, Value
from steelyard.ratings import TIGHT
from steelyard.rig import HitchPart, SpringBars
from steelyard.typical.ride import in_si

LIGHTER: Final = (0.75, 0.5, 0.25, 0.0)
"""Parts of the usual cargo that are tried, the most first."""
CLASSES: Final = ((5000, 500), (8000, 800), (10000, 1000), (12000, 1200), (14000, 1400))
"""Hitches that are tried: trailer and tongue rating, lb (SAE J684 class limits and usual steps
above, tongue a tenth of the trailer: common practice, no source)."""
PARTS: Final = ("receiver", "ball_mount", "ball")
STEPS: Final = (4, 8, 12)
"""Load indices more that are tried: about 10, 26 and 41 % more load."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """One change, in words, and what the pair would be with it. `mends`: whether nothing known is
    exceeded any more; `mended`, `left`, `new`: limits exceeded before and not after, still, newly.
    """

    what: str
    block: Block
    found: Summary
    mends: bool
    mended: tuple[str, ...]
    left: tuple[str, ...]
    new: tuple[str, ...]


def remedies(
    tow: Tow, towed: Towed, draws: int = DRAWS, tight: float = TIGHT
) -> tuple[Remedy, ...]:
    """What helps a pair that exceeds something as usually loaded, best first; empty where nothing
    is exceeded. Ratings not known stay so, but for those of the parts it fits."""
    before = match([tow], [towed], draws, tight).blocks
    if not before or summary(before[0], tight).rank[0] != REFUSED:
        return ()
    over = exceeded(before[0])
    found = []
    for what, one, other in _changes(tow, towed):
        after = match([one], [other], draws, tight).blocks[0]
        now = exceeded(after)
        if len(now) < len(over):
            found.append(_remedy(what, after, over, now, tight))
    found.sort(key=lambda remedy: len(remedy.left) + len(remedy.new))
    return tuple(_one_a_kind(found))


def _remedy(
    what: str, after: Block, over: frozenset[str], now: frozenset[str], tight: float
) -> Remedy:
    return Remedy(
        what=what,
        block=after,
        found=summary(after, tight),
        mends=not now,
        mended=tuple(sorted(over - now)),
        left=tuple(sorted(over & now)),
        new=tuple(sorted(now - over)),
    )


def exceeded(block: Block) -> frozenset[str]:
    """Limits that the first pair of a block exceeds, or likely does, as usually loaded."""
    usual = block.stages.index(TYPICAL)
    rows = zip(block.limits, block.refused[:, usual, 0], strict=True)
    return frozenset(check.name for check, refused in rows if refused)


def _one_a_kind(found: list[Remedy]) -> Iterator[Remedy]:
    """The least change of each kind that does most; changes come in order of size."""
    seen: set[tuple[str, int]] = set()
    for remedy in found:
        kind = remedy.what.split(":")[0]
        if all(kind != other for other, _ in seen):
            seen.add((kind, 0))
            yield remedy


def _changes(tow: Tow, towed: Towed) -> Iterator[tuple[str, Tow, Towed]]:
    yield from _bars(tow, towed)
    yield from _lighter(tow, towed)
    yield from _hitches(tow, towed)
    yield from _tyres(tow, towed)


def _bars(tow: Tow, towed: Towed) -> Iterator[tuple[str, Tow, Towed]]:
    """Spring bars where there are none, rated for what they would carry."""
    if coupling_of(towed) != "ball" or tow.hitch.bars is not None or not suits(tow, towed):
        return
    for rating in (800, 1000, 1200, 1400):
        bars = SpringBars(rating=_pounds(rating))
        hitch = tow.hitch.model_copy(update={"bars": bars})
        yield f"spring bars: rated {rating:,} lb", replace(tow, hitch=hitch), towed


def _lighter(tow: Tow, towed: Towed) -> Iterator[tuple[str, Tow, Towed]]:
    """Less gear in the vehicle and less cargo in the trailer."""
    for part in LIGHTER:
        items = {
            name: item.model_copy(update={"weight": _scaled(item.weight, max(part, 1e-3))})
            for name, item in tow.items.items()
        }
        said = f"{100 * part:.0f} %" if part else "nothing"
        lighter = replace(towed, cargo=part)
        yield (
            f"lighter load: {said} of the usual cargo and gear",
            replace(tow, items=items),
            lighter,
        )


def _scaled(weight: Value, part: float) -> Value:
    sd = None if weight.sd is None else weight.sd * part
    return replace(weight, value=weight.value * part, sd=sd)


def _hitches(tow: Tow, towed: Towed) -> Iterator[tuple[str, Tow, Towed]]:
    """Receiver, ball mount and ball of another class; what is rated higher stays."""
    if coupling_of(towed) != "ball" or not suits(tow, towed):
        return
    for trailer, tongue in CLASSES:
        parts = {name: _rated(getattr(tow.hitch, name), trailer, tongue) for name in PARTS}
        hitch = tow.hitch.model_copy(update=parts)
        said = f"other hitch: receiver, ball mount and ball rated {trailer:,} lb / {tongue:,} lb"
        yield said, replace(tow, hitch=hitch), towed


def _rated(part: HitchPart | None, trailer: float, tongue: float) -> HitchPart:
    """A part with at least these ratings, carrying and distributing."""
    old = part or HitchPart()
    keys = ("rating_trailer", "rating_tongue", "distributing_trailer", "distributing_tongue")
    due = dict(zip(keys, (trailer, tongue, trailer, tongue), strict=True))
    raised = {
        key: _pounds(pounds)
        for key, pounds in due.items()
        if getattr(old, key) is None or getattr(old, key).value < pounds * POUND
    }
    return old.model_copy(update=raised)


def _tyres(tow: Tow, towed: Towed) -> Iterator[tuple[str, Tow, Towed]]:
    """Trailer tyres of a higher load index, at the same pressures."""
    axles = towed.trailer.axles
    if axles.tyres.load_index is None:
        return
    for step in STEPS:
        index = axles.tyres.load_index + step
        tyres = axles.tyres.model_copy(update={"load_index": index, "max_load": None})
        trailer = towed.trailer.model_copy(
            update={"axles": axles.model_copy(update={"tyres": tyres})}
        )
        yield f"trailer tyres: load index {index}", tow, replace(towed, trailer=trailer)


def _pounds(number: float) -> Value:
    return in_si(number * POUND, 0.0, "kg")
