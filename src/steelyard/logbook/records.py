"""What a logbook keeps of a weighing: frozen, plain, and nothing left out."""

from dataclasses import dataclass

from steelyard.learning import Evidence
from steelyard.quantity import Scale


@dataclass(frozen=True, slots=True, kw_only=True)
class LoggedReading:
    """One number off a scale, tape or gauge, and what the posterior says it should have been.

    `value_si`, `sd_si` and `predicted_si` are in the SI unit of what `unit` measures: kg for a
    reading in lb, m for one in inches; `text` is as it was written. `standardised` is the residual
    over its own sd. Either of the last two is None where it was not computed.
    """

    pass_name: str
    kind: str
    name: str
    value_si: float
    sd_si: float
    unit: str
    text: str
    predicted_si: float | None
    standardised: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighing:
    """One weighing: when and where, its readings, the posterior, and both files as they were.

    `taken` is an ISO date and time; one without a zone is as the clock at the place showed it.
    `mean` (p,) and `cov` (p, p) are on the `scales` of the `names`, as in an Estimate; what that
    holds as constants follows from `rig_text`. Weights in kg; `share` is of the whole trailer's
    weight; each `sd` is one standard deviation; `chance` is that of the global chi-square, None
    where there was no test, 0 where it is asked whether the readings were written down right.
    `version` is the program's. `evidence` is what it says of the styles, their priors divided out;
    None where it was written before that was kept.
    """

    rig_name: str
    rig_hash: str
    taken: str
    place: str | None
    note: str | None
    readings: tuple[LoggedReading, ...]
    names: tuple[str, ...]
    scales: tuple[Scale, ...]
    mean: tuple[float, ...]
    cov: tuple[tuple[float, ...], ...]
    trailer_kg: float
    trailer_sd_kg: float
    tongue_kg: float
    tongue_sd_kg: float
    share: float
    share_sd: float
    chance: float | None
    ticket_text: str
    rig_text: str
    version: str
    evidence: tuple[Evidence, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Logged:
    """A weighing as it stands in a logbook: its number there, and when it was written (UTC).

    One that was written down reading by reading has a `run`, the same for all its entries, of which
    at most one `stands`; the others are what it was on the way.
    """

    id: int
    written: str
    weighing: Weighing
    run: str | None = None
    stands: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """What a weighing that stands says of styles, and which rig's it is; the number to `get`."""

    id: int
    rig_name: str
    rig_hash: str
    evidence: tuple[Evidence, ...] | None


@dataclass(frozen=True, slots=True)
class Summary:
    """A line of the list: a weighing without its readings (only how many), posterior and files.

    By position too, as rows come: by keyword a list of thousands takes more than twice as long.
    """

    id: int
    written: str
    rig_name: str
    rig_hash: str
    taken: str
    place: str | None
    note: str | None
    trailer_kg: float
    trailer_sd_kg: float
    tongue_kg: float
    tongue_sd_kg: float
    share: float
    share_sd: float
    chance: float | None
    version: str
    readings: int
