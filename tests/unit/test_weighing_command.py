"""`steelyard weigh`: what it prints, its exit codes, and bad input in one sentence."""

import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit
from click.testing import CliRunner, Result
from tests import weighings
from tests.weighings import hitch_scale, platform

from steelyard.cli import main
from steelyard.quantity import POUND, Z95
from steelyard.weighing.laid_ticket import lay
from steelyard.weighing.ticket import Ticket

pytestmark = pytest.mark.usefixtures("few_draws")


@pytest.fixture
def rig(tmp_path: Path) -> str:
    """The camper in a file."""
    path = tmp_path / "camper.toml"
    path.write_text(tomlkit.dumps({"format": 1, **weighings.CAMPER}), encoding="utf-8")
    return str(path)


def run(*words: str) -> Result:
    """Run the program; nothing may escape but an exit code."""
    result = CliRunner().invoke(main, list(words))
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert "Traceback" not in result.output
    return result


def weigh(rig: str, passes: dict[str, Any], *words: str, **more: Any) -> Result:
    """Weigh a rig with a ticket of these passes."""
    path = Path(rig).parent / "ticket.toml"
    path.write_text(
        tomlkit.dumps({"ticket": 1, **more, "passes": weighings.said(passes)}), encoding="utf-8"
    )
    return run("weigh", rig, str(path), *words)


def passes(factor: float = 1.0, one: int | None = None, off: float = 0.0) -> dict[str, Any]:
    """The standard passes as the rig file expects them, in kg; all or one in another unit.

    `off`: kg too much on the second reading.
    """
    asked = weighings.three_passes("leave")
    laid = lay(weighings.rig("camper"), asked)
    numbers = weighings.shown(laid, laid.prior.at_mean())[:, 0]
    scaled = np.ones(len(numbers))
    scaled[slice(None) if one is None else one] = factor
    texts = iter([f"{x:.1f} kg" for x in numbers * scaled + off * np.eye(len(numbers))[1]])
    whole = asked.model_dump(exclude_none=True, exclude_defaults=True, mode="json")["passes"]
    for name in whole:
        for reading in whole[name]["readings"]:
            reading["weight"] = next(texts)
        for number, fact in enumerate(asked.passes[name].readings):
            whole[name]["readings"][number]["kind"] = fact.kind
    return dict(whole)


class TestGood:
    """A ticket that can be used."""

    def test_agrees(self, rig: str) -> None:
        """Readings as expected agree: exit 0, every reading listed, before and after shown."""
        result = weigh(rig, passes(), "--all", date="2025-05-03", place="fuel stop")
        assert result.exit_code == 0
        assert "The readings agree" in result.output
        assert "Suspect" not in result.output
        for name in ("off: front axle", "on: trailer axles", "alone: rear axle"):
            assert name in result.output

    def test_fewer_readings_than_unknowns(self, rig: str) -> None:
        """One reading works from the rig file, and the answer says so."""
        found = weigh(rig, {"a": {"readings": [hitch_scale(weight="980 lb")]}})
        assert found.exit_code == 0
        assert "Readings: 1, unknowns of the rig:" in found.output
        assert "rests on the rig file" in " ".join(found.output.split())

    @pytest.mark.parametrize(
        ("bars", "weight", "spans"),
        [
            ("on", "4300 lb +- 900 lb", True),
            ("on", "4300 lb +- 150 lb", False),
            ("on", "3500 lb +- 900 lb", True),
            ("off", "4300 lb +- 900 lb", False),
        ],
    )
    def test_a_reading_that_spans_its_rating(
        self, rig: str, bars: str, weight: str, spans: bool
    ) -> None:
        """4,300 ± 900 lb on an axle rated 4,100 lb may be either side: it is said to settle nothing
        alone, beside what everything together says; with bars off it is not the load as driven."""
        rear = platform("rear", weight=weight)
        asked = {"a": {"bars": bars, "readings": [rear]}}
        words = " ".join(weigh(rig, asked).output.split())
        assert ("this reading alone settles nothing" in words) is spans
        assert ("By all readings and the rig file rear axle is" in words) is spans
        told = json.loads(weigh(rig, asked, "--json").output)["settle_nothing"]
        assert told == [{"reading": "a: rear axle", "limit": "vehicle.rear.gawr"}] * spans

    @pytest.mark.parametrize(("bars", "spans"), [("off", True), ("on", False)])
    def test_a_hitch_that_weighs_spans_what_the_tongue_may_be(
        self, rig: str, bars: str, *, spans: bool
    ) -> None:
        """With bars off it reads the tongue, with bars on what they leave on it."""
        text = Path(rig).read_text(encoding="utf-8")
        rated = '[hitch.ball]\nrating_tongue = "1000 lb"\n[trailer]\n'
        Path(rig).write_text(text.replace("[trailer]\n", rated, 1), encoding="utf-8")
        asked = {"a": {"bars": bars, "readings": [hitch_scale(weight="980 lb +- 200 lb")]}}
        told = json.loads(weigh(rig, asked, "--json").output)["settle_nothing"]
        assert bool(told) is spans

    def test_csv(self, rig: str) -> None:
        """A CSV ticket is read as well, any spaces around its cells let be."""
        path = Path(rig).parent / "ticket.csv"
        path.write_text("arrangement, hitch\nbars off, 980 lb\n", encoding="utf-8")
        assert run("weigh", rig, str(path)).exit_code == 0

    def test_json(self, rig: str) -> None:
        """`--json` prints JSON with what was before, after, and what to weigh next."""
        result = weigh(rig, passes(), "--json", "--next", "--gear", "tape")
        found = json.loads(result.output)
        assert found["before"]
        assert found["after"]
        assert {one["gear"] for one in found["next"]} == {"tape"}

    def test_next_without_a_ticket(self, rig: str) -> None:
        """`--next` alone says what to weigh first."""
        result = run("weigh", rig, "--next")
        assert result.exit_code == 0
        assert "Weigh next, best first" in result.output

    def test_check_with(self, rig: str) -> None:
        """`check --with` answers with the weighing and does not end as bad input."""
        path = Path(rig).parent / "ticket.toml"
        path.write_text(tomlkit.dumps({"ticket": 1, "passes": passes()}), encoding="utf-8")
        assert run("check", rig, "--with", str(path)).exit_code in (0, 1, 3)


