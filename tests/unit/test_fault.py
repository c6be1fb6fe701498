"""Faults as data: what they hold, and the one place that makes a sentence of them."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from steelyard.cli import main
from steelyard.fault import Fault, FaultError, article, dotted, sentence
from steelyard.files import FileFaultError, parse_rig, read_rig
from steelyard.files.demo import demo_rigs
from steelyard.stowing.question import Wish
from steelyard.stowing.stow import StowError, stow


def test_the_parts_are_joined_in_one_order() -> None:
    """File, line, path; what is due, what was found, and what may help."""
    fault = Fault(
        file="my.toml",
        line=3,
        path=("tyres", "table", 2, "load"),
        due="a weight",
        found="5",
        hint='did you mean "5 lb"?',
    )
    told = 'my.toml, line 3, tyres.table[2].load: expected a weight, found 5 (did you mean "5 lb"?)'
    assert sentence(fault) == told


def test_a_question_says_how_to_answer_it() -> None:
    """What nobody believes is told as a fault is, and how to say that it is so."""
    fault = Fault(path=("vehicle", "payload"), due="less than its GVWR", found="9000 lb", asks=True)
    assert sentence(fault).endswith("is that right? say `sure = true` beside it if so")


def test_where_it_was_met_is_added_and_what_it_said_itself_is_kept() -> None:
    """A door adds the file; an argument of the call is in no file."""
    inner = Fault(path=("readings", 0), due="one", found="none", line=4)
    asked = Fault(argument="keep", due="an item", found="none")
    error = FaultError(inner, asked).within(file="t.toml", line=9, path=("passes", "a"))
    assert error.faults[0].path == ("passes", "a", "readings", 0)
    assert (error.faults[0].file, error.faults[0].line) == ("t.toml", 4)
    assert error.faults[1] == asked


def test_a_file_s_faults_keep_their_fields(tmp_path: Path) -> None:
    """An exception carries file, line, path, what is due and what was found, each by itself."""
    path = tmp_path / "rig.toml"
    path.write_text('format = 1\n[vehicle]\nclass = "van"\n[trailer]\ngvwr = "7000"\n', "utf-8")
    with pytest.raises(FileFaultError) as caught:
        read_rig(path)
    (missing, bare) = sorted(caught.value.faults, key=lambda one: one.path, reverse=True)[:2]
    assert missing.path == ("trailer", "style")
    assert (bare.file, bare.line, bare.path) == ("rig.toml", 5, ("trailer", "gvwr"))
    assert bare.due.startswith("a weight with its unit")
    assert bare.found == "'7000'"


def test_a_question_of_the_core_names_its_argument_and_no_option() -> None:
    """What was asked for in a call is named as the call names it."""
    rig = parse_rig(demo_rigs()["perihelion-camper.toml"])
    with pytest.raises(StowError) as caught:
        stow(rig, None, Wish(keep=("canoe",)))
    assert caught.value.faults[0].argument == "keep"
    assert "--" not in str(caught.value)


def test_the_command_line_names_its_option(tmp_path: Path) -> None:
    """The same fault at the door is of the option that the person typed."""
    CliRunner().invoke(main, ["demo", "--into", str(tmp_path)])
    rig = str(tmp_path / "perihelion-camper.toml")
    result = CliRunner().invoke(main, ["stow", rig, "--keep", "canoe"])
    assert result.exit_code == 2
    assert result.output.startswith("--keep: expected one of the items (")


def test_a_long_path_is_cut_and_costs_no_more_than_what_is_shown() -> None:
    """A hundred thousand keys in each other are told in 120 letters."""
    assert dotted(("a",) * 100_000) == ".".join("a" * 61)[:120]


def test_at_most_ten_are_told() -> None:
    """The others are counted; as data all are there."""
    text = 'format = 1\n[vehicle]\nclass = "van"\n[trailer]\nstyle = "boat"\ngvwr = "1 t"\n'
    text += "".join(f"x{n} = 1\n" for n in range(30))
    with pytest.raises(FileFaultError) as caught:
        parse_rig(text)
    assert len(caught.value.faults) == 30
    assert caught.value.sentences[-1] == "and 20 more faults"


@pytest.mark.parametrize(
    "said",
    ["an enclosed-cargo", "an SUV", "a one-ton-dual-rear-wheel", "a boat", "an open-utility"],
)
def test_an_article_goes_by_the_sound(said: str) -> None:
    """Of styles and classes, common English usage."""
    assert article(said.partition(" ")[2]) == said.partition(" ")[0]
