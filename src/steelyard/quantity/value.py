"""A value as a person states it: number, spread, basis, and what it includes."""

from dataclasses import dataclass
from typing import Final, Generic, Literal, get_args

from typing_extensions import TypeVar

from steelyard.quantity.columns import Floats

Basis = Literal["stated", "weighed", "measured", "assumed"]
Kind = Literal["brochure", "dry", "label", "scale", "unloaded", "tare", "running-order"]
"""On whose word, or by which plate's definition, a weight stands."""
KINDS: Final[tuple[Kind, ...]] = get_args(Kind)
Scale = Literal["linear", "log", "logit"]
"""On which scale a number is normal: as it is, by its logarithm, or by the logit of a share."""
Z95: Final = 1.959963984540054
"""Standard normal quantile of 0.975: a written spread is this many standard deviations."""


N = TypeVar("N", bound=Floats, default=float, covariant=True)
"""What the numbers are of whatever states some: plain, or `columns.Floats` where many that are
alike but for their numbers stand side by side."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Value(Generic[N]):
    """One quantity in SI with what was said about it.

    `sd` is one standard deviation (SI), or None when no spread was written; `includes` says what a
    weight contains, None when unsaid; `kind` is on whose word a weight stands; `sure` that it is
    right though nobody would believe it unasked.
    """

    value: N
    sd: N | None
    basis: Basis
    includes: tuple[str, ...] | None
    kind: Kind | None
    text: str
    sure: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Level(Generic[N]):
    """How full a tank is: a share of its capacity, or a volume in m3 (exactly one is given)."""

    share: Value[N] | None
    volume: Value[N] | None

    @property
    def stated(self) -> Value[N]:
        """The one that is given."""
        given = self.share or self.volume
        assert given is not None
        return given