class TestDisagree:
    """A ticket that does not agree: exit 1, and why."""

    def test_misread(self, rig: str) -> None:
        """A reading 250 kg off is named as the suspect, with the answer without it."""
        result = weigh(rig, passes(off=250.0))
        told = " ".join(result.output.split())
        assert result.exit_code == 1
        assert "The readings do not agree" in told
        assert "Suspect: “off: rear axle”" in told
        assert "Without “off: rear axle”" in told

    def test_contradictory_passes(self, rig: str) -> None:
        """Axles apart and together that do not add up do not agree."""
        pads = [platform("front", weight="1480 kg"), platform("rear", weight="1800 kg")]
        pads += [platform("trailer", weight="2600 kg"), platform("all", weight="7500 kg")]
        result = weigh(rig, {"off": {"stage": "leave", "readings": pads}})
        assert result.exit_code == 1
        assert "Suspect" in result.output

    @pytest.mark.parametrize(
        ("factor", "how"), [(1 / POUND, "in lb"), (POUND, "with one conversion fewer")]
    )
    def test_whole_ticket_in_the_other_unit(self, rig: str, factor: float, how: str) -> None:
        """Pounds typed as kilograms are known for it, and kilograms taken for pounds and then made
        kilograms."""
        result = weigh(rig, passes(factor))
        assert result.exit_code in (1, 2, 3)
        assert f"this ticket, which agrees {how}" in " ".join(result.output.split())

    @pytest.mark.parametrize("which", [1, 3, 6])
    def test_one_reading_in_the_other_unit(self, rig: str, which: int) -> None:
        """So is one number in pounds that was typed as kilograms."""
        result = weigh(rig, passes(1 / POUND, which))
        asked = weighings.three_passes("leave")
        name = lay(weighings.rig("camper"), asked).lines[which].name
        assert result.exit_code in (1, 2)
        assert f"“{name}”, which agrees in lb" in " ".join(result.output.split())

    def test_a_clash_is_not_as_weighed(self, rig: str) -> None:
        """A misread or a slip leaves a belief for the meantime; only readings that agree weigh."""
        for asked in (passes(off=250.0), passes(1 / POUND)):
            assert "As weighed" not in weigh(rig, asked).output
        assert "As weighed" in weigh(rig, passes()).output

    def test_expected_is_what_the_others_say(self, rig: str) -> None:
        """250 kg are 551 lb (hand arithmetic): so far the table's own row of the misread axle has
        it from what is expected, and as many sd off as these two and the ± make."""
        lines = weigh(rig, passes(off=250.0), "--all", "--units", "us").output.splitlines()
        (row,) = (one for one in lines if one.lstrip().startswith("off: rear axle"))
        numbers = re.findall(r"[-+]?[\d,]+(?:\.\d)?", row)
        read, expected, half, off = (float(one.replace(",", "")) for one in numbers)
        assert read - expected == pytest.approx(551, abs=half)
        assert off == pytest.approx((read - expected) / (half / Z95), rel=0.05)


