"""What `road` found, frozen: loads kg, as their names say, all else SI."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from steelyard.braking.settings import Settings
from steelyard.quantity import reported
from steelyard.ratings import VERDICTS, Verdict, refuses, worst


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """The draws' median, which is what a person reads, the best estimate, the draws' 2.5 and 97.5
    percentiles; inf for never or always, NaN where there is no balance."""

    value: float
    best: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AxleStance:
    """One axle's load in one case, and its change against standing on the level."""

    name: str
    load_kg: Range
    change_kg: Range


@dataclass(frozen=True, slots=True, kw_only=True)
class Stance:
    """Loads in one case: `slope` rad, `deceleration` m/s2, trailer braking or not.

    coupling_kg is the net vertical coupling force; `change` against standing on the level; push, N,
    along the road, forward; lifted: axles that bear nothing at the best estimate; lifts: the
    chance that some axle does, or that it would tip.
    """

    name: Annotated[str, reported.Key("case")]
    slope: Annotated[float, reported.RADIAN]
    deceleration: Annotated[float, reported.SLOWING]
    trailer_brakes: bool
    coupling_kg: Range
    coupling_change_kg: Range
    axles: tuple[AxleStance, ...]
    push: Annotated[Range, reported.NEWTON]
    lifted: tuple[str, ...]
    lifts: Annotated[float, reported.Key("chance_of_lift")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A stop from the speed asked about. distances in m, reaction included.

    reachable: deceleration, m/s2, with every vehicle tyre at its friction; shortest: distance at
    it; firm: distance at the deceleration asked about, inf where friction does not reach it;
    short: chance that it does not; never: chance that it does not slow at all.
    """

    down: Annotated[bool, reported.Key("downhill")]
    trailer_brakes: bool
    reachable: Annotated[Range, reported.SLOWING]
    shortest: Annotated[Range, reported.METRE]
    firm: Annotated[Range, reported.METRE]
    short: Annotated[float, reported.Key("chance_short")]
    never: Annotated[float, reported.Key("chance_never")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Locking:
    """Which axle locks first with the fixed split. used: friction asked of each axle at the
    deceleration asked about; first: at the best estimate, more than one where they
    lock together, none for never; chances of being among the first;
    deceleration: m/s2, at which it locks."""

    trailer_brakes: bool
    used: Annotated[Mapping[str, Range], reported.Key("friction_used")]
    first: Annotated[tuple[str, ...], reported.Key("locks_first")]
    chances: Annotated[Mapping[str, float], reported.Key("chance_first")]
    deceleration: Annotated[Range, reported.SLOWING, reported.Key("locks_at")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Climb:
    """Up the grade, N and W; None where the rig file leaves unsaid what it takes.

    needed: pull at the driven tyres; used: friction of the driven tyres, slips: chance that it is
    more than there is, traction: steepest tangent they hold; forced: steepest tangent of the drive
    force, short: chance that it is too small; power: needed of the engine at the speed asked about,
    held: speed m/s that its power holds, slower: chance that this is less than asked about.
    """

    driven: str | None
    needed: Annotated[Range, reported.NEWTON]
    used: Annotated[Range | None, reported.Key("friction_used")]
    slips: Annotated[float | None, reported.Key("chance_of_spinning")]
    traction: Annotated[Range | None, reported.Key("traction_grade")]
    forced: Annotated[Range | None, reported.Key("force_grade")]
    short: Annotated[float | None, reported.Key("chance_force_short")]
    power: Annotated[Range, reported.WATT]
    held: Annotated[Range | None, reported.SPEED, reported.Key("speed_held")]
    slower: Annotated[float | None, reported.Key("chance_slower")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Descent:
    """Down the grade at a steady speed. drop m; energy given up, and the part that brakes and
    engine braking take, J; its mean power W; own: the part of the brakes' that a braking trailer
    takes by itself, J; stop: energy of one stop from that speed, J."""

    drop: Annotated[float, reported.METRE]
    energy: Annotated[Range, reported.JOULE]
    brakes: Annotated[Range, reported.JOULE, reported.Key("to_brakes")]
    power: Annotated[Range, reported.WATT, reported.Key("mean_power")]
    own: Annotated[Range, reported.JOULE, reported.Key("trailer_part")]
    stop: Annotated[Range, reported.JOULE, reported.Key("one_stop")]


@dataclass(frozen=True, slots=True, kw_only=True)
class BrakeRule:
    """A rule on brakes held against the trailer. chance: that its threshold is passed, NaN where it
    has none here; note: advice or from memory, which never decides; due: what to look up."""

    name: str
    title: str
    text: str
    source: str
    verdict: Verdict
    chance: float
    note: bool
    due: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something that must hold; chance that it doesn't, NaN where unknown; due: what to look up."""

    name: str
    title: str
    verdict: Verdict
    chance: float
    due: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StageRoad:
    """Everything found at one stage; brakes: what the rig file says of the trailer's."""

    key: str
    title: str
    brakes: Annotated[bool | None, reported.Key("trailer_has_brakes")]
    stances: tuple[Stance, ...]
    stops: tuple[Stop, ...]
    locking: tuple[Locking, ...]
    climb: Climb
    descent: Descent
    rules: tuple[BrakeRule, ...]
    findings: tuple[Finding, ...]
    settings: Annotated[Settings, reported.UNREPORTED]

    @property
    def verdict(self) -> Annotated[Verdict, reported.Key("verdict")]:
        """The worst of the findings and of the rules that decide."""
        ruled = [rule.verdict for rule in self.rules if not rule.note]
        return worst([*ruled, *(finding.verdict for finding in self.findings)])

    @property
    def refuses(self) -> bool:
        """Whether something found, or a rule that decides, forbids towing as it is."""
        found = [(one.verdict, one.chance) for one in self.findings]
        found += [(rule.verdict, rule.chance) for rule in self.rules if not rule.note]
        return any(refuses(*one) for one in found)


def severity(stage: StageRoad) -> tuple[int, float]:
    """For ranking stages: the verdict, then the greatest chance of a finding not holding."""
    chances = [f.chance for f in stage.findings if f.chance == f.chance]
    return VERDICTS.index(stage.verdict), max(chances, default=0.0)
