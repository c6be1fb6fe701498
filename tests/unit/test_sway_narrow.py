"""What would narrow damping: the kernel by the closed form, the looks by really looking."""

from typing import Any

import numpy as np
import pytest

from steelyard.estimate import Reading, Values, condition
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.quantity import GRAVITY, Z95
from steelyard.rig import Rig
from steelyard.scene import opened
from steelyard.statics.loads import loads
from steelyard.swaying.narrow import Look, left, narrowings
from steelyard.swaying.stage_sway import sway
from steelyard.words.fitted import LOOKS, narrowed_line, narrowed_lines

SPEED = 100 / 3.6


def bare(stages: Any = None, **trailer: Any) -> Rig:
    """A truck and a camper, empty, of which the label's rating is known, and what a tape reads."""
    data: dict[str, Any] = {
        "everything_listed": True,
        "vehicle": {"class": "half-ton-crew-cab"},
        "trailer": {"style": "rear-living", "gvwr": "7000 lb", **trailer},
        "stages": stages or {},
    }
    return Rig.model_validate(data)


def half(rig: Rig, estimate: Any = None) -> float:
    """Half-width of damping at 100 km/h."""
    band = sway(rig, estimate, speeds=())[0].at_damping
    return float(band.high - band.low) / 2.0


def test_what_is_left_is_the_conditional_variance_of_normal_numbers() -> None:
    """y = 3a + 2b + c of variances 1: a read with noise 0.5 leaves 14 - 9/1.25 of 14; a and b read
    without any leave 1 of 14 (textbook: the variance of y given x is S_yy - S_yx S_xx^-1 S_xy)."""
    a, b, c = np.random.default_rng(0).standard_normal((3, 40_000))
    y = 3 * a + 2 * b + c
    one = left(y, np.array([a]), np.array([0.5]))
    both = left(y, np.array([a, b]), np.array([0.0, 0.0]))
    assert one == pytest.approx((14 - 9 / 1.25) / 14, abs=0.01)
    assert both == pytest.approx(1 / 14, abs=0.003)


def test_units_and_the_same_thing_twice_change_nothing_much() -> None:
    """A reading in mm leaves what one in m does; two of one thing leave what their mean does."""
    a, b = np.random.default_rng(0).standard_normal((2, 20_000))
    y = a + b
    once = left(y, np.array([a]), np.array([0.3]))
    assert left(y, np.array([1e3 * a]), np.array([300.0])) == pytest.approx(once, rel=1e-9)
    twice = left(y, np.array([a, a]), np.array([0.3, 0.3]))
    mean = left(y, np.array([a]), np.array([0.3 / np.sqrt(2)]))
    assert twice == pytest.approx(mean, rel=1e-3)


def test_noise_tells_nothing_and_what_does_not_vary_neither() -> None:
    """Forty columns of noise leave all there was, spurious fit taken off; so does a constant."""
    noise = np.random.default_rng(0).standard_normal((41, 2000))
    assert left(noise[0], noise[1:], np.zeros(40)) == pytest.approx(1.0, abs=0.03)
    assert left(noise[0], np.full((1, 2000), 7.0), np.zeros(1)) == 1.0


def test_draws_without_weight_do_not_count() -> None:
    """Weights of nought and one are the same as fewer draws, but for the spurious fit."""
    a, b = np.random.default_rng(0).standard_normal((2, 20_000))
    w = (np.arange(20_000) < 8000).astype(float)
    some = left((a + b)[:8000], np.array([a[:8000]]), np.array([0.1]))
    assert left(a + b, np.array([a]), np.array([0.1]), w) == pytest.approx(some, rel=1e-9)


