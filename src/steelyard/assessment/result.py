"""What an assessment found; frozen. A load is told as the mass that weighs as much, and its name
ends with `_kg`, as its key in a report does; all else is SI."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Any

from steelyard.estimate import Estimate
from steelyard.fault import Fault
from steelyard.quantity import Basis, Dimension, reported
from steelyard.ratings import LimitStatus, Verdict, severity, worst
from steelyard.rig import Rig
from steelyard.statics.ledger import Ledger, Levers


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """A number with its spread: the draws' median, which is what a person reads, the best estimate,
    one sd, and the draws' 2.5 and 97.5 percentiles."""

    value: float
    best: float
    sd: float
    low: float
    high: float

    def times(self, by: float) -> "Spread":
        """In another unit, of which `by` make one."""
        names = ("value", "best", "sd", "low", "high")
        return Spread(**{name: by * getattr(self, name) for name in names})


@dataclass(frozen=True, slots=True, kw_only=True)
class Tongue:
    """What the ball carries: tongue weight with bars off, its share of the whole trailer, the net
    coupling force and the ball contact as driven, and the bars' moment (N m)."""

    weight_kg: Spread
    share: Spread
    net_kg: Spread
    contact_kg: Spread
    bar_moment: Spread
    restoration: Spread | None


@dataclass(frozen=True, slots=True, kw_only=True)
class AxleLoad:
    """One axle: load as driven and its two sides; `alone_kg` is without the trailer."""

    name: str
    weight_kg: Annotated[Spread, reported.UNREPORTED]
    left_kg: Spread
    right_kg: Spread
    alone_kg: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Attitude:
    """How the rig stands, m and rad: ball height, axle drops against the empty vehicle, pitches."""

    ball_height: Annotated[Spread, reported.METRE]
    front_drop: Annotated[Spread, reported.METRE]
    rear_drop: Annotated[Spread, reported.METRE]
    trailer_pitch: Annotated[Spread, reported.RADIAN]
    vehicle_pitch: Annotated[Spread, reported.RADIAN]


@dataclass(frozen=True, kw_only=True, repr=False)
class StageResult:
    """Everything found at one stage; `chance` is that any limit which decides does not hold,
    `deciding` the gravest of them, of several the one with the least room, `governing` the same of
    the coupling chain, `widened` the values, assumed or loosely stated, that widen each limit most
    which is tight or cannot be told, `unlisted` the limits that only what nobody listed tips;
    `levers` what one more kilogram does."""

    key: str
    title: str
    trailer_kg: Spread
    vehicle_kg: Spread
    tongue: Tongue
    axles: tuple[AxleLoad, ...]
    attitude: Attitude
    limits: tuple[LimitStatus, ...]
    notes: tuple[LimitStatus, ...]
    chance: float
    deciding: LimitStatus | None
    governing: LimitStatus | None
    ledger: Ledger
    driven: Ledger
    levers: Levers
    widened: Mapping[str, tuple[str, ...]]
    unlisted: frozenset[str]

    @cached_property
    def verdict(self) -> Verdict:
        """The worst standing of the stage."""
        return worst(limit.verdict for limit in self.limits)

    def __repr__(self) -> str:
        share, weight = self.tongue.share.value, self.tongue.weight_kg.value
        return f"<{self.title}: {self.verdict}, tongue {weight:.0f} kg, {100 * share:.1f} %>"


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumption:
    """A value nobody stated: SI, its sd now, where it comes from, and how far it alone moves the
    tongue share (half-width of the 95 % interval, worst stage); on how many of the owner's own
    `rigs` it rests."""

    name: str
    value: Annotated[float, reported.SI]
    sd: Annotated[float, reported.SI]
    dimension: Dimension
    basis: Annotated[Basis, reported.UNREPORTED]
    source: str
    effect: Annotated[float, reported.Key("effect_on_share")]
    rigs: Annotated[int, reported.UNREPORTED]


@dataclass(frozen=True, kw_only=True, repr=False)
class Assessment:
    """The answer for one rig: stages in order, assumptions by effect, remarks in words.

    `questions` are what is asked about its values, each of which leaves limits unknown; `missing`
    names what rides in a rig like this but is not listed at all, people among it.
    """

    rig: Rig
    estimate: Estimate
    stages: tuple[StageResult, ...]
    assumed: tuple[Assumption, ...]
    questions: tuple[Fault, ...]
    remarks: tuple[str, ...]
    missing: tuple[str, ...]
    region: str
    draws: int
    seed: int
    tight: float

    @cached_property
    def verdict(self) -> Verdict:
        """The worst standing of the trip; nobody listed aboard is never called within."""
        unsaid: tuple[Verdict, ...] = ("unknown",) if "people" in self.missing else ()
        return worst((*unsaid, *(stage.verdict for stage in self.stages)))

    @property
    def refuses(self) -> bool:
        """Whether some limit of some stage forbids towing as it is."""
        return any(limit.refuses for stage in self.stages for limit in stage.limits)

    @cached_property
    def worst_stage(self) -> StageResult:
        """The stage with the worst verdict and, within it, the least room."""
        return max(self.stages, key=_severity)

    if TYPE_CHECKING:

        def to_frame(self) -> Any:
            """Every limit at every stage as a Polars frame; `steelyard.notebook` gives it."""

    def __repr__(self) -> str:
        return f"<Assessment of {self.rig.name}: {self.verdict}, stages {list(self.stages)}>"


def _severity(stage: StageResult) -> tuple[int, float]:
    room = stage.deciding.room if stage.deciding else float("inf")
    return severity(stage.verdict), -room
