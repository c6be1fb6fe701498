"""A check: one load beside one rating or rule, not yet judged."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array
from steelyard.quantity import GRAVITY
from steelyard.quantity.columns import Floats
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
