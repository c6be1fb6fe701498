"""One limit at one stage as it was judged: the number read, its room, its chance."""

from dataclasses import dataclass
from typing import Final, Literal

from steelyard.ratings.check import UNITS, Kind, Measure

BEARING: Final = ("part's tongue", "bars", "jack")
"""Kinds of limits on what bears the tongue."""
LIKELY: Final = 0.50
"""Chance of not holding from which it is likely over: do not tow until weighed."""
Verdict = Literal["within", "unknown", "tight", "cannot tell", "exceeded"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitStatus:
    """One limit at one stage, its numbers in `unit`. NaN where the rating is unknown.

    `value` is the draws' median and `margin` the rating less it, so that room and chance never
    disagree (-inf where most draws would tip); `best` the best estimate, `sd` the value's; `side`
    is the edge of a band that is nearer; `chance` that it does not hold, and of it `aside` that it
    is beyond the other edge; `note` is advice, or a
    rule from memory that holds: it never decides; `band` has both edges where the limit is one.
    """

    kind: Kind
    name: str
    at: str
    title: str
    verdict: Verdict
    value: float
    best: float
    sd: float
    rating: float
    margin: float
    chance: float
    aside: float
    side: Literal["over", "under"]
    measure: Measure
    source: str
    due: str
    note: bool
    chain: bool
    band: tuple[float, float] | None

    @property
    def unit(self) -> str:
        """What its numbers are in: `kg` for a weight, else SI (`n`, `m`, `mps`, `pa`), `share`,
        `ratio`, or `fitted`, 0 or 1; a report's keys end with it."""
        return UNITS[self.measure][0]

    @property
    def decides(self) -> bool:
        """Whether it can decide: its rating is known and it is no note."""
        return self.verdict != "unknown" and not self.note

    @property
    def lifts(self) -> bool:
        """Whether it is of what bears the tongue, and the tongue pulls up: its rating says nothing
        of that."""
        return self.kind in BEARING and self.value < 0.0

    @property
    def room(self) -> float:
        """Margin in standard deviations; of limits of one verdict the least decides. What has no
        spread and holds, such as a part that fits, decides nothing; broken, it decides first."""
        if self.verdict == "unknown":
            return float("inf")
        if not self.sd > 1e-9 * abs(self.rating):
            return float("inf") if self.margin >= 0 else float("-inf")
        return self.margin / self.sd

    @property
    def likely_over(self) -> bool:
        """Not to be towed until weighed: nobody can tell, and it is rather beyond than not."""
        return self.verdict == "cannot tell" and self.chance >= LIKELY

    @property
    def one_side(self) -> float:
        """Chance of being beyond the likelier edge."""
        return max(self.chance - self.aside, self.aside)

    @property
    def refuses(self) -> bool:
        """Whether it forbids towing as it is."""
        return self.verdict == "exceeded" or self.likely_over
