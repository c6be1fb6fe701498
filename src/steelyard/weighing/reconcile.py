"""Readings into a belief one can trust: posterior, tests, and the reading that does not belong."""

from dataclasses import dataclass, replace
from typing import Annotated, Final

import numpy as np

from steelyard.estimate import Estimate, condition, marginal, remembering
from steelyard.fault import Fault
from steelyard.quantity import reported
from steelyard.rig import Rig
from steelyard.weighing.agreement import Agreement, apart
from steelyard.weighing.laid_ticket import Weighed, lay
from steelyard.weighing.mistakes import doubted, got_out, mistakes
from steelyard.weighing.pass_differences import stepped
from steelyard.weighing.tested import LIKELIER, Tested, far, linearised, suspicion
from steelyard.weighing.ticket import Ticket

POWER: Final = 1.6448536269514722
"""Normal quantile of 0.95: with `far` it gives the smallest error found 95 times in 100, were it
known how wide the file is."""
UNKNOWN: Final = 1.25
"""Times as large that it must be where that is not known (measured)."""
FAR: Final = 5.0
"""Times the scales' errors by which readings miss each other, on the whole, that are no rig's."""
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


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reconciled:
    """A ticket reconciled with its rig.

    posterior: the rig's own parameters (the prior's where no rig could give such readings); full:
    the ticket's too; whole: all readings against the prior, which falls into what they are `among`
    themselves and against the `file`; suspect: the reading that does not belong, if any does not,
    and `without` the posterior with it left out, against which its error is told; slips: what may
    have been written down wrong, which is to be asked first;
    wider: times as large as the scales' that errors are believed to be, 1 where nothing clashes;
    out: who may not have been aboard, where that explains what does not agree.
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
    slips: tuple[Fault, ...]
    wider: float
    out: tuple[str, ...] = ()

    @property
    def agrees(self) -> bool:
        """Whether the readings agree with each other, whatever the rig file says."""
        return self.among.holds

    @property
    def sound(self) -> bool:
        """Whether they agree with each other and with the file, and nothing is asked of them."""
        return self.among.holds and self.file.holds and not self.slips


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

    Readings are tested as they stand, those that no slip is asked of beside those as wide as that
    would have moved them; what is believed has the steps between passes apart, and
    leaves readings that clash, or of which a slip is asked, as wide as they are off.
    """
    first = linearised(weighed, weighed.prior.mean)
    slips = mistakes(weighed, first)
    asked = doubted(weighed, slips)
    look = _looked(asked, first)
    test = look.test if asked is weighed else linearised(weighed, look.full.mean)
    among, file = _apart(weighed, look.full, test)
    judged = _judged(weighed, look.full, test)
    if slips:
        judged = _beside_asked(weighed, asked, look.full)
    suspect = _suspect(judged, test)
    rest = None if slips else _without(weighed, judged, suspect)
    if suspect is not None and rest is not None:
        at = judged.index(suspect)
        suspect = _refit(weighed, suspect, at, rest)
        judged = (*judged[:at], suspect, *judged[at + 1 :])
    held = _held(look)
    return Reconciled(
        weighed=held.told,
        posterior=_own(held.told, held.full),
        full=held.full,
        whole=Agreement(chi_square=test.misfit(), degrees=len(judged)),
        among=among,
        file=file,
        readings=judged,
        suspect=suspect,
        without=None if rest is None else _own(weighed, rest),
        slips=tuple(slip.fault for slip in slips),
        wider=held.wider,
        out=() if slips else got_out(weighed, first),
    )


@dataclass(frozen=True, kw_only=True)
class _Looked:
    """The ticket with errors `wider` times as large, the belief with it, the readings as they stand
    linearised there."""

    told: Weighed
    wider: float
    full: Estimate
    test: Tested


def _looked(weighed: Weighed, first: Tested) -> _Looked:
    """As they stand; but where they clash wherever the rig is near its file, with errors as large
    as the largest miss: what explains them to the end is a rig that nobody has.

    first: linearised at the prior.
    """
    noise = np.diag([reading.sd**2 for reading in weighed.readings])
    far = float(np.max(np.abs(replace(first, noise=noise).off)))
    if far > FAR:
        mild = _solved(weighed, far)
        if _apart(weighed, mild.full, mild.test)[0].ratio > FAR:
            return mild
    return _solved(weighed, 1.0)


