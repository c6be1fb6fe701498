"""What a fitting found; frozen. Loads are kg, as their names say, all else SI."""

from dataclasses import dataclass
from typing import Annotated, Literal

from steelyard.assessment import Spread
from steelyard.quantity import reported
from steelyard.ratings import LimitStatus, Verdict
from steelyard.rig import Rig

Due = Literal["due", "not due", "forbidden", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One ball mount (or height): unladen ball, the trailer's nose above level at each stage
    (m, over the distance from the ball to the axles), the chance that it is within the tolerance,
    and `chance`, the least of them; `drop` is None where heights are set by tape."""

    drop: Annotated[float | None, reported.METRE]
    ball: Annotated[Spread, reported.METRE]
    driven: Annotated[tuple[Spread, ...], reported.METRE, reported.Key("driven_ball")]
    nose: Annotated[tuple[Spread, ...], reported.METRE]
    chances: tuple[float, ...]
    chance: float
    level: bool
    present: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Height:
    """The ball: `wanted` is the unladen height that would stand exactly level at the stage looked
    at, `wanted_drop` the drop that gives it; `squat` what the ball sinks under the load.

    `mode` is `drop` where the receiver's height is known, else `height`; `mismatch` is the taped
    ball height less what the parts would give, where both are stated and differ by more than their
    spreads; `missing` names what was not measured, `widened` the values that widen the nose's
    spread most.
    """

    mode: Literal["drop", "height"]
    steps: tuple[Step, ...]
    chosen: Step
    present: Step | None
    worst_stage: int
    wanted: Annotated[Spread, reported.METRE, reported.Key("wanted_ball")]
    wanted_drop: Annotated[Spread | None, reported.METRE]
    squat: Annotated[Spread, reported.METRE]
    tolerance: Annotated[float, reported.METRE]
    mismatch: Annotated[float | None, reported.METRE, reported.Key("taped_less_parts")]
    missing: tuple[str, ...]
    widened: Annotated[tuple[str, ...], reported.Key("widened_by")]
    source: Annotated[str, reported.UNREPORTED]
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Pitch:
    """What one inch of ball height does, with one kind of suspension: change of tongue weight and
    of each trailer axle's load with the ball an inch higher and an inch lower."""

    suspension: str
    assumed: bool
    own: bool
    inch_up_tongue_kg: Spread
    inch_down_tongue_kg: Spread
    inch_up_axles_kg: tuple[Spread, ...]
    inch_down_axles_kg: tuple[Spread, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """Two parts that must fit: sizes (m) where stated, whether they do, what to look up if not."""

    name: str
    title: str
    first: Annotated[float | None, reported.METRE]
    second: Annotated[float | None, reported.METRE]
    verdict: Verdict
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """Whether the jack's flange gets as high as one task needs, m; `short` is the chance that not,
    `carries_kg` what it lifts; NaN where unknown."""

    task: Literal["couple", "bars"]
    needed: Annotated[Spread, reported.METRE]
    reach: Annotated[Spread | None, reported.METRE]
    short: Annotated[float, reported.Key("chance_short")]
    carries_kg: Spread
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Jacking:
    """The jack's tasks, its foot's height above ground as driven, and what is not stated."""

    lifts: tuple[Lift, ...]
    load: Annotated[LimitStatus | None, reported.UNREPORTED]
    foot: Annotated[Spread | None, reported.METRE]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fenders:
    """Rise of the wheel arches against the vehicle alone and loaded alike, m: bars off and on."""

    front_off: Spread
    front_on: Spread
    rear_off: Spread
    rear_on: Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Bars:
    """Spring bars: whether due and why; at stage `set_at`, the preset (rad), its take-up at the
    chain (m) and the fenders that prove it; what each stage then restores.

    `carries_kg` is the heaviest of tongue plus cargo behind the rear axle, `size` the least rating
    sold that covers its 97.5 percentile (kg), None above all sold. Without bars the settings are
    None. `fenders_prove` is false where the vehicle levels itself.
    """

    due: Due
    reasons: tuple[str, ...]
    fitted: bool
    supposed: bool
    verdict: Verdict
    front_load_lost_kg: Spread | None
    carries_kg: Spread | None
    size: Annotated[float | None, reported.KILOGRAM, reported.Key("rating_wanted")]
    share: float | None
    set_at: str | None
    set_stage: Annotated[int, reported.UNREPORTED]
    fenders_prove: Annotated[bool, reported.UNREPORTED]
    preset: Annotated[Spread | None, reported.RADIAN]
    take_up: Annotated[Spread | None, reported.METRE]
    moment: Annotated[Spread | None, reported.NEWTON_METRE]
    fenders: Annotated[Fenders | None, reported.METRE, reported.Key("fender_rise")]
    restored: Annotated[tuple[Spread, ...], reported.Key("restored_share")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """One angle (rad) or gap (m) from stated dimensions; `value` None where they are missing;
    `always` where nothing touches however far it turns."""

    name: str
    title: str
    value: Annotated[Spread | None, reported.UNREPORTED]
    always: bool
    touches: bool
    is_angle: Annotated[bool, reported.UNREPORTED]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """The whole answer, stages in order; `limits` are the chain's and the jack's ratings, each at
    its worst stage, `governing` the one with the least room, `lifts` the first stage at which the
    trailer would lift the vehicle, if any."""

    rig: Annotated[Rig, reported.UNREPORTED]
    region: str
    stages: Annotated[tuple[tuple[str, str], ...], reported.UNREPORTED]
    height: Height
    pitch: tuple[Pitch, ...]
    matches: tuple[Match, ...]
    limits: Annotated[tuple[tuple[str, LimitStatus], ...], reported.UNREPORTED]
    governing: Annotated[tuple[str, LimitStatus] | None, reported.UNREPORTED]
    jack: Jacking
    bars: Bars | None
    clearances: tuple[Clearance, ...]
    lifts: Annotated[str | None, reported.Key("lifts_vehicle_at")]
    draws: int
    seed: int
    verdict: Verdict

    @property
    def refuses(self) -> bool:
        """Whether something does not fit, or a rating is likely not to hold."""
        return self.verdict == "exceeded" or any(
            limit.refuses for _, limit in self.limits if not limit.note
        )
