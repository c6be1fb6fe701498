"""Readings into a belief one can trust: posterior, tests, and the reading that does not belong."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Annotated, Final

import numpy as np

from steelyard.estimate import Array, Estimate, condition, linearise, marginal, remembering
from steelyard.estimate.tails import chi_square_chance
from steelyard.quantity import POUND, reported
from steelyard.rig import Rig
from steelyard.weighing.agreement import Agreement, apart
from steelyard.weighing.laid_ticket import Weighed, lay
from steelyard.weighing.pass_differences import stepped
from steelyard.weighing.suspicion import LIKELIER, far, inverse, suspicion
from steelyard.weighing.ticket import Ticket

GROSS: Final = 2.5758293035489004
"""Normal quantile of 0.995: how far off a reading must lie to be tried in the other unit."""
NEARLY: Final = 0.06
"""Part of its misfit that a reading in the other unit may keep: a factor of 2.2 is told by less."""
POWER: Final = 1.6448536269514722
"""Normal quantile of 0.95: with `far` it gives the smallest error found 95 times in 100, were it
known how wide the file is."""
UNKNOWN: Final = 1.25
"""Times as large that it must be where that is not known (measured)."""
ALIKE: Final = 0.8
"""Two readings whose tests correlate above this cannot be told apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """One reading after reconciliation, SI.

    `predicted` is the posterior's own value with `sd`; `standardised` is how many sd the reading
    lies from what the rig file and all the others say, `error` how much it would be wrong by, and
    `error_sd` how surely; `detectable` is the smallest error found 95 times in 100, nearly; `alike`
    names readings whose error would look the same.
    """

    name: str
    kind: str
    dimension: str
    value: Annotated[float, reported.SI, reported.Key("read")]
    own_sd: Annotated[float, reported.SI]
    predicted: Annotated[float, reported.SI, reported.Key("expected")]
    sd: Annotated[float, reported.SI]
    standardised: float
    error: Annotated[float, reported.SI]
    error_sd: Annotated[float, reported.SI]
    detectable: Annotated[float, reported.SI]
    alike: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reconciled:
    """A ticket reconciled with its rig.

    posterior: the rig's own parameters (the prior's where no rig could give such readings); full:
    the ticket's too; whole: all readings against the prior, which falls into what they are `among`
    themselves and against the `file`; suspect: the reading that does not belong, if any does not,
    and `without` the posterior with it left out; unit_hint: words where pounds and kilograms seem
    to be mixed up.
    """

    weighed: Weighed
    posterior: Estimate
    full: Estimate
    whole: Agreement
    among: Agreement
    file: Agreement
    readings: tuple[Judged, ...]
    suspect: Judged | None
    without: Estimate | None
    unit_hint: str | None

    @property
    def agrees(self) -> bool:
        """Whether the readings agree with each other, whatever the rig file says."""
        return self.among.holds

    @property
    def sound(self) -> bool:
        """Whether they agree with each other and with the file."""
        return self.among.holds and self.file.holds


def reconcile(rig: Rig, ticket: Ticket) -> Reconciled:
    """Reconcile a ticket with its rig. Raises TicketError where the two do not fit.

    MAP by Gauss-Newton over the coupled statics; the tests are those of the linearised problem at
    the MAP: global chi-square, and for each reading Baarda's w-test (Publications on Geodesy 2.5,
    1968), which equals its leave-one-out prediction residual over its sd.
    """
    return judge(lay(rig, ticket))


@np.errstate(all="ignore")
def judge(weighed: Weighed) -> Reconciled:
    """Reconcile a ticket that is laid on its rig. Numbers that no rig could give overflow here.

    Readings are tested as they stand; what is believed has the steps between passes apart.
    """
    full = _given(weighed)
    tested = _tested(weighed, full)
    judged = _judged(weighed, full, tested)
    among, file = _apart(weighed, full, tested)
    chi_square = float(tested.innovation @ tested.weight @ tested.innovation)
    suspect = _suspect(judged, tested)
    wider = stepped(weighed)
    full = full if wider is weighed else _given(wider)
    return Reconciled(
        weighed=wider,
        posterior=_own(wider, full),
        full=full,
        whole=Agreement(chi_square=chi_square, degrees=len(judged)),
        among=among,
        file=file,
        readings=judged,
        suspect=suspect,
        without=_without(weighed, judged, suspect),
        unit_hint=None if among.holds and file.holds else _unit_hint(weighed),
    )


def _given(weighed: Weighed) -> Estimate:
    """The belief with the readings, which it remembers; as before where no rig could give them."""
    readings = list(weighed.readings)
    full = condition(weighed.prior, readings)
    if not np.all(np.isfinite(full.mean)):
        return weighed.prior
    return remembering(weighed.prior, readings, full)


def _own(weighed: Weighed, full: Estimate) -> Estimate:
    """The rig's own parameters; the ticket's are marginalised out."""
    return marginal(full, [name for name in weighed.own if name in full.index])


@dataclass(frozen=True, kw_only=True)
class _Tested:
    """Linearised at the MAP: predictions and innovation (m,), slopes (m, p), the part of the
    innovation's covariance that is the prior's, and the readings' own, (m, m)."""

    predicted: Array
    innovation: Array
    slope: Array
    prior: Array
    noise: Array

    @cached_property
    def weight(self) -> Array:
        """The inverse of the innovation's covariance, (m, m)."""
        return inverse(self.prior + self.noise)


