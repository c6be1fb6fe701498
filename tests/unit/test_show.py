"""Numbers for people: no minus on a zero, thousands parted, and a spread beside them."""

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from steelyard.assessment import Spread
from steelyard.cli import main
from steelyard.quantity import percent, shown, with_spread
from steelyard.quantity.show import plain
from steelyard.words.assessed import share_spread

MINUS_ZERO = re.compile(r"(?<![\d.,])-0(?:\.0+)?(?![\d.])")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the demo's rigs."""
    folder = tmp_path_factory.mktemp("demo")
    CliRunner().invoke(main, ["demo", "--into", str(folder)])
    return folder


def test_no_minus_on_a_zero() -> None:
    """What rounds to zero is zero, whichever side it comes from."""
    assert plain(-0.04, 1) == "0.0"
    assert percent(-0.0004) == "0.0 %"
    assert shown(-0.1, "mass", "metric") == "0 kg"
    assert with_spread(-0.1, 1.0, "mass", "metric") == "0 ± 2 kg"
    assert plain(-1234.5, 1) == "-1,234.5"


def test_a_share_has_its_95_percent_beside_it() -> None:
    """11 % with an sd of 0.46 points is 11.0 ± 0.9 %: 1.96 x 0.46 = 0.90."""
    share = Spread(value=0.11, best=0.11, sd=0.0046, low=0.101, high=0.119)
    assert share_spread(share) == "11.0 ± 0.9 %"


@pytest.mark.parametrize("rig", ["perihelion-camper", "perihelion-tractor"])
@pytest.mark.parametrize("words", [["ledger"], ["ledger", "--json"]])
def test_a_ledger_has_no_minus_zero(demo: Path, rig: str, words: list[str]) -> None:
    """An empty tank, and a seat at the axle, weigh nothing on the ball: `0`, in JSON too."""
    result = CliRunner().invoke(main, [words[0], str(demo / f"{rig}.toml"), *words[1:]])
    assert MINUS_ZERO.findall(result.output) == []


def test_a_trailer_that_rides_nose_up_is_said_to(demo: Path, tmp_path: Path) -> None:
    """A ball a foot higher lifts the nose: the row says up, and its angle has no sign."""
    text = (demo / "perihelion-camper.toml").read_text("utf-8")
    raised, count = re.subn(r'(?m)^ball_height = ".*?"', 'ball_height = "36 in"', text)
    assert count == 1
    path = tmp_path / "raised.toml"
    path.write_text(raised, "utf-8")
    said = CliRunner().invoke(main, ["check", str(path), "--all"]).output
    assert re.search(r"trailer nose-up +\d\.\d°", said)
    assert "nose-down" not in said