class TestBad:
    """Bad input: exit 2 and one sentence on the error stream."""

    @pytest.mark.parametrize(
        ("one", "words"),
        [
            ({"readings": [platform("front", weight="-3000 lb")]}, "above zero"),
            ({"readings": [platform(weight="3000 lb")]}, "expected at least one axle on the pad"),
            ({"readings": [platform("front"), platform("front")]}, "expected each reading once"),
            (
                {"arrangement": "vehicle-alone", "readings": [platform("trailer")]},
                "found trailer with no trailer",
            ),
            ({"stage": "leav", "readings": [platform("front")]}, 'did you mean "leave"'),
            ({"people": ["anne"], "readings": [platform("front")]}, 'did you mean "anna"'),
            ({"tanks": {"frsh": "full"}, "readings": [platform("all")]}, 'did you mean "fresh"'),
        ],
        ids=["negative", "no-axle", "twice", "no-trailer", "stage", "person", "tank"],
    )
    def test_ticket(self, rig: str, one: dict[str, Any], words: str) -> None:
        """Each fault names the ticket and the pass, on one line."""
        result = weigh(rig, {"a": one})
        assert result.exit_code == 2
        assert result.stdout == ""
        assert words in result.stderr
        assert "ticket.toml" in result.stderr
        assert len(result.stderr.strip().splitlines()) == 1

    @pytest.mark.parametrize(
        ("name", "text", "words"),
        [
            ("t.toml", "ticket = 7\n[passes.a]\n", "a newer Steelyard is due"),
            ("t.toml", "", "as first key"),
            ("t.toml", "ticket = 1\n[", "expected TOML"),
            ("t.csv", "arrangement,weight\nbars off,1 lb\n", "expected columns among"),
            ("t.csv", "arrangement,front\nupside down,1 lb\n", "expected an arrangement among"),
            ("t.csv", "arrangement,front\nbars off,1 lb,2 lb\n", "expected 2 cells, found 3"),
        ],
        ids=["newer", "empty", "no-toml", "column", "arrangement", "cells"],
    )
    def test_file(self, rig: str, name: str, text: str, words: str) -> None:
        """A file that is no ticket is told by name."""
        path = Path(rig).parent / name
        path.write_text(text, encoding="utf-8")
        result = run("weigh", rig, str(path))
        assert result.exit_code == 2
        assert words in result.stderr
        assert name in result.stderr

    def test_nothing_asked(self, rig: str) -> None:
        """Neither a ticket nor `--next` is told."""
        result = run("weigh", rig)
        assert result.exit_code == 2
        assert "expected a ticket, or --next" in result.stderr

    def test_missing(self, rig: str) -> None:
        """A ticket that is not there, or an unknown gear, is told."""
        assert run("weigh", rig, "nowhere.toml").exit_code == 2
        assert run("weigh", rig, "--next", "--gear", "crane").exit_code == 2


def test_ticket_is_read_as_written() -> None:
    """The passes of these tests are the standard ticket."""
    assert set(Ticket.model_validate({"passes": passes()}).passes) == {"off", "on", "alone"}


def test_the_spreads_kept_belong_to_each_other(rig: str, tmp_path: Path) -> None:
    """The share kept is tongue over trailer, and its relative sd, by the law of propagation for a
    quotient, lies between the difference and the sum of theirs, whatever ties the two. A reading
    stands as it was written, under 10,000 lb within 20 lb (NIST Handbook 44, from memory)."""
    book = ("--logbook", str(tmp_path / "book.sqlite"))
    when = "2025-05-03 10:20"
    assert weigh(rig, passes(), "--log", *book, date=when).exit_code in (0, 1, 3)
    kept = json.loads(run("log", "show", "1", "--json", *book).stdout)["weighing"]
    assert {one["unit"] for one in kept["readings"]} == {"kg"}
    assert kept["taken"] == when
    for one in kept["readings"]:
        assert one["text"] == f"{one['value_si']:.1f} kg"
        assert 0 < one["sd_si"] <= 20 * POUND / Z95
    assert kept["share"] == pytest.approx(kept["tongue_kg"] / kept["trailer_kg"], rel=1e-4)
    trailer, tongue = (kept[f"{key}_sd_kg"] / kept[f"{key}_kg"] for key in ("trailer", "tongue"))
    assert abs(tongue - trailer) < kept["share_sd"] / kept["share"] < tongue + trailer


def test_errors_are_as_large_as_the_largest_miss(rig: str) -> None:
    """Readings that clash wherever the rig is: three times the miss, three times the errors."""
    wider = [
        json.loads(weigh(rig, passes(off=kg), "--json").stdout)["errors_wider"] for kg in (100, 300)
    ]
    assert wider[0] > 5
    assert wider[1] == pytest.approx(3 * wider[0], rel=0.01)
