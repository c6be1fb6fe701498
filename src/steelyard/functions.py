"""One function for each thing the command line does, for scripts and notebooks.

In a notebook a rig shows its picture and an assessment the table of its limits; `to_frame()` of an
assessment is that table as a Polars frame (extra `tables`).

A rig is a `Rig` or the path of its file; `weighed` is a ticket, the path of one, or what `weigh`
gave. Numbers with a unit are text as a rig file has it ("62 mph", "12 %"), or SI floats. All that
is refused is refused by `FaultError`, in the sentence that the command line says.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias, cast

from pydantic import TypeAdapter, ValidationError

import steelyard.notebook  # noqa: F401 - gives rigs and answers what a notebook looks for
from steelyard import assessment
from steelyard.assessment import Assessment
from steelyard.estimate import Estimate
from steelyard.fault import Fault, FaultError, missing, quoted
from steelyard.files import read_rig
from steelyard.quantity import Dimension, FillLevel, Level, QuantityError, parse
from steelyard.ratings import TIGHT
from steelyard.rig import Rig
from steelyard.scene import DRAWS
from steelyard.travel import Flow, flows

if TYPE_CHECKING:
    from steelyard.braking import StageRoad
    from steelyard.cards import Content
    from steelyard.hitching import Fit
    from steelyard.learning import Learnt
    from steelyard.matching import Comparison, Matched
    from steelyard.stowing import Stowed
    from steelyard.stowing.what_if import WhatIf
    from steelyard.swaying import StageSway
    from steelyard.weighing import Reconciled, Ticket

Place: TypeAlias = str | Path
"""A path."""
RigLike: TypeAlias = Rig | Place
Weighed: TypeAlias = "Reconciled | Ticket | Estimate | Place | None"
Number: TypeAlias = str | float
"""Text with a unit, or an SI float."""


def assess(
    rig: RigLike,
    weighed: Weighed = None,
    *,
    stages: Sequence[str] | None = None,
    draws: int = DRAWS,
    seed: int = 0,
    tight: Number = TIGHT,
) -> Assessment:
    """Loads, tongue weight, ledger and every limit, at each stage.

    stages: keys, all by default. draws: behind each spread and chance. tight: chance of not holding
    from which a limit is tight. Forces N, lengths m; spreads are one sd, `low` and `high` the 2.5
    and 97.5 percentiles. Raises FaultError; ValueError for a rig that would tip over.

    >>> from steelyard import Rig, assess
    >>> rig = Rig(
    ...     vehicle={"class": "half-ton-crew-cab", "gvwr": "7100 lb"},
    ...     trailer={"style": "rear-living", "empty": {"weight": "6300 lb"}},
    ... )
    >>> assess(rig).verdict
    'cannot tell'
    """
    found = _rig(rig)
    return assessment.assess(
        found, _belief(found, weighed), _keys(stages), draws, seed, _si(tight, "share", "tight")
    )


def weigh(rig: RigLike, ticket: "Ticket | Place") -> "Reconciled":
    """A ticket's readings reconciled with the rig and with each other.

    `posterior` is the belief afterwards (hand the whole thing on as `weighed`), `agrees` whether
    the readings can be of this rig, `judged` each reading with its residual.
    """
    from steelyard.weighing import reconcile

    return reconcile(_rig(rig), _ticket(ticket))


def sway(
    rig: RigLike,
    weighed: Weighed = None,
    *,
    speed: Number | None = None,
    stages: Sequence[str] | None = None,
) -> "tuple[StageSway, ...]":
    """How fast a swing dies out at each stage, and from what speed it does not (m/s).

    speed: at which the damping ratio is asked for, the rig's own by default.
    """
    from steelyard.swaying.stage_sway import sway as answer

    found = _rig(rig)
    asked = None if speed is None else _si(speed, "speed", "speed")
    return answer(found, _belief(found, weighed), _keys(stages), speed=asked)


def road(
    rig: RigLike, weighed: Weighed = None, *, stages: Sequence[str] | None = None
) -> "tuple[StageRoad, ...]":
    """Braking, holding, climbing and the heat of a descent, at each stage."""
    from steelyard.braking import road as answer

    found = _rig(rig)
    return answer(found, _belief(found, weighed), _keys(stages))


def fit(
    rig: RigLike,
    weighed: Weighed = None,
    *,
    restore: Number | None = None,
    stages: Sequence[str] | None = None,
) -> "Fit":
    """Ball height, drop, sizes, bars and jack that the rig wants.

    restore: share of the front axle's lost load that spring bars shall give back.
    """
    from steelyard.hitching import fit as answer

    found = _rig(rig)
    share = None if restore is None else _si(restore, "share", "restore")
    return answer(found, _belief(found, weighed), _keys(stages), share)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trip:
    """Every stage assessed, and what flowed between one stage and the next."""

    assessment: Assessment
    flows: tuple[Flow, ...]


def trip(rig: RigLike, weighed: Weighed = None) -> Trip:
    """Every stage of the trip, and the fuel and water that flow between them."""
    found = _rig(rig)
    return Trip(assessment=assess(found, weighed), flows=flows(found))


def stow(
    rig: RigLike,
    weighed: Weighed = None,
    *,
    keep: Sequence[str] = (),
    target: Number | None = None,
    tight: Number = TIGHT,
) -> "Stowed":
    """Where everything should ride, at all stages at once.

    keep: items that stay where they are. target: tongue share to come near, the region's by
    default.
    """
    from steelyard.stowing import Wish
    from steelyard.stowing import stow as answer

    found = _rig(rig)
    aim = None if target is None else _si(target, "share", "target")
    wish = Wish(keep=tuple(keep), target=aim, confidence=_si(tight, "share", "tight"))
    return answer(found, _belief(found, weighed), wish)


def move(
    rig: RigLike,
    to: Mapping[str, str],
    levels: Mapping[str, str] | None = None,
    weighed: Weighed = None,
) -> "WhatIf":
    """What moving items (key to place) and setting tanks (name to level, at every stage) would do.

    `before` and `after` are assessments, `changed` the limits whose verdict is another.
    """
    from steelyard.stowing.what_if import what_if

    found = _rig(rig)
    for name, place in to.items():
        _known("items", name, found.items)
        _known("places", place, found.places)
    tanks = {**found.trailer.tanks, **found.vehicle.tanks, "fuel": None}
    set_ = {
        (stage, tank): _level(tank, text)
        for tank, text in (levels or {}).items()
        for stage in found.stages
        if _known("tanks", tank, tanks)
    }
    return what_if(found, to, set_, _belief(found, weighed))


def match(
    vehicles: Place | Iterable[RigLike], trailers: Place | Iterable[RigLike], *, draws: int = 128
) -> "Matched":
    """Every vehicle with every trailer: rig files, folders of them, tables, or rigs.

    A row or file that cannot be read refuses the whole; the command line names it and goes on.
    """
    from steelyard.matching import match as answer
    from steelyard.matching.candidates import tow_of, towed_of

    tows = [tow_of(rig, name) for name, rig in _candidates(vehicles, "vehicle")]
    toweds = [towed_of(rig, name) for name, rig in _candidates(trailers, "trailer")]
    return answer(tows, toweds, draws)


def compare(
    a: RigLike, b: RigLike, *, stage_a: str | None = None, stage_b: str | None = None
) -> "Comparison":
    """Why b puts more or less on the ball than a, thing by thing; at the worst stage of each unless
    one is named."""
    from steelyard.matching import compare as answer

    return answer(assess(a), assess(b), stage_a, stage_b)


def sweep(rig: RigLike, ranges: Mapping[str, tuple[str, str]], **asked: Any) -> Any:
    """Any numbers of a rig varied between two ends: a Polars frame, a row a variant and stage.

    ranges: path in the rig file to its two ends with their units. Everything else as
    `steelyard.fleet.sweep` takes it: `by`, `n`, `give`, `stages`, `draws`, `seed`.
    """
    from steelyard.fleet import sweep as answer

    return answer(_rig(rig), ranges, **asked)


def learn(logbook: Place | None = None) -> "tuple[Learnt, ...]":
    """The owner's own typical values, from the weighings in a logbook (the usual one by default).

    Nothing is written. Weighings whose readings do not agree are left out.
    """
    from steelyard.learning import Taught
    from steelyard.learning import learn as answer
    from steelyard.logbook import Logbook, default_path

    where = Path(logbook) if logbook is not None else default_path()
    if not where.exists():
        raise FaultError(Fault(argument=str(where), due="a logbook", found="none"))
    with Logbook.open(where) as book:
        taught = [
            Taught(rig_name=one.rig_name, rig_hash=one.rig_hash, evidence=one.evidence)
            for one in book.lessons()
            if one.evidence is not None and all(piece.sound() for piece in one.evidence)
        ]
    return answer(one for one in taught if one.agrees)


def card(rig: RigLike, weighed: Weighed = None) -> "Content":
    """What the printable card says; `as_pdf` and `as_html` of `steelyard.cards` print it."""
    from steelyard.cards import card as answer

    found = _rig(rig)
    return answer(found, _belief(found, weighed))


def _rig(rig: RigLike) -> Rig:
    if isinstance(rig, Rig):
        return rig
    _require(rig, str | Path, "rig", "a rig, or the path of a rig file")
    return read_rig(rig)


def _ticket(ticket: "Ticket | Place") -> "Ticket":
    from steelyard.files.tickets import read_ticket
    from steelyard.weighing import Ticket

    if isinstance(ticket, Ticket):
        return ticket
    _require(ticket, str | Path, "ticket", "a ticket, or the path of one")
    return read_ticket(ticket)


def _belief(rig: Rig, weighed: Weighed) -> Estimate | None:
    from steelyard.weighing import Reconciled, reconcile

    if weighed is None or isinstance(weighed, Estimate):
        return weighed
    if isinstance(weighed, Reconciled):
        return weighed.posterior
    return reconcile(rig, _ticket(weighed)).posterior


def _require(given: object, kind: Any, argument: str, due: str) -> None:
    if not isinstance(given, kind):
        raise FaultError(Fault(argument=argument, due=due, found=quoted(given)))


def _keys(stages: Sequence[str] | None) -> tuple[str, ...] | None:
    if stages is None:
        return None
    _require(stages, list | tuple, "stages", "a list of stages")
    return tuple(stages)


def _si(number: Number, dimension: Dimension, argument: str) -> float:
    _require(
        number, str | int | float, argument, f"text with a unit of {dimension}, or an SI number"
    )
    if not isinstance(number, str):
        return float(number)
    try:
        return parse(number, dimension).value
    except QuantityError as error:
        raise FaultError(*error.faults).within(argument=argument) from None


def _known(kind: str, found: str, known: Iterable[str]) -> bool:
    if found not in (names := list(known)):
        raise FaultError(missing(kind, found, names))
    return True


def _level(tank: str, text: str) -> Level:
    reader: TypeAdapter[Level] = TypeAdapter(FillLevel)
    try:
        return reader.validate_python(text)
    except ValidationError as error:
        due = str(error.errors()[0]["msg"]).removeprefix("expected ")
        raise FaultError(Fault(argument=tank, due=due)) from None


def _candidates(given: object, which: str) -> "Iterable[tuple[str | None, Rig]]":
    from steelyard.files.candidate_tables import Which, parts

    if isinstance(given, str | Path):
        for some in parts(Path(given), cast("Which", which)):
            if some.faults:
                raise FaultError(*some.faults)
            yield from some.rigs.items()
        return
    for rig in cast("Iterable[RigLike]", given):
        yield None, _rig(rig)
