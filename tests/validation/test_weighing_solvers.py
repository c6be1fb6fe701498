"""The reconciliation against general solvers and a probabilistic library.

Sources: SciPy's `least_squares` on the stacked residual (a trust region, by a Jacobian of this
file's own); filterpy's Kalman filter, an independent implementation of Kalman, J. Basic Eng. 82
(1960) 35-45; SciPy's chi-square and normal distributions.
"""

import numpy as np
import pytest
from filterpy.kalman import KalmanFilter
from scipy.optimize import brentq, least_squares
from scipy.stats import chi2, norm
from tests import weighings

from steelyard.estimate import Array, Estimate, Reading, condition, propagate
from steelyard.estimate.tails import chi_square_chance, normal_below
from steelyard.weighing.laid_ticket import Weighed, lay
from steelyard.weighing.reconcile import judge
from steelyard.weighing.ticket import Ticket

ALONE = weighings.ticket(
    {
        "coupled": {"readings": [weighings.hitch_scale(), weighings.platform("all")]},
        "jack": {
            "arrangement": "trailer-alone",
            "readings": [
                {"kind": "tongue-scale", "station": "0.45 m", "weight": "300 kg"},
                weighings.platform("trailer"),
            ],
        },
    }
)
TAPE = weighings.ticket(
    {
        "on": {
            "bars": "on",
            "readings": [
                weighings.fender("front"),
                weighings.fender("rear"),
                weighings.hitch_scale("ball"),
                weighings.platform("rear", "trailer"),
            ],
        },
        "alone": {
            "arrangement": "vehicle-alone",
            "readings": [weighings.fender("front"), weighings.fender("rear")],
        },
    }
)


def whitened(weighed: Weighed) -> Array:
    """L with L Lᵀ the prior's covariance."""
    cov = weighed.prior.cov
    size = np.sqrt(np.diag(cov))
    return np.asarray(size[:, None] * np.linalg.cholesky(cov / np.outer(size, size)))


def solved(weighed: Weighed) -> Array:
    """The parameters by SciPy: least squares of the whitened prior and the readings together."""
    root, sd = whitened(weighed), np.array([one.sd for one in weighed.readings])
    read = np.array([one.value for one in weighed.readings])
    p = len(root)

    def shown(z: Array) -> Array:
        points = weighed.prior.mean + z @ root.T
        seen = weighings.shown(weighed, weighed.prior.values(points))
        return np.asarray((seen - read[:, None]) / sd[:, None])

    def slopes(z: Array) -> Array:
        step = 1e-3
        both = shown(np.concatenate([z + step * np.eye(p), z - step * np.eye(p)]))
        return np.concatenate([np.eye(p), (both[:, :p] - both[:, p:]) / (2 * step)])

    found = least_squares(
        lambda z: np.concatenate([z, shown(z[None])[:, 0]]),
        np.zeros(p),
        jac=slopes,
        xtol=1e-14,
        ftol=1e-15,
        gtol=1e-12,
        max_nfev=60,
    )
    return np.asarray(weighed.prior.mean + root @ found.x)


@pytest.mark.parametrize(
    ("name", "ticket"),
    [("camper", weighings.three_passes("leave")), ("boat", ALONE), ("cargo", TAPE)],
    ids=["pads", "jack", "tape"],
)
def test_least_squares(name: str, ticket: Ticket) -> None:
    """Every parameter as a general solver finds it, to 1e-6 of its posterior sd."""
    laid = lay(weighings.rig(name), ticket)
    _, seen = weighings.truths(laid, 2, seed=3)
    weighed = weighings.reading(laid, seen[:, 0])
    found = judge(weighed).full
    assert (solved(weighed) - found.mean) / found.sd == pytest.approx(0, abs=1e-6)


