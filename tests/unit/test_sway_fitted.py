"""What is fitted against sway: told, simulated where its friction is stated, credited nowhere."""

from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from tests.combinations import damping_of

from steelyard.cards import card
from steelyard.cli import main
from steelyard.fault import FaultError
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.scene import belief_of
from steelyard.swaying.linear.friction import growing_amplitude
from steelyard.swaying.stage_sway import sway
from steelyard.swaying.time.inputs import steer_impulse
from steelyard.swaying.time.simulate import run
from steelyard.swaying.time.standard_runs import fitted_friction, machine_at
from steelyard.words.fitted import CAM, FRICTION, fitted_line, fitted_lines

CAMPER = demo_rigs()["perihelion-camper.toml"]
BAR = '\n[hitch.sway_control]\nkind = "bar"\n'
MOMENT = 'moment = "200 N m"\n'


def with_electronics(text: str) -> str:
    """The camper with both kinds of electronics."""
    text = text.replace("\n[vehicle]\n", "\n[vehicle]\ntrailer_stability = true\n", 1)
    return text.replace("\n[trailer]\n", "\n[trailer]\nstability_brakes = true\n", 1)


@pytest.mark.parametrize(
    "fitted", [BAR, BAR + MOMENT, BAR.replace("bar", "coupling"), BAR.replace("bar", "cam")]
)
def test_no_number_is_better_for_what_is_fitted(fitted: str) -> None:
    """Sharp & Fernandez 2002: friction is no satisfactory cure; no source gives electronics a
    damping. Every number of the answer is that of the rig without."""
    bare = sway(parse_rig(CAMPER), stages=("back-home",), samples=128)[0]
    some = sway(parse_rig(with_electronics(CAMPER) + fitted), stages=("back-home",), samples=128)[0]
    for one in ("at_damping", "damping", "calm", "understeer"):
        for part in fields(bare.at_damping):
            assert np.array_equal(
                getattr(getattr(bare, one), part.name), getattr(getattr(some, one), part.name)
            )
    assert (bare.wagging, bare.falls, bare.chance_below) == (
        some.wagging,
        some.falls,
        some.chance_below,
    )


def test_stated_friction_works_in_the_runs_and_only_small_swings_gain() -> None:
    """A fifth of the swing gains more damping by the same friction: 4 M/(pi w A) has the size of
    the swing below the line (describing function of Coulomb friction)."""
    rig, bare = parse_rig(CAMPER + BAR + MOMENT), parse_rig(CAMPER)
    v = belief_of(rig).at_mean()

    def damping(one: object, steer: float) -> float:
        built = machine_at(rig if one is rig else bare, v, "back-home")
        trace = run(built, 28.0, steer_impulse(steer), 12.0)
        late = trace.times > 1.0
        return damping_of(trace.times[late], trace.of("angle")[late], peaks=4)[0]

    assert fitted_friction(rig) == pytest.approx(200.0)
    assert machine_at(rig, v, "back-home").friction == pytest.approx(200.0)
    assert machine_at(rig, v, "back-home", 50.0).friction == pytest.approx(50.0)
    small, large = (damping(rig, x) - damping(bare, x) for x in (0.03, 0.15))
    assert small > 2 * large > 0


def test_unstated_friction_is_left_out_of_the_runs() -> None:
    """No source gives a moment to one of its kind: none is assumed."""
    rig = parse_rig(CAMPER + BAR)
    assert machine_at(rig, belief_of(rig).at_mean(), "back-home").friction == 0.0


def test_what_each_can_and_cannot_do_is_told() -> None:
    """Friction: small swings only; electronics: after it began; the swing that a moment holds."""
    rig = parse_rig(with_electronics(CAMPER) + BAR + MOMENT)
    fast = sway(rig, stages=("back-home",), speeds=(), speed=55.0, samples=64)[0]
    said = " ".join(fitted_lines(rig, fast, "us"))
    edge = np.degrees(growing_amplitude(fast.combination, 55.0, 200.0))
    assert f"a swing beyond {edge:.1f} degrees grows all the same" in said
    assert "raises no speed from which sway grows" in said
    assert said.count("acts after sway began") == 2
    assert fitted_line(rig).count(";") == 2
    assert fitted_line(parse_rig(CAMPER)) == ""
    assert FRICTION in said
    cam = parse_rig(with_electronics(CAMPER) + BAR.replace("bar", "cam"))
    cammed = " ".join(fitted_lines(cam, fast, "us"))
    assert CAM in cammed
    assert FRICTION not in cammed
    calm = sway(rig, stages=("back-home",), speeds=(), samples=64)[0]
    assert "the rig as its file has it settles without it" in " ".join(
        fitted_lines(rig, calm, "us")
    )


def test_the_first_answer_says_that_nothing_is_counted(tmp_path: Path) -> None:
    """One line in the first answer, the rest with --all, where it stands with --sources."""
    file = tmp_path / "camper.toml"
    file.write_text(with_electronics(CAMPER) + BAR, encoding="utf-8")
    first, whole = (
        CliRunner().invoke(main, ["sway", str(file), *more]).stdout
        for more in ((), ("--all", "--sources"))
    )
    assert "Nothing is counted for it in any number here." in " ".join(first.split())
    assert len(first.splitlines()) <= 30
    assert "Sharp" not in first
    assert "ISO 11555-1" in whole


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            'format = 1\n[vehicle]\nclass = "three-quarter-ton"\n[trailer]\nstyle = "fifth-wheel"\n'
            'gvwr = "12000 lb"\n' + BAR,
            "expected no sway control on a fifth wheel or gooseneck, found one (bar)",
        ),
        (
            'format = 1\n[vehicle]\nclass = "car"\n[trailer]\nstyle = "boat"\ngvwr = "1200 lb"\n'
            + BAR.replace("bar", "cam"),
            "expected spring bars (hitch.bars), in whose ends a cam works, found none",
        ),
        (
            (
                'format = 1\n[vehicle]\nclass = "car"\n[trailer]\nstyle = "boat"\n'
                'gvwr = "1200 lb"\nbrakes = false\nstability_brakes = true\n'
            ),
            "expected no stability_brakes on a trailer with brakes = false",
        ),
        (CAMPER + BAR + 'moment = "200 N"\n', "expected a moment with its unit"),
        (CAMPER + BAR.replace('"bar"', '"magic"'), "hitch.sway_control.kind"),
    ],
)
def test_what_cannot_be_fitted_is_one_sentence(text: str, said: str, tmp_path: Path) -> None:
    """Sway control on a fifth wheel, a cam without bars, brakes that are not there: exit 2."""
    with pytest.raises(FaultError, match="expected") as it:
        parse_rig(text, "my.toml")
    assert said in str(it.value)
    file = tmp_path / "my.toml"
    file.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(main, ["sway", str(file)])
    assert result.exit_code == 2
    assert result.stderr.count("\n") == 1


def test_the_card_holds_it() -> None:
    """A card of a rig with all of it has its codes and says the same speeds as without."""
    rig, bare = parse_rig(with_electronics(CAMPER) + BAR + MOMENT), parse_rig(CAMPER)
    lines, without = (next(n for n in card(one).notes if n.title == "Speed") for one in (rig, bare))
    assert lines == without
