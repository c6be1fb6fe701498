"""A check: one load beside one rating or rule, not yet judged; and as judged at one stage."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.quantity import GRAVITY, Floats
from steelyard.ratings.rulebook import Rule

Kind = Literal[
    "band",
    "payload",
    "gross weight",
    "axle",
    "front lift",
    "combined weight",
    "towing",
    "distribution",
    "ratio",
    "place",
    "tyre load",
    "tyre speed",
    "tyre pressure",
    "tyre rating",
    "wheel",
    "part's trailer",
    "part's tongue",
    "part's force",
    "part's size",
    "bars",
    "chains",
    "jack",
    "rule",
]
"""What a limit binds; its path names the thing it is of."""
Measure = Literal["weight", "force", "share", "ratio", "length", "speed", "pressure", "fitted"]
UNITS: Final[Mapping[Measure, tuple[str, float]]] = {
    "weight": ("kg", GRAVITY),
    "force": ("n", 1.0),
    "share": ("share", 1.0),
    "ratio": ("ratio", 1.0),
    "length": ("m", 1.0),
    "speed": ("mps", 1.0),
    "pressure": ("pa", 1.0),
    "fitted": ("fitted", 1.0),
}
"""In what a standing and a report say each measure, and how large one is in SI."""
LABEL = "the rating stated in the rig file"


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One load and what it must stay within, SI, arrays broadcasting to (S, n).

    `at` is the key of the rig file that states the rating. `high` (and `low`) are None where no
    rating is known. `measure` says what the numbers are: weights in N, forces in N, shares and
    ratios as such; `fitted` is 0 or 1 for equipment that is due. `rule` is the rule behind it, if
    it rests on one; `due` tells the reader what to look up.
    """

    kind: Kind
    name: str
    at: str
    title: str
    value: Array
    high: Array | None
    low: Array | None
    measure: Measure
    source: str
    rule: Rule | None
    due: str
    chain: bool
    advice: bool

    @property
    def size(self) -> float:
        """How large one unit of its standing is in SI."""
        return UNITS[self.measure][1]


def known_where(test: bool | NDArray[np.bool_], rating: Floats) -> Floats | None:  # noqa: FBT001
    """A rating where a test holds, unknown elsewhere: None, or NaN in a column."""
    if isinstance(test, np.ndarray):
        return np.where(test, rating, np.nan)
    return rating if test else None


def at_most(
    kind: Kind,
    name: str,
    title: str,
    value: Array,
    rating: Floats | None,
    *,
    due: str,
    at: str = "",
    measure: Measure = "weight",
    source: str = LABEL,
    rule: Rule | None = None,
    chain: bool = False,
    advice: bool = False,
) -> Check:
    """A check that `value` is at most `rating`; a rating of None is unknown; `at` is
    its own name where unsaid."""
    high = None if rating is None else np.asarray(rating, dtype=float)
    return Check(
        kind=kind,
        name=name,
        at=at or name,
        title=title,
        value=np.asarray(value),
        high=high,
        low=None,
        measure=measure,
        source=source if rule is None else f"{rule.title}: {rule.source}",
        rule=rule,
        due=due,
        chain=chain,
        advice=advice,
    )


BEARING: Final = ("part's tongue", "bars", "jack")
"""Kinds of limits on what bears the tongue."""
ASKED: Final = ", asked about"
"""Ends what is due of a limit whose value or rating somebody must say is right."""
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
    def asked(self) -> bool:
        """Whether its rating is unknown for a value that is asked about."""
        return self.due.endswith(ASKED)

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
    def told(self) -> Verdict:
        """The verdict for programs: what is lifted is not within what it is rated to bear."""
        return "unknown" if self.lifts and self.verdict == "within" else self.verdict

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
