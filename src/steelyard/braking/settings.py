"""What is asked, and what nobody states: each with its spread and where it comes from."""

from dataclasses import dataclass
from typing import Annotated, Final

from steelyard.quantity import Z95, Scale, reported
from steelyard.typical.sheet import kinds


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """A number of the road or the brakes and its sd; `source` says where it comes from."""

    value: Annotated[float, reported.SI]
    sd: Annotated[float, reported.SI] = 0.0
    source: str = "as asked"


def _assumed(value: float, spread: float, source: str) -> Setting:
    return Setting(value=value, sd=spread / Z95, source=source)


FRICTION: Final = _assumed(
    0.7,
    0.1,
    "assumed: dry paved road (a US statute says about 0.6, the Highway Code's typical stops come to"
    " 0.67); wet or loose is far less",
)
FRONT_SHARE: Final = _assumed(0.65, 0.10, "assumed: fixed split, no electronic distribution")
TRAILER_SHARE: Final = _assumed(
    0.8, 0.2, "assumed: brakes in good order and set close to the trailer's own slowing"
)
ROLLING: Final = _assumed(
    0.012, 0.005, "assumed: paved road; a textbook's car and trailer have 0.012"
)
DRIVELINE: Final = _assumed(0.85, 0.08, "assumed: engine to tyres, from memory")
DECELERATION: Final = 3.4
"""m/s2: design deceleration of stopping sight distance, AASHTO Green Book, in a secondary copy."""
REACTION: Final = 2.5
"""s: brake reaction time of stopping sight distance, AASHTO Green Book, in a secondary copy."""
GRADE: Final = 0.06
"""Tangent; assumed: a usual long highway grade."""
LENGTH: Final = 5000.0
"""m of descent; assumed."""
SPEED: Final = 100 / 3.6
"""m/s, where the rig states none of its own."""
STEEPEST: Final = 1.0
"""Tangent: no road is steeper."""
SLIPPERIEST, GRIPPIEST = 0.0, 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Everything asked. deceleration m/s2; grade a tangent; speed m/s; length of the descent m;
    reaction s; the rest as `Setting`s: friction, front share of the vehicle's brakes, share of its
    own slowing that the trailer brakes, rolling coefficient, drag area m2, driveline efficiency."""

    deceleration: Annotated[float, reported.SLOWING] = DECELERATION
    grade: float = GRADE
    friction: Annotated[Setting, reported.Key("uncertain.friction")] = FRICTION
    speed: Annotated[float, reported.SPEED] = SPEED
    length: Annotated[float, reported.METRE] = LENGTH
    reaction: Annotated[float, reported.SECOND] = REACTION
    front_share: Annotated[Setting, reported.Key("uncertain.front_share")] = FRONT_SHARE
    trailer_share: Annotated[Setting, reported.Key("uncertain.trailer_share")] = TRAILER_SHARE
    rolling: Annotated[Setting, reported.Key("uncertain.rolling")] = ROLLING
    drag_area: Annotated[Setting, reported.Key("uncertain.drag_area")]
    driveline: Annotated[Setting, reported.Key("uncertain.driveline")] = DRIVELINE

    @property
    def uncertain(self) -> dict[str, Setting]:
        """The settings that are drawn, by the name of their parameter."""
        names = [path for path, kind in kinds().items() if kind.role == "road"]
        return {name: getattr(self, name.removeprefix("road.")) for name in names}

    def extra(self) -> list[tuple[str, Scale, float, float]]:
        """As parameters for `extended`: those with a spread."""
        loose = ((name, one) for name, one in self.uncertain.items() if one.sd > 0.0)
        return [(name, kinds()[name].scale, one.value, one.sd) for name, one in loose]

    def fixed(self) -> dict[str, float]:
        """Those known without spread."""
        return {name: one.value for name, one in self.uncertain.items() if not one.sd > 0.0}


def require(settings: Settings) -> None:
    """Raise ValueError, in one sentence, for a road or a stop that cannot be."""
    checks: tuple[tuple[bool, str], ...] = (
        (
            SLIPPERIEST <= settings.friction.value <= GRIPPIEST,
            f"expected a friction between 0 and {GRIPPIEST:g}, found {settings.friction.value:g}",
        ),
        (
            0.0 <= settings.grade <= STEEPEST,
            f"expected a grade between 0 and 100 %, found {100 * settings.grade:g} %",
        ),
        (
            0.0 < settings.deceleration <= 15.0,
            f"expected a slowing above 0 and up to 15 m/s2, found {settings.deceleration:g} m/s2",
        ),
        (
            0.0 < settings.speed < 100.0,
            f"expected a speed above zero and under 100 m/s, found {settings.speed:g} m/s",
        ),
        (settings.length > 0.0, f"expected a descent above zero, found {settings.length:g} m"),
        (
            0.0 <= settings.reaction <= 10.0,
            f"expected a reaction time up to 10 s, found {settings.reaction:g} s",
        ),
        *(
            (
                0.0 <= part.value <= 1.0,
                f"expected a share between 0 and 100 %, found {100 * part.value:g} %",
            )
            for part in (settings.front_share, settings.trailer_share)
        ),
    )
    for good, words in checks:
        if not good:
            raise ValueError(words)
