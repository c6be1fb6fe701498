"""What was felt as a reading of damping: soft, censored, perhaps wrong.

What a person tells is no number. "It swung and was gone in two or three swings" means that the
damping ratio lay somewhere about a value; "steady for an hour", that it was hardly below one;
"swayed", that it was hardly above. Each draw of the rig is weighed by how likely it would have been
told of (importance weights: Kahn & Marshall, J. Oper. Res. Soc. Am. 1 (1953) 263-278, from memory).
What is told may be wrong, with a chance of its own; then it says nothing and the draws stay as they
were.

A reading may lower any speed and any damping. It raises none beyond the speed it was felt at, and
none with another load: nobody was there.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Final

import numpy as np
from numpy.typing import NDArray

from steelyard.estimate import Array, Values
from steelyard.estimate.tails import normal_below
from steelyard.fault import FaultError
from steelyard.quantity import Z95, reported
from steelyard.rig import Felt
from steelyard.rig.felt import What
from steelyard.scene import Opening
from steelyard.statics.loads import loads
from steelyard.swaying.linear.combination import taken
from steelyard.swaying.linear.rig import combination
from steelyard.swaying.linear.search import across
from steelyard.swaying.recordings.update import RATIO_OFF
from steelyard.travel import plan_stages

GONE: Final = math.log(10.0)
"""A swing is called gone at a tenth of its first size: assumed."""
GONE_OFF: Final = 0.23
"""Spread (sd of the log) of that: between a quarter and a thirtieth in 95 of 100, assumed."""
FELT: Final = 0.05
"""Damping ratio under which half of all people would call it sway: assumed; the limit of practice,
from memory."""
FELT_OFF: Final = 0.04
"""Spread (sd) of that from one person and road to another: assumed."""
QUIET: Final = 15 * 60.0
"""s: how long on average nothing comes that would set a trailer swinging (gusts, trucks, steps in
the road): assumed."""
WRONG: Final = 0.05
"""Chance that what is told was otherwise, where nobody says: assumed."""
ABSURD: Final = 1e-3
"""Chance under which what is told contradicts the physics of the rig as it is described."""
_cdf: Final = np.frompyfunc(normal_below, 1, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Telling:
    """One reading as it bears on the draws: its name, what was told, at which speed, m/s, at which
    stage; whether it `counts` (not from before the rig was as it is now), the chance that the draws
    gave it beforehand, and that it is wrong; damping ratio of the draws there, and the chance of
    each that an honest person tells this, (n,)."""

    name: str
    what: What
    swings: str | None
    speed: Annotated[float, reported.SPEED]
    stage: str
    counts: bool
    foreseen: float
    wrong: float
    ratio: Annotated[Array, reported.UNREPORTED]
    honest: Annotated[Array, reported.UNREPORTED]


def normal(z: Array) -> Array:
    """Chance that a standard normal number is below z."""
    return np.asarray(_cdf(z), dtype=float)


def gone_after(ratio: Array) -> Array:
    """Swings, to and fro, in which a swing falls to a tenth: ln 10 sqrt(1 - D^2)/(2 pi D); inf
    where it does not."""
    D = np.clip(ratio, 1e-9, 1.0 - 1e-9)
    return np.where(ratio > 0, GONE * np.sqrt(1.0 - D**2) / (2.0 * np.pi * D), np.inf)


def settled_chance(ratio: Array, fewest: int, most: int) -> Array:
    """Chance of telling so many swings until it was gone, from damping ratios: what is counted is
    rounded, what is called gone differs, and so does a real rig from the linear model."""
    D = np.maximum(ratio, 1e-9)
    spread = np.sqrt(GONE_OFF**2 + (RATIO_OFF / Z95 / D) ** 2)
    centre = np.log(np.minimum(gone_after(D), 1e9))
    high = normal((math.log(most + 0.5) - centre) / spread)
    low = normal((math.log(fewest - 0.5) - centre) / spread) if fewest else 0.0
    return np.where(ratio > 0, high - low, 0.0)


def swayed_chance(ratio: Array) -> Array:
    """Chance of calling it sway, from damping ratios."""
    spread = math.hypot(FELT_OFF, RATIO_OFF / Z95)
    return normal((FELT - ratio) / spread)


def steady_chance(ratio: Array, lasting: float) -> Array:
    """Chance of calling it steady for so long, s: something came by, and it was not called sway."""
    met = 1.0 - math.exp(-lasting / QUIET)
    return 1.0 - met * swayed_chance(ratio)


def chance_of(one: Felt, ratio: Array) -> Array:
    """Chance of what an honest person told, from damping ratios at its speed."""
    if one.what == "settled":
        return settled_chance(ratio, *one.counted)
    if one.what == "steady":
        return steady_chance(ratio, one.seconds)
    return swayed_chance(ratio)


def weighed(honest: Array, wrong: float) -> Array:
    """Weights of mean 1 from chances (n,): as the honest would have it, but for the share in which
    it is wrong, where the draws stay as they are."""
    return np.asarray((1.0 - wrong) * honest / np.mean(honest) + wrong)


def tellings(scene: Opening, columns: NDArray[np.intp]) -> Iterator[Telling]:
    """Every reading of the rig at the draws of these columns, the best estimate being the first.

    Raises FaultError for one that contradicts the physics.
    """
    rig = scene.rig
    for name, one in rig.felt.items():
        plans = {plan.key: plan for plan in plan_stages(rig)}
        plan = plans[one.stage] if one.stage else next(iter(plans.values()))
        v = _at(scene.values, columns)
        whole = combination(rig, v, loads(rig, v, (plan,)))
        ratio = across(taken(whole, (0, slice(1, None))), np.array([one.speed.value])).ratio[:, 0]
        honest = chance_of(one, ratio)
        telling = Telling(
            name=name,
            what=one.what,
            swings=one.swings,
            speed=one.speed.value,
            stage=plan.key,
            counts=not (rig.since and one.date and one.date < rig.since),
            foreseen=float(np.mean(honest)),
            wrong=WRONG if one.wrong is None else one.wrong.value,
            ratio=ratio,
            honest=honest,
        )
        if telling.counts:
            _possible(one, telling)
        yield telling


def weights(told: tuple[Telling, ...]) -> Array | None:
    """Weights (n,) of the draws by all readings that count, taken as independent; None of none."""
    found = [weighed(one.honest, one.wrong) for one in told if one.counts]
    return np.asarray(np.prod(found, axis=0)) if found else None


def driven(told: tuple[Telling, ...], stage: str) -> float:
    """The fastest at which this load was driven and held its own, m/s; 0 where none was."""
    held = (one for one in told if one.counts and one.what != "swayed" and one.stage == stage)
    return max((one.speed for one in held), default=0.0)


def _at(values: Values, columns: NDArray[np.intp]) -> dict[str, Array]:
    return {name: x[columns] if np.ndim(x) else x for name, x in values.items()}


def _possible(one: Felt, told: Telling) -> None:
    if told.foreseen >= ABSURD:
        return
    low, high = np.quantile(told.ratio, (0.025, 0.975))
    raise FaultError(
        path=("felt", told.name),
        due=f"something that this rig can do at {one.speed.text}, where its damping ratio is"
        f" {low:z.2f} to {high:z.2f}",
        found=f'"{told.what}"' + (f" in {one.swings} swings" if one.swings else ""),
        hint="what was felt stands: look at the stage, the weights and the tyres in the file,"
        " and drive no faster than was calm",
    )