def test_a_tape_narrows_as_foretold() -> None:
    """The box taped, in the file: damping is as wide as was foretold, to 4 %."""
    found = narrowings(bare())
    foretold = {one.look: one.half for one in found.looks}["trailer lengths"]
    v = opened(bare(), draws=1).estimate.at_mean()
    tape = {key: f"{float(v[f'trailer.{key}']):.4f} m" for key in ("box_start", "box_length")}
    taped = half(bare(**tape))
    assert found.half == pytest.approx(half(bare()), rel=1e-6)
    assert taped < found.half
    assert taped == pytest.approx(foretold, rel=0.04)


@pytest.mark.parametrize("open_at", ["out", "home"])
def test_levels_are_those_of_the_stage(open_at: str) -> None:
    """A tank far back, full at one stage and unsaid at the other: a look at its level narrows
    damping where it is unsaid, and not at the stage where it is full."""
    tank = {"content": "fresh", "capacity": "300 L", "station": "7 m"}
    stages = {
        key: {} if key == open_at else {"tanks": {"fresh": "full"}} for key in ("out", "home")
    }
    found = narrowings(bare(tanks={"fresh": tank}, stages=stages))
    assert found.stage == "out"
    assert ("levels" in [one.look for one in found.looks]) is (open_at == "out")


def test_a_scale_narrows_as_foretold() -> None:
    """Tongue, front, rear and trailer axles read to 20 lb, conditioned on: as foretold, to 6 %."""
    rig = bare()
    found = narrowings(rig)
    foretold = {one.look: one.half for one in found.looks}["scale"]
    scene = opened(rig, draws=1)

    def read(key: str) -> Reading:
        def predict(v: Values) -> Any:
            one = loads(scene.rig, v, scene.stages)
            axles = np.sum(one.trailer_axles, axis=0)
            return {"tongue": one.tongue, "front": one.front, "rear": one.rear}.get(key, axles)[0]

        seen = predict(scene.estimate.at_mean())
        sd = 20 * 0.45359237 * GRAVITY / Z95
        return Reading(name=key, predict=predict, value=float(np.ravel(seen)[0]), sd=sd)

    after = condition(scene.estimate, [read(key) for key in ("tongue", "front", "rear", "axles")])
    assert half(rig, after) == pytest.approx(foretold, rel=0.06)


def test_looks_are_ranked_and_together_they_leave_least() -> None:
    """Best first; all together leave no more than the best; what nothing sees still narrows."""
    for name in ("camper", "observatory", "tractor"):
        found = narrowings(parse_rig(demo_rigs()[f"perihelion-{name}.toml"]))
        halves = [one.half for one in found.looks]
        assert halves == sorted(halves)
        assert all(x < found.half for x in halves)
        assert found.together <= min(halves, default=found.half) * 1.005
        assert set(found.idle).isdisjoint({one.look for one in found.looks})
        assert found.unseen


def test_every_look_has_words_and_the_answer_says_so() -> None:
    """First the two that narrow most; where none does, that nothing at hand does."""
    assert set(LOOKS) == set(Look.__args__)  # type: ignore[attr-defined]
    rig = parse_rig(demo_rigs()["perihelion-observatory.toml"])
    found = narrowings(rig)
    line = narrowed_line(found, "us")
    assert line.startswith("The damping ratio at 62 mph is known to ± 0.1")
    first = found.looks[0]
    assert f"{LOOKS[first.look]} (to ± {first.half:.2f})" in line
    lines = list(narrowed_lines(found, "us"))
    assert {f"{n}. {LOOKS[x.look]}: to ± {x.half:.3f}" for n, x in enumerate(found.looks, 1)} < {
        *lines
    }
    assert f"All of these together: to ± {found.together:.3f}." in lines
    camper = narrowings(parse_rig(demo_rigs()["perihelion-camper.toml"]))
    assert "no tape, gauge or scale narrows that by much" in narrowed_line(camper, "us")
    ends = [line.rpartition("± ")[2] for line in narrowed_lines(camper, "us") if line[0] == "-"]
    assert ends == [f"{one.half:.3f}" for one in camper.unseen]
    assert ends
