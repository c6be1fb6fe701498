"""What no load mends stops no plan: the rest is mended beside it, and it is told by its chance."""

from typing import Any

import pytest
from benchmarks.cargo import facts
from tests.differential.rigs import rig as random_rig

from steelyard.ratings import TIGHT
from steelyard.rig import Rig
from steelyard.stowing.question import Wish
from steelyard.stowing.station import footings, sliding
from steelyard.stowing.stow import Stowed, stow
from steelyard.words.stowed import cure_words, plan_verdict

QUICK = Wish(draws=512)


def table(gvwr: float) -> dict[str, Any]:
    """A rig of eight things whose trailer, of unsure empty weight, is rated so many lb."""
    data = facts(8, 5, 1, 3)
    data["trailer"]["empty"]["weight"] = {"value": "5600 lb +- 500 lb", "basis": "stated"}
    data["trailer"]["gvwr"] = f"{gvwr:.0f} lb"
    return data


def found(gvwr: float) -> Stowed:
    """The plan of such a rig."""
    return stow(Rig.model_validate(table(gvwr)), wish=QUICK)


def chance(answer: Stowed, *, then: bool) -> float:
    """Chance that the trailer's own rating does not hold, now or by the plan."""
    assert answer.found is not None
    stages = (answer.found.assessment if then else answer.before).stages
    return max(one.chance for s in stages for one in s.limits if one.name == "trailer.gvwr")


@pytest.mark.parametrize("gvwr", [5900, 6100, 6700])
def test_a_rating_that_no_load_mends_stops_no_plan(gvwr: float) -> None:
    """Everything has a place, all else holds as surely as asked, the rating gets no worse, and the
    verdict tells how it stands with nothing aboard."""
    answer = found(gvwr)
    assert answer.found is not None
    assert "trailer GVWR" in [one.title for one in answer.unmended]
    assert chance(answer, then=True) <= chance(answer, then=False) + 0.01
    assert answer.left == () or answer.weigh
    if not answer.weigh:
        for stage in answer.found.assessment.stages:
            for one in stage.limits:
                beside = one.title in [known.title for known in answer.unmended]
                assert beside or one.verdict == "unknown" or one.chance < TIGHT
    assert "with nothing aboard" in plan_verdict(answer)


@pytest.mark.parametrize("gvwr", [5900, 6700])
def test_what_can_be_mended_is_beside_it(gvwr: float) -> None:
    """Moves mend what is wrong besides, as surely as asked, and are not said to mend the rating."""
    answer = found(gvwr)
    assert answer.cure is not None
    assert answer.cure.moves
    known = {one.title for one in answer.cure.unmended}
    assert known == {"trailer GVWR"}
    mended = set(answer.wrong) - known
    assert mended
    for stage in answer.cure.found.assessment.stages:
        assert all(one.chance < TIGHT for one in stage.limits if one.title in mended)
    assert "mends trailer GVWR" not in cure_words(answer, "us")


def test_a_thing_slides_where_no_rating_is_known() -> None:
    """Nothing but the share decides where it stands: found without a limit to keep."""
    rig = Rig.model_validate(random_rig(20))
    (name,) = sliding(rig)
    assert footings(rig, name)[0].share
