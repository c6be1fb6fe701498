"""What was felt on the road and happened by itself, bound to load, tyres and speed."""

from collections.abc import Iterator
from typing import Annotated, Final, Literal

from pydantic import Field

from steelyard.fault import Fault, missing, quoted
from steelyard.quantity import Share, Speed, Time
from steelyard.rig.base import Day, Fact, Name, Named, Title

What = Literal["settled", "steady", "swayed"]
SLOWEST: Final = 8.0
"""m/s: lower down no trailer is known to sway, and tyres that lag swing otherwise than modelled."""
MOST_SWINGS: Final = 20
Count = Annotated[int, Field(strict=True, ge=0, le=MOST_SWINGS)]


class Felt(Fact):
    """Something felt at the wheel, at one speed with one load."""

    what: What = Field(
        description="settled: it swung and the swing died out; steady: nothing was felt; swayed: it"
        " swung on or again and again"
    )
    speed: Speed = Field(description="speed at which it was felt")
    swings: tuple[Count, Count] | None = Field(
        default=None,
        description="settled: to and fro, fewest and most, until it was gone; 0 for not even one",
    )
    lasting: Time | None = Field(default=None, description="steady: for how long")
    stage: Name | None = Field(
        default=None, description="stage whose load was aboard; the first when left out"
    )
    date: Day | None = Field(
        default=None, description="when; from before `since` it counts for nothing"
    )
    wrong: Share | None = Field(
        default=None, description="chance that it was otherwise than told; 5 % when left out"
    )
    title: Title | None = Field(default=None, description="what set it off, say")


def felt_faults(felt: Named[Name, Felt], stages: Named[Name, object]) -> Iterator[Fault]:
    """What cannot have been felt so."""
    for name, one in felt.items():
        path = ("felt", name)
        if one.stage is not None and one.stage not in stages:
            yield missing("stages", one.stage, stages, path=(*path, "stage"))
        if one.speed.value < SLOWEST:
            yield Fault(
                path=(*path, "speed"),
                due="a speed at which a trailer can sway (from 18 mph or 29 km/h up)",
                found=quoted(one.speed.text),
                hint="slower than that nothing is told by how it felt",
            )
        yield from _told(one, path)


def _told(one: Felt, path: tuple[str, ...]) -> Iterator[Fault]:
    for key, what, how in (("swings", "settled", "settled"), ("lasting", "steady", "was steady")):
        stated = getattr(one, key) is not None
        if stated != (one.what == what):
            due = f"{key} where it {how}" if stated else f"{key}, as it {how}"
            yield Fault(path=(*path, key), due=due, found=one.what if stated else "none")
    if one.swings is not None and one.swings[0] > one.swings[1]:
        yield Fault(
            path=(*path, "swings"),
            due="fewest swings first, then most",
            found=f"{one.swings[0]}, {one.swings[1]}",
        )
    if one.wrong is not None and one.wrong.value >= 1.0:
        yield Fault(
            path=(*path, "wrong"),
            due="a chance under 100 %",
            found=quoted(one.wrong.text),
            hint="what is surely wrong need not be told",
        )
