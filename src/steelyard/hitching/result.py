"""What a fitting found. SI throughout: m, N, rad; frozen."""

from dataclasses import dataclass
from typing import Literal

from steelyard.assessment import Spread
from steelyard.ratings import Standing, Verdict
from steelyard.rig import Rig

Due = Literal["due", "not due", "forbidden", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One ball mount (or height): unladen ball, the trailer's nose above level at each stage
    (m, over the distance from the ball to the axles), the chance that it is within the tolerance,
    and `chance`, the least of them; `drop` is None where heights are set by tape."""

    drop: float | None
    ball: Spread
    driven: tuple[Spread, ...]
    nose: tuple[Spread, ...]
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
    wanted: Spread
    wanted_drop: Spread | None
    squat: Spread
    tolerance: float
    mismatch: float | None
    missing: tuple[str, ...]
    widened: tuple[str, ...]
    source: str
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Pitch:
    """What one inch of ball height does, with one kind of suspension: change of tongue weight and
    of each trailer axle's load (N) with the ball an inch higher and an inch lower."""

    suspension: str
    assumed: bool
    own: bool
    tongue_up: Spread
    tongue_down: Spread
    axles_up: tuple[Spread, ...]
    axles_down: tuple[Spread, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Match:
    """Two parts that must fit: sizes (m) where stated, whether they do, what to look up if not."""

    name: str
    title: str
    first: float | None
    second: float | None
    verdict: Verdict
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Lift:
    """Whether the jack's flange gets as high as one task needs, m; `short` is the chance that not,
    `force` what it lifts (N); NaN where unknown."""

    task: Literal["couple", "bars"]
    needed: Spread
    reach: Spread | None
    short: float
    force: Spread
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Jacking:
    """The jack's tasks, its foot's height above ground as driven, and what is not stated."""

    lifts: tuple[Lift, ...]
    load: Standing | None
    foot: Spread | None
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

    `rating` is the heaviest of tongue plus cargo behind the rear axle, N, `size` the least rating
    sold that covers its 97.5 percentile (kg), None above all sold. Without bars the settings are
    None. `fenders_prove` is false where the vehicle levels itself.
    """

    due: Due
    reasons: tuple[str, ...]
    fitted: bool
    supposed: bool
    verdict: Verdict
    lost: Spread | None
    rating: Spread | None
    size: float | None
    share: float | None
    set_at: str | None
    set_stage: int
    fenders_prove: bool
    preset: Spread | None
    take_up: Spread | None
    moment: Spread | None
    fenders: Fenders | None
    restored: tuple[Spread, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Clearance:
    """One angle (rad) or gap (m) from stated dimensions; `value` None where they are missing;
    `always` where nothing touches however far it turns."""

    name: str
    title: str
    value: Spread | None
    always: bool
    touches: bool
    is_angle: bool
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """The whole answer, stages in order; `limits` are the chain's and the jack's ratings, each at
    its worst stage, `governing` the one with the least room, `lifts` the first stage at which the
    trailer would lift the vehicle, if any."""

    rig: Rig
    region: str
    stages: tuple[tuple[str, str], ...]
    height: Height
    pitch: tuple[Pitch, ...]
    matches: tuple[Match, ...]
    limits: tuple[tuple[str, Standing], ...]
    governing: tuple[str, Standing] | None
    jack: Jacking
    bars: Bars | None
    clearances: tuple[Clearance, ...]
    lifts: str | None
    draws: int
    seed: int
    verdict: Verdict

    @property
    def refuses(self) -> bool:
        """Whether something does not fit, or a rating is likely not to hold."""
        return self.verdict == "exceeded" or any(
            limit.refuses for _, limit in self.limits if not limit.note
        )
