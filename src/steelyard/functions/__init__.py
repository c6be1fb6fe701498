"""One function for each thing the command line does, for scripts and notebooks.

In a notebook a rig shows its picture and an assessment the table of its limits; `to_frame()` of an
assessment is that table as a Polars frame (extra `tables`).

A rig is a `Rig` or the path of its file; `weighed` is a ticket, the path of one, or what `weigh`
gave. Numbers with a unit are text as a rig file has it ("62 mph", "12 %"), or SI floats. All that
is refused is refused by `FaultError`, in the sentence that the command line says.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final, Literal

import steelyard.notebook  # noqa: F401 - gives rigs and answers what a notebook looks for
from steelyard import assessment
from steelyard.assessment import Assessment
from steelyard.braking.result import StageRoad
from steelyard.braking.stage_road import road as _road
from steelyard.cards import Content
from steelyard.cards import card as _card
from steelyard.fault import require
from steelyard.functions import given
from steelyard.functions.whole_trip import Trip
from steelyard.hitching.fit import fit as _fit
from steelyard.hitching.result import Fit
from steelyard.learning import Learnt
from steelyard.learning import learn as _learn
from steelyard.matching.candidates import tow_of, towed_of
from steelyard.matching.compare import Comparison
from steelyard.matching.compare import compare as _compare
from steelyard.matching.match import Matched
from steelyard.matching.match import match as _match
from steelyard.ratings import TIGHT
from steelyard.scene import DRAWS
from steelyard.stowing.question import Wish
from steelyard.stowing.stow import Stowed
from steelyard.stowing.stow import stow as _stow
from steelyard.stowing.what_if import WhatIf, what_if
from steelyard.swaying.result import StageSway
from steelyard.swaying.stage_sway import sway as _sway
from steelyard.travel import flows
from steelyard.weighing.reconcile import Reconciled, reconcile
from steelyard.weighing.ticket import Ticket

MOST: Final = 2**32 - 1
MOST_DRAWS: Final = 100_000
"""More take a gigabyte and say nothing more."""


def assess(
    rig: given.RigLike,
    weighed: given.Weighed = None,
    *,
    stages: Sequence[str] | None = None,
    draws: int = DRAWS,
    seed: int = 0,
    tight: given.Number = TIGHT,
) -> Assessment:
    """Loads, tongue weight, ledger and every limit, at each stage of the trip.

    The rig stands on its springs in static equilibrium (docs/method.md, 1 to 9), for the best
    estimate and for `draws` draws of what is believed; a limit's verdict is the share of draws in
    which it does not hold.

    rig, weighed: see above. stages: keys of stages, all when left out. draws: 16 to 100,000. seed:
    of the draws. tight: chance, above 0 and under 0.5, from which a limit is tight. Gives loads in
    kg, as JSON does, all else in SI; of a spread `value` is the median, `sd` one standard
    deviation, `low` and `high` the 2.5 and 97.5 percentiles. Raises FaultError; ValueError for a
    rig that would tip over.
    Sources: docs/validation.md, ST-1 to ST-4 (a chassis textbook) and FAA-1 to FAA-13.

    >>> from steelyard import assess
    >>> found = assess("perihelion-camper.toml", "camper-at-the-fuel-stop.toml")
    >>> found.verdict, found.worst_stage.title
    ('within', 'first night')
    >>> round(found.worst_stage.tongue.share.value, 2)
    0.12
    """
    found = given.rig_of(rig)
    return assessment.assess(
        found,
        given.belief_of(found, weighed),
        given.keys_of(stages),
        given.whole(draws, "draws", 16, MOST_DRAWS),
        given.whole(seed, "seed", 0, MOST),
        given.si(tight, given.CHANCE, "tight"),
    )


def weigh(rig: given.RigLike, ticket: Ticket | given.Place) -> Reconciled:
    """A ticket's readings reconciled with the rig and with each other.

    Weighted least squares with the prior (docs/method.md, 10), each reading y = f(parameters) +
    error; chi-square tests say whether they agree, Baarda's w-test which one does not belong.

    ticket: a Ticket or the path of one, TOML or CSV. Gives `posterior`, the belief afterwards (hand
    the whole on as `weighed`), `agrees`, whether they can be of one rig, and `readings`, each with
    what was read and expected (SI) and by how many sd it is off. Raises FaultError.
    Source: Baarda, Publications on Geodesy 2.5 (1968).

    >>> from steelyard import weigh
    >>> weigh("perihelion-camper.toml", "camper-at-the-fuel-stop.toml").agrees
    True
    """
    return reconcile(given.rig_of(rig), given.ticket_of(ticket))


def sway(
    rig: given.RigLike,
    weighed: given.Weighed = None,
    *,
    speed: given.Number | None = None,
    stages: Sequence[str] | None = None,
) -> tuple[StageSway, ...]:
    """How fast a swing dies out at each stage, and from what speed it does not.

    Eigenvalues of the single-track model of vehicle and trailer with lagging tyres, over the draws
    (docs/method.md, 12): damping ratio zeta = -Re s/abs(s) of the least damped oscillation.

    stages: keys, all when left out. speed: at which damping is asked for, m/s or text with its
    unit, above 0; the rig's own when left out, else 100 km/h. Gives a StageSway a stage: damping
    against `speeds` (m/s), `at_damping`, and `wagging` and `jackknife`, the speeds from which
    swings grow or it folds. Raises FaultError. Source: docs/validation.md, LAT-01 to LAT-15.

    >>> from steelyard import sway
    >>> first, *_ = sway("perihelion-camper.toml", speed="55 mph")
    >>> bool(first.at_damping.low < first.at_damping.value < first.at_damping.high)
    True
    """

    found = given.rig_of(rig)
    asked = None if speed is None else given.si(speed, given.SPEED, "speed")
    return _sway(found, given.belief_of(found, weighed), given.keys_of(stages), speed=asked)


def road(
    rig: given.RigLike, weighed: given.Weighed = None, *, stages: Sequence[str] | None = None
) -> tuple[StageRoad, ...]:
    """Braking, holding, climbing and the heat of a descent, at each stage.

    Dry friction, quasi-static load transfer and the region's rules on brakes (docs/method.md, 15).

    stages: keys, all when left out. Gives a StageRoad a stage: stops (m, m/s2), axle loads when
    braking and on a grade (kg), `findings`, each with verdict and chance, and the rules. What the
    rig does not state is unknown. Raises FaultError. Source: AASHTO's stopping sight distance.

    >>> from steelyard import road
    >>> [stage.verdict for stage in road("perihelion-camper.toml", stages=["first-night"])]
    ['unknown']
    """

    found = given.rig_of(rig)
    return _road(found, given.belief_of(found, weighed), given.keys_of(stages))


def fit(
    rig: given.RigLike,
    weighed: given.Weighed = None,
    *,
    restore: given.Number | None = None,
    stages: Sequence[str] | None = None,
) -> Fit:
    """Ball height, drop, sizes, bars and jack that the rig wants (docs/method.md, 16).

    stages: at which the trailer must stand level, all when left out. restore: share of the front
    axle's lost load that spring bars shall give back, 0 to 1 or text such as "50 %"; the rig's own
    when left out. Lengths in m, loads in kg. Raises FaultError.

    >>> from steelyard import fit
    >>> fit("perihelion-camper.toml", restore="60 %").verdict
    'tight'
    """

    found = given.rig_of(rig)
    share = None if restore is None else given.si(restore, given.PART, "restore")
    return _fit(found, given.belief_of(found, weighed), given.keys_of(stages), share)


def trip(rig: given.RigLike, weighed: given.Weighed = None) -> Trip:
    """Every stage of the trip, and the fuel and water that flow between them.

    Gives `assessment`, as `assess` does, and `flows`, litres of fuel burnt and of water drawn and
    passed on before each stage (docs/method.md, 13). Raises FaultError for a flow that no tank can
    give or take.

    >>> from steelyard import trip
    >>> trip("perihelion-camper.toml").assessment.worst_stage.title
    'first night'
    """
    found = given.rig_of(rig)
    return Trip(assessment=assess(found, weighed), flows=flows(found))


def stow(
    rig: given.RigLike,
    weighed: given.Weighed = None,
    *,
    keep: Sequence[str] = (),
    target: given.Number | None = None,
    tight: given.Number = TIGHT,
) -> Stowed:
    """Where everything should ride, at all stages at once.

    A mixed-integer programme of items, places and stages; the statics of `assess` decide
    (docs/method.md, 14, and decision 12).

    keep: keys of items that stay where they are. target: tongue share to come near, 0 to 0.5 or
    text such as "12 %"; the middle of the region's band when left out. tight: chance of not holding
    that each limit may have, above 0 and under 0.5. Gives `found`, the plan with its assessment, or
    None, `left`, what stays home, and `order`, in which to move. Raises FaultError.

    >>> from steelyard import stow
    >>> stow("perihelion-tractor.toml").left
    ()
    """
    found = given.rig_of(rig)
    require(keep, list | tuple, "keep", "a list of keys of items")
    aim = None if target is None else given.si(target, given.AIM, "target")
    wish = Wish(keep=tuple(keep), target=aim, confidence=given.si(tight, given.CHANCE, "tight"))
    return _stow(found, given.belief_of(found, weighed), wish)


def move(
    rig: given.RigLike,
    to: Mapping[str, str],
    levels: Mapping[str, str] | None = None,
    weighed: given.Weighed = None,
) -> WhatIf:
    """What moving items and setting tanks would do; nothing is written.

    to: item's key to place's key. levels: tank's name to its level at every stage, such as "half"
    or "20 gal". Gives `before` and `after`, assessments (kg, SI) on the same draws, and
    `changed`, the limits whose verdict is another. Raises FaultError.

    >>> from steelyard import move
    >>> found = move("perihelion-camper.toml", {"bikes": "galley"})
    >>> tongue = [one.stages[0].tongue.weight_kg.value for one in (found.before, found.after)]
    >>> tongue[1] > tongue[0]
    True
    """
    found = given.rig_of(rig)
    require(to, Mapping, "to", "items' keys, each with its place's key")
    require(levels or {}, Mapping, "levels", "tanks' names, each with its level")
    for name, place in to.items():
        given.known_name("items", name, found.items)
        given.known_name("places", place, found.places)
    fuel = {} if found.vehicle.electric else {"fuel": None}
    tanks = {**found.trailer.tanks, **found.vehicle.tanks, **fuel}
    set_ = {
        (stage, tank): given.level_of(tank, text)
        for tank, text in (levels or {}).items()
        for stage in found.stages
        if given.known_name("tanks", tank, tanks)
    }
    return what_if(found, to, set_, given.belief_of(found, weighed))


def match(
    vehicles: given.Place | Iterable[given.RigLike],
    trailers: given.Place | Iterable[given.RigLike],
    *,
    draws: int = 128,
) -> Matched:
    """Every vehicle with every trailer: rig files, folders of them, tables, or rigs.

    Each pair empty, as usually loaded and at the trailer's rating (docs/method.md, 17). draws:
    behind each spread, 16 to 4096. Gives blocks of alike pairs, arrays (limits, stages, pairs) in
    the limits' units; `steelyard.matching` ranks them. Raises FaultError: a row or file that cannot
    be read refuses the whole, where the command line names it and goes on.

    >>> from steelyard import match
    >>> found = match("perihelion-vehicles.csv", "perihelion-candidates.csv")
    >>> len(found.tows) * len(found.toweds) == len(found) + len(found.impossible)
    True
    """
    tows = [tow_of(rig, name) for name, rig in given.candidates(vehicles, "vehicle")]
    toweds = [towed_of(rig, name) for name, rig in given.candidates(trailers, "trailer")]
    return _match(tows, toweds, given.whole(draws, "draws", 16, 4096))


def compare(
    a: given.RigLike, b: given.RigLike, *, stage_a: str | None = None, stage_b: str | None = None
) -> Comparison:
    """Why b puts more or less on the ball than a, thing by thing.

    stage_a, stage_b: keys; the worst stage of each when left out. Bars off, best estimates, kg;
    the `difference_kg` of the rows sums to that of the whole exactly (docs/method.md, 17). Raises
    FaultError; ValueError for a stage that is not there.

    >>> from steelyard import compare
    >>> found = compare("perihelion-camper.toml", "perihelion-tractor.toml")
    >>> abs(sum(row.difference_kg for row in found.rows) - found.difference_kg) < 1e-6
    True
    """

    return _compare(assess(a), assess(b), stage_a, stage_b)


def sweep(
    rig: given.RigLike,
    ranges: Mapping[str, tuple[str, str]],
    *,
    by: Literal["grid", "lhs", "sobol"] = "sobol",
    n: int = 1024,
    give: Sequence[str] | None = None,
    stages: Sequence[str] | None = None,
    draws: int = 0,
    seed: int = 0,
) -> Any:
    """Any numbers of a rig varied between two ends: a Polars frame, a row a variant and stage.

    ranges: path in the rig file to its two ends with their units. by: a grid, Latin hypercubes or a
    Sobol sequence. n: variants in all, of a grid values of each range. give: what is told, as
    `steelyard sweep --give` names it. stages: keys, all when left out. draws: behind each spread, 0
    for none, at most 4096. seed: of the sequence and the draws. Columns are in the unit their name
    ends with. Raises FaultError for what cannot be swept. Needs the extra `sweep`.

    >>> from steelyard import sweep
    >>> found = sweep("perihelion-camper.toml", {"items.bikes.weight": ("0 lb", "200 lb")}, n=8)
    >>> found["variant"].n_unique()
    8
    """
    from steelyard.fleet.sweep import GIVEN
    from steelyard.fleet.sweep import sweep as answer

    return answer(
        given.rig_of(rig),
        given.ranges_of(ranges),
        by=given.one_of("by", by, ("grid", "lhs", "sobol")),
        n=given.whole(n, "n", 1, MOST),
        give=GIVEN if give is None else give,
        stages=given.keys_of(stages),
        draws=given.whole(draws, "draws", 0, 4096),
        seed=given.whole(seed, "seed", 0, MOST),
    )


def learn(logbook: given.Place | None = None) -> tuple[Learnt, ...]:
    """The owner's own typical values, from the weighings in a logbook; nothing is written.

    logbook: path of the file, the usual one when left out. Weighings whose readings do not agree
    are left out. Gives for each value, a share of 1, how many rigs it rests on, itself and its sd,
    and the shipped ones beside it (docs/method.md, 18). Raises FaultError.

    >>> from steelyard import learn
    >>> learn("no-such.sqlite")
    Traceback (most recent call last):
        ...
    steelyard.fault.FaultError: no-such.sqlite: expected a logbook, found none
    """

    return _learn(one for one in given.taught_by(logbook) if one.agrees)


def card(rig: given.RigLike, weighed: given.Weighed = None) -> Content:
    """What the printable card says; `as_pdf` and `as_html` of `steelyard.cards` print it.

    Words and rounded numbers, in the rig's own units. Raises FaultError.

    >>> from steelyard import card
    >>> card("perihelion-camper.toml").name
    'Perihelion camper'
    """

    found = given.rig_of(rig)
    return _card(found, given.belief_of(found, weighed))
