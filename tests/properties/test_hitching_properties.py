"""What must hold of every fitting: a drop lowers by itself, and bars give more the tighter."""

from itertools import pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.rigs import exact, one, plain, solved

from steelyard.hitching.fit import fit
from steelyard.rig import Rig


def dropped(drop: float) -> Rig:
    """A rig whose receiver and ball mount are stated."""
    stated = plain().model_dump(exclude_none=True, by_alias=True)
    stated["hitch"]["receiver"] = {"height": exact(0.55, "m")}
    stated["hitch"]["ball"] = {"rise": exact(0.07, "m")}
    stated["hitch"]["ball_mount"] = {"weight": exact(0.0, "kg"), "drop": exact(drop, "m")}
    del stated["hitch"]["ball_height"]
    return Rig.model_validate(stated)


@given(
    sizes=st.lists(st.floats(-0.15, 0.25), min_size=2, max_size=6, unique=True),
    present=st.floats(-0.1, 0.2),
)
@settings(max_examples=25, deadline=None)
def test_more_drop_is_a_lower_ball(sizes: list[float], present: float) -> None:
    """Unladen, a ball stands lower by just the drop, whatever mount is on now; laden it follows."""
    found = fit(dropped(present), steps=tuple(sorted(sizes)), draws=4).height
    steps = [step for step in found.steps if not step.present]
    for step in steps:
        assert step.drop is not None
        assert abs(step.ball.value - (0.62 - step.drop)) < 1e-12
    for low, high in pairwise(steps):
        assert low.drop is not None
        assert high.drop is not None
        if high.drop - low.drop > 1e-6:
            assert high.driven[0].value < low.driven[0].value
            assert high.nose[0].value < low.nose[0].value


@given(presets=st.lists(st.floats(-0.05, 0.2), min_size=2, max_size=5))
@settings(max_examples=25, deadline=None)
def test_restored_share_grows_with_preset(presets: list[float]) -> None:
    """Tighter bars never give back less of the front load."""
    rig = plain(bars={"arm": 0.7, "tip_rate": 60e3, "preset": 0.0})
    shares = [one(solved(rig, hitch__bars__preset=p).restoration) for p in sorted(presets)]
    assert bool(np.all(np.diff(shares) >= -1e-12))


@given(share=st.floats(0.0, 1.0))
@settings(max_examples=15, deadline=None)
def test_share_asked_is_share_given(share: float) -> None:
    """Bars set to a share give it at the stage at which they are set."""
    rig = plain(bars={"arm": 0.7, "tip_rate": 60e3, "restoration": 0.5})
    bars = fit(rig, restore=share, draws=4).bars
    assert bars is not None
    assert abs(bars.restored[bars.set_stage].value - share) < 1e-9
