"""What is drawn of a weighed rig, held to its exact posterior.

Source: the posterior itself, prior times the readings' normal errors: by importance weights
(`tests/weights.py`), and for the hardest case, where cargo as heavy as its trailer is weighed to
20 lb, by a long random walk (`tests/chains.py`) that knows nothing of how draws are made. Asked is
a tenth of the sd and of the mean's place.
"""

import os

import numpy as np
import pytest
from tests import chains, eight, weighings, weights

from steelyard.assessment import assess
from steelyard.estimate import Array, Values, remembered
from steelyard.quantity import GRAVITY, POUND
from steelyard.statics.loads import loads
from steelyard.travel import plan_stages
from steelyard.weighing.reconcile import Reconciled, judge

STUDY = os.environ.get("STEELYARD_STUDY") == "1"
CASES = [
    (name, kind)
    for i, name in enumerate(eight.RIGS)
    for j, kind in enumerate(eight.TICKETS)
    if STUDY or (i + j) % 5 == 1 or (name, kind) == ("box", "parts")
]
"""All forty in the study; each rig with one or two tickets otherwise."""


def weighed(name: str, kind: str) -> Reconciled:
    """The rig with readings of a truth drawn from its prior; the box taken apart as it was read."""
    laid = eight.laid(name, kind)
    if (name, kind) == ("box", "parts"):
        return judge(weighings.reading(laid, eight.SEEN))
    _, seen = weighings.truths(laid, 1, seed=100 + list(eight.RIGS).index(name))
    return judge(weighings.reading(laid, seen[:, 0]))


def carried(found: Reconciled, v: Values) -> Array:
    """Tongue, net, trailer, front, rear and each trailer axle at the first stage, kg, (k, n)."""
    rig = found.weighed.rig
    one = loads(rig, v, plan_stages(rig)[:1])
    rows = (one.tongue, one.net, one.trailer, one.front, one.rear, *one.trailer_axles)
    return np.array([row[0] / GRAVITY for row in np.broadcast_arrays(*rows)])


def told(found: Reconciled) -> Array:
    """The sd of the same as `assess` tells it, (k,)."""
    stage = assess(found.weighed.rig, estimate=found.posterior).stages[0]
    rows = (stage.tongue.weight_kg, stage.tongue.net_kg, stage.trailer_kg)
    return np.array([spread.sd for spread in (*rows, *(axle.weight_kg for axle in stage.axles))])


def test_every_case_has_its_rig_and_ticket() -> None:
    """Every rig and every kind of ticket is looked at, and the box of above among them."""
    assert {name for name, _ in CASES} == set(eight.RIGS)
    assert {kind for _, kind in CASES} == set(eight.TICKETS)
    assert ("box", "parts") in CASES


@pytest.mark.parametrize(("name", "kind"), CASES)
def test_loads_are_the_posteriors(name: str, kind: str) -> None:
    """The sd that `assess` tells of every load, and the draws' mean, are the posterior's; most
    draws count alike, or the weights would prove nothing."""
    found = weighed(name, kind)
    assert found.full.memory is not None
    points, weight = weights.weighted(found.full.memory, 4096, 1)
    assert weights.alike(weight) > 0.8
    drawn = carried(found, found.full.values(points.T))
    mean = drawn @ weight
    sd = np.sqrt(np.square(drawn - mean[:, None]) @ weight)
    assert told(found) / sd == pytest.approx(1.0, abs=0.1)
    assert (drawn.mean(axis=1) - mean) / sd == pytest.approx(0.0, abs=0.1)


def test_the_box_against_a_long_walk() -> None:
    """The random walk says the same of the box, to what a walk of this length can tell: 5 %."""
    found = weighed("box", "parts")
    walkers, steps = (1000, 3000) if STUDY else (400, 1000)
    points = chains.chain(
        found.weighed.prior,
        found.weighed.readings,
        found.full,
        walkers=walkers,
        steps=steps,
        seed=1,
    )
    right = carried(found, found.full.values(points))
    assert told(found) / right.std(axis=1) == pytest.approx(1.0, abs=0.1 if STUDY else 0.15)
    assert found.full.memory is not None
    made = carried(found, found.full.values(remembered(found.full.memory, 4096, 0).T))
    off = (made.mean(axis=1) - right.mean(axis=1)) / right.std(axis=1)
    assert off == pytest.approx(0.0, abs=0.1 if STUDY else 0.15)


def test_the_box_stays_as_weighed() -> None:
    """With its axles weighed to some 20 lb and the tongue at the ball, the whole trailer is known
    to less than 30 lb in what `assess` tells, and is the 5,500 and 680 lb that were weighed."""
    found = weighed("box", "parts")
    trailer = assess(found.weighed.rig, estimate=found.posterior).stages[0].trailer_kg
    assert 1.96 * trailer.sd / POUND < 30
    assert trailer.value / POUND == pytest.approx(6180, abs=40)
