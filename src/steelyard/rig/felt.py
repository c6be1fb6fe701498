"""What was felt on the road and happened by itself, bound to load, tyres and speed."""

from collections.abc import Iterator
from typing import Annotated, Final, Literal

from pydantic import Field, StringConstraints

from steelyard.fault import Fault, missing, quoted
from steelyard.quantity import Floats, N, Share, Speed, Time
from steelyard.rig.base import Day, Fact, Name, Named, Title

What = Literal["settled", "steady", "swayed"]
SLOWEST: Final = 8.0
"""m/s: lower down no trailer is known to sway, and tyres that lag swing otherwise than modelled."""
MOST_SWINGS: Final = 20
BRIEF: Final = 300.0
"""s: how long it was steady where nobody says (assumed: so that little is told)."""
Swings = Annotated[str, StringConstraints(pattern=r"^\d{1,2}( to \d{1,2})?$")]


class Felt(Fact[N]):
    """Something felt at the wheel, at one speed with one load."""

    what: What = Field(
        description="settled: it swung and the swing died out; steady: nothing was felt; swayed: it"
        " swung on or again and again"
    )
    speed: Speed[N] = Field(description="speed at which it was felt")
    swings: Swings | None = Field(
        default=None,
        description="settled: to and fro until it was gone, 0 for not even one; any when left out",
    )
    lasting: Time[N] | None = Field(
        default=None, description="steady: for how long; 5 minutes when left out"
    )
    stage: Name | None = Field(
        default=None, description="stage whose load was aboard; the first when left out"
    )
    date: Day | None = Field(
        default=None, description="when; from before `since` it counts for nothing"
    )
    wrong: Share[N] | None = Field(
        default=None, description="chance that it was otherwise than told; 5 % when left out"
    )
    title: Title | None = Field(default=None, description="what set it off, say")

    @property
    def counted(self) -> tuple[int, int]:
        """Fewest and most swings until it was gone."""
        fewest, _, most = (self.swings or f"0 to {MOST_SWINGS}").partition(" to ")
        return int(fewest), int(most or fewest)

    @property
    def seconds(self) -> float | N:
        """How long it was steady, s."""
        return BRIEF if self.lasting is None else self.lasting.value


def felt_faults(felt: Named[Name, Felt[Floats]], stages: Named[Name, object]) -> Iterator[Fault]:
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


def _told(one: Felt[Floats], path: tuple[str, ...]) -> Iterator[Fault]:
    for key, what, how in (("swings", "settled", "settled"), ("lasting", "steady", "was steady")):
        if getattr(one, key) is not None and one.what != what:
            yield Fault(path=(*path, key), due=f"{key} where it {how}", found=one.what)
    fewest, most = one.counted
    if fewest > most or most > MOST_SWINGS:
        due = f'fewest swings first, then most, {MOST_SWINGS} at most, such as "2 to 3"'
        yield Fault(path=(*path, "swings"), due=due, found=quoted(one.swings))
    if one.wrong is not None and one.wrong.value >= 1.0:
        yield Fault(
            path=(*path, "wrong"),
            due="a chance under 100 %",
            found=quoted(one.wrong.text),
            hint="what is surely wrong need not be told",
        )