class TestLinearTicket:
    """Three passes over one pad row as a linear system: kg."""

    NAMES = ("front", "rear", "tongue", "trailer", "bars")
    PRIOR = np.array([1500.0, 1300.0, 350.0, 2900.0, 60.0])
    ROWS = np.array(
        [
            [1, 0, 0, 0, 0],
            [0, 1, 0, 0, 0],
            [1, 0, -0.4, 0, 0],
            [0, 1, 1.4, 0, 0],
            [0, 0, -1, 1, 0],
            [1, 0, -0.4, 0, 1.0],
            [0, 1, 1.4, 0, -1.7],
            [0, 0, -1, 1, 0.7],
            [0, 0, 1, 0, 0],
        ]
    )
    READ = np.array([1490.0, 1310, 1345, 1800, 2610, 1402, 1700, 2655, 342])
    SD = np.array([5.0] * 8 + [9.0])

    def _prior(self) -> Estimate:
        sd = np.array([80.0, 90.0, 90.0, 200.0, 30.0])
        correlation = np.eye(5)
        correlation[0, 1] = correlation[1, 0] = 0.3
        correlation[2, 3] = correlation[3, 2] = 0.6
        return Estimate(
            names=self.NAMES,
            scales=("linear",) * 5,
            mean=self.PRIOR,
            cov=correlation * np.outer(sd, sd),
            constants={},
        )

    def _readings(self) -> list[Reading]:
        return [
            Reading(
                name=str(i),
                predict=lambda v, row=row: sum(  # type: ignore[misc]
                    a * v[name] for a, name in zip(row, self.NAMES, strict=True)
                ),
                value=float(y),
                sd=float(sd),
            )
            for i, (row, y, sd) in enumerate(zip(self.ROWS, self.READ, self.SD, strict=True))
        ]

    def test_kalman_filter(self) -> None:
        """Mean and covariance as a Kalman filter's update gives them, to 1e-6 of an sd."""
        prior = self._prior()
        theirs = KalmanFilter(dim_x=5, dim_z=9)
        theirs.x, theirs.P = prior.mean.copy(), prior.cov.copy()
        theirs.H, theirs.R = self.ROWS, np.diag(self.SD**2)
        theirs.update(self.READ)
        ours = condition(prior, self._readings())
        assert (ours.mean - theirs.x) / ours.sd == pytest.approx(0, abs=1e-6)
        assert (ours.cov - theirs.P) / np.outer(ours.sd, ours.sd) == pytest.approx(0, abs=1e-6)

    def test_one_by_one(self) -> None:
        """Readings taken one after the other, in any order, end where all together do."""
        theirs = KalmanFilter(dim_x=5, dim_z=1)
        theirs.x, theirs.P = self._prior().mean.copy(), self._prior().cov.copy()
        ours = self._prior()
        for i in (8, 2, 5, 0, 7, 1, 6, 3, 4):
            ours = condition(ours, [self._readings()[i]])
            theirs.update(self.READ[i], R=self.SD[i] ** 2, H=self.ROWS[i : i + 1])
        assert (ours.mean - theirs.x) / ours.sd == pytest.approx(0, abs=1e-6)
        whole = condition(self._prior(), self._readings())
        assert (ours.mean - whole.mean) / whole.sd == pytest.approx(0, abs=1e-6)


def test_leaving_out_one_by_one() -> None:
    """What each reading is told to be wrong by is what truly leaving it out gives, and its sd.

    To 5 % of the sd: the quick way keeps the slopes of the whole solution, where a rig bends.
    """
    laid = lay(weighings.rig("camper"), weighings.three_passes("leave"))
    weighed = weighings.reading(laid, weighings.truths(laid, 2, seed=3)[1][:, 0])
    readings = list(weighed.readings)
    for i, one in enumerate(judge(weighed).readings):
        rest = condition(weighed.prior, [r for j, r in enumerate(readings) if j != i])
        told = propagate(rest, readings[i].predict)
        spread = float(np.hypot(np.ravel(told.sd)[0], readings[i].sd))
        error = readings[i].value - float(np.ravel(told.mean)[0])
        assert one.error == pytest.approx(error, abs=0.05 * spread)
        assert one.error_sd == pytest.approx(spread, rel=0.05)


@pytest.mark.parametrize("degrees", range(1, 41))
def test_chi_square(degrees: int) -> None:
    """The closed form is SciPy's tail to 1e-12, and to 1e-9 of itself far out."""
    x = np.concatenate([np.linspace(0, 4 * degrees, 60), [10 * degrees, 1e3, 1e5]])
    ours = [chi_square_chance(float(one), degrees) for one in x]
    theirs = chi2.sf(x, degrees)
    assert ours == pytest.approx(theirs, abs=1e-12)
    assert ours == pytest.approx(theirs, rel=1e-9, abs=1e-300)


def test_normal() -> None:
    """The normal distribution is SciPy's, in its far tail too."""
    z = np.linspace(-30, 8, 400)
    ours = [normal_below(float(one)) for one in z]
    assert ours == pytest.approx(norm.cdf(z), rel=1e-11)


def test_detectable() -> None:
    """An error of the detectable size, less a quarter for what nobody knows of the file, has one
    reading of m named 95 times in 100: where it is 1.1 m times likelier as a draw from a normal
    six sd wide and its own than as a draw from its own (the Bayes factor of a normal mean, by
    scipy's densities).
    """
    laid = lay(weighings.rig("boat"), ALONE)
    found = judge(weighings.reading(laid, weighings.truths(laid, 2, seed=3)[1][:, 0])).readings
    one, most = found[0], 1.1 * len(found)
    wide = float(np.sqrt(1 + 6.0**2))
    edge = brentq(lambda w: norm.logpdf(w, 0, wide) - norm.logpdf(w) - np.log(most), 0, 40)
    assert norm.sf(edge - one.detectable / one.error_sd / 1.25) == pytest.approx(0.95, abs=1e-6)