def _held(look: _Looked) -> _Looked:
    """What is believed: steps between passes apart, and errors as large as the largest miss where
    readings clash all the same."""
    told = stepped(look.told)
    one = look if told is look.told else replace(_solved(told, 1.0), wider=look.wider)
    if one.wider > 1.0 or _apart(told, one.full, one.test)[0].holds:
        return one
    return _solved(told, float(np.max(np.abs(one.test.off))))


def _solved(weighed: Weighed, wider: float) -> _Looked:
    told = widened(weighed, wider)
    full = _given(told)
    return _Looked(told=told, wider=wider, full=full, test=linearised(weighed, full.mean))


def widened(weighed: Weighed, wider: float) -> Weighed:
    """The ticket with its errors so many times as large."""
    if not 1.0 < wider < np.inf:
        return weighed
    readings = tuple(replace(one, sd=wider * one.sd) for one in weighed.readings)
    return replace(weighed, readings=readings)


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


def _apart(weighed: Weighed, full: Estimate, test: Tested) -> tuple[Agreement, Agreement]:
    """Agreement among the readings and with the file; the ticket's own parameters, such as a
    scale's slope, are the instruments'."""
    own = np.isin(weighed.prior.names, weighed.own)
    known = np.ix_(own, own)
    file = test.slope[:, own] @ weighed.prior.cov[known] @ test.slope[:, own].T
    spread = test.slope @ weighed.prior.cov @ test.slope.T - file
    noise = spread + np.diag([reading.sd**2 for reading in weighed.readings])
    return apart(full, weighed.readings, test.slope, test.innovation, file, noise)


def _beside_asked(weighed: Weighed, asked: Weighed, full: Estimate) -> tuple[Judged, ...]:
    """Each reading as it stands, against those others that count for something."""
    rows = []
    for one, read in zip(
        _judged(asked, full, linearised(asked, full.mean)), weighed.readings, strict=True
    ):
        own = one.error_sd**2 - one.own_sd**2 + read.sd**2  # what others leave open, and its own
        sd = float(np.sqrt(max(own, read.sd**2)))
        least, off = one.detectable * sd / one.error_sd, one.error / sd
        rows.append(replace(one, own_sd=read.sd, error_sd=sd, detectable=least, standardised=off))
    return tuple(rows)


def _judged(weighed: Weighed, full: Estimate, test: Tested) -> tuple[Judged, ...]:
    pull = test.weight @ test.innovation
    own = np.diag(test.weight)
    error, error_sd = pull / own, 1.0 / np.sqrt(own)
    likeness = test.weight / np.sqrt(np.outer(own, own))
    spread = np.sqrt(np.einsum("ij,jk,ik->i", test.slope, full.cov, test.slope))
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
                predicted=float(test.predicted[i]),
                sd=float(spread[i]),
                standardised=float(error[i] / error_sd[i]),
                error=float(error[i]),
                error_sd=float(error_sd[i]),
                detectable=float(least * error_sd[i]),
                alike=tuple(alike),
            )
        )
    return tuple(rows)


def _suspect(judged: tuple[Judged, ...], test: Tested) -> Judged | None:
    """The reading that is likeliest wrong, where that is likelier than that none is."""
    odds = np.nan_to_num(suspicion(test.innovation, test.prior, test.noise), nan=-np.inf)
    worst = int(np.argmax(odds))
    return judged[worst] if odds[worst] > np.log(LIKELIER) else None


def _without(
    weighed: Weighed, judged: tuple[Judged, ...], suspect: Judged | None
) -> Estimate | None:
    """The belief with all readings but the suspect, if there is one and a rig could give them."""
    if suspect is None:
        return None
    pairs = zip(weighed.readings, judged, strict=True)
    kept = [reading for reading, one in pairs if one is not suspect]
    if not kept:
        return weighed.prior
    rest = condition(weighed.prior, kept)
    return remembering(weighed.prior, kept, rest) if np.all(np.isfinite(rest.mean)) else None


def _refit(weighed: Weighed, suspect: Judged, at: int, rest: Estimate) -> Judged:
    """The suspect against the others as they are without it: it has pulled the belief that tests
    are linearised at to where its own error looks larger, or smaller, than it is."""
    there, reading = linearised(weighed, rest.mean), weighed.readings[at]
    slope, error = there.slope[at], float(reading.value - there.predicted[at])
    sd = float(np.sqrt(slope @ rest.cov @ slope + reading.sd**2))
    least = suspect.detectable * sd / suspect.error_sd
    return replace(suspect, error=error, error_sd=sd, standardised=error / sd, detectable=least)