def _tested(weighed: Weighed, full: Estimate) -> _Tested:
    readings = list(weighed.readings)
    predicted, slope = linearise(replace(weighed.prior, mean=full.mean), readings, full.mean)
    observed = np.array([reading.value for reading in readings])
    return _Tested(
        predicted=predicted,
        innovation=observed - predicted + slope @ (full.mean - weighed.prior.mean),
        slope=slope,
        prior=slope @ weighed.prior.cov @ slope.T,
        noise=np.diag([reading.sd**2 for reading in readings]),
    )


def _apart(weighed: Weighed, full: Estimate, tested: _Tested) -> tuple[Agreement, Agreement]:
    """Agreement among the readings and with the file; the ticket's own parameters, such as a
    scale's slope, are the instruments'."""
    own = np.isin(weighed.prior.names, weighed.own)
    known = np.ix_(own, own)
    file = tested.slope[:, own] @ weighed.prior.cov[known] @ tested.slope[:, own].T
    spread = tested.slope @ weighed.prior.cov @ tested.slope.T - file
    noise = spread + np.diag([reading.sd**2 for reading in weighed.readings])
    return apart(full, weighed.readings, tested.slope, tested.innovation, file, noise)


def _judged(weighed: Weighed, full: Estimate, tested: _Tested) -> tuple[Judged, ...]:
    pull = tested.weight @ tested.innovation
    own = np.diag(tested.weight)
    error, error_sd = pull / own, 1.0 / np.sqrt(own)
    likeness = tested.weight / np.sqrt(np.outer(own, own))
    spread = np.sqrt(np.einsum("ij,jk,ik->i", tested.slope, full.cov, tested.slope))
    names = [line.name for line in weighed.lines]
    least = UNKNOWN * (far(len(names)) + POWER)
    rows = []
    for i, (line, reading) in enumerate(zip(weighed.lines, weighed.readings, strict=True)):
        alike = [names[j] for j in np.flatnonzero(np.abs(likeness[i]) > ALIKE) if j != i]
        rows.append(
            Judged(
                name=line.name,
                kind=line.reading.kind,
                dimension=line.reading.dimension,
                value=reading.value,
                own_sd=reading.sd,
                predicted=float(tested.predicted[i]),
                sd=float(spread[i]),
                standardised=float(error[i] / error_sd[i]),
                error=float(error[i]),
                error_sd=float(error_sd[i]),
                detectable=float(least * error_sd[i]),
                alike=tuple(alike),
            )
        )
    return tuple(rows)


def _suspect(judged: tuple[Judged, ...], tested: _Tested) -> Judged | None:
    """The reading that is likeliest wrong, where that is likelier than that none is."""
    odds = np.nan_to_num(suspicion(tested.innovation, tested.prior, tested.noise), nan=-np.inf)
    worst = int(np.argmax(odds))
    return judged[worst] if odds[worst] > np.log(LIKELIER) else None


def _without(
    weighed: Weighed, judged: tuple[Judged, ...], suspect: Judged | None
) -> Estimate | None:
    if suspect is None:
        return None
    pairs = zip(weighed.readings, judged, strict=True)
    kept = [reading for reading, one in pairs if one is not suspect]
    if not kept:
        return _own(weighed, weighed.prior)
    rest = condition(weighed.prior, kept)
    if not np.all(np.isfinite(rest.mean)):
        return None
    return _own(weighed, remembering(weighed.prior, kept, rest))


def _unit_hint(weighed: Weighed) -> str | None:
    """Whether the readings would agree if weights, all or one, were in the other unit.

    Linearised at the prior: a posterior pulled by readings in the wrong unit is nowhere near.
    """
    tested = _tested(weighed, weighed.prior)
    weights = np.array([line.reading.dimension == "mass" for line in weighed.lines])
    observed = np.array([reading.value for reading in weighed.readings])
    trials = [("this ticket is", weights)]
    for i in np.flatnonzero(weights):
        one = np.zeros(len(weights), dtype=bool)
        one[i] = True
        trials.append((f"“{weighed.lines[i].name}” is", one))
    for words, which in trials:
        for factor, unit in ((1 / POUND, "kg"), (POUND, "lb")):
            moved = tested.innovation + np.where(which, observed * (factor - 1.0), 0.0)
            if chi_square_chance(float(moved @ tested.weight @ moved), len(moved)) > 0.05:
                return f"these agree if {words} in {unit}"
    return _one_in_other_unit(weighed, tested, observed, weights)


def _one_in_other_unit(
    weighed: Weighed, tested: _Tested, observed: Array, weights: Array
) -> str | None:
    """Whether the reading furthest off would fit the others in the other unit, though these have
    faults of their own; only where the others say what it should read to a tenth."""
    root = np.sqrt(np.diag(tested.weight))
    off = np.where(weights, tested.weight @ tested.innovation / root, 0.0)
    i = int(np.argmax(np.abs(off)))
    if abs(off[i]) < GROSS or 1.0 / root[i] > 0.1 * abs(observed[i]):
        return None
    for factor, unit in ((1 / POUND, "kg"), (POUND, "lb")):
        left = abs(off[i] + root[i] * observed[i] * (factor - 1.0))
        if left < max(GROSS, NEARLY * abs(off[i])):
            return f"“{weighed.lines[i].name}” would fit the others in {unit}"
    return None
