"""From Python as from the command line: a function for each thing, same answer and sentence."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

import steelyard
from steelyard.cli import main
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs, demo_tickets

CAMPER, TICKET = "perihelion-camper.toml", "camper-at-the-fuel-stop.toml"


@pytest.fixture(autouse=True)
def demo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in a folder with the demo's files."""
    monkeypatch.chdir(tmp_path)
    for name, text in {**demo_rigs(), **demo_tickets()}.items():
        Path(name).write_text(text, encoding="utf-8")


def told(*words: str) -> dict[str, Any]:
    """The JSON of a command."""
    found: dict[str, Any] = json.loads(CliRunner().invoke(main, [*words, "--json"]).stdout)
    return found


def test_what_is_public_is_listed_and_there() -> None:
    """`dir()` shows the public names and no others, and each can be had."""
    assert dir(steelyard) == sorted(steelyard.__all__)
    assert all(getattr(steelyard, name) for name in steelyard.__all__)
    steelyard.assess(CAMPER)  # which imports the parts; none of them stands in a function's place
    assert all(callable(getattr(steelyard, one)) for one in ("card", "road", "sway", "trip"))


def test_a_path_and_a_rig_answer_as_the_command_does() -> None:
    """`check`, before and after a ticket: the same medians, from a path or a rig."""
    rig = steelyard.read_rig(CAMPER)
    for weighed, words in ((None, ()), (TICKET, ("--with", TICKET))):
        report = told("check", CAMPER, *words)
        for given in (CAMPER, rig):
            stages = steelyard.assess(given, weighed).stages
            found = [one.tongue.weight_kg.value for one in stages]
            due = [one["tongue"]["weight_kg"] for one in report["stages"]]
            assert found == pytest.approx(due, rel=1e-12)


def test_a_reconciled_ticket_is_taken_on() -> None:
    """What `weigh` gave, the ticket and its path sharpen an answer alike."""
    ticket = steelyard.read_ticket(TICKET)
    ways = (TICKET, Path(TICKET), ticket, steelyard.weigh(CAMPER, ticket))
    found = {steelyard.sway(CAMPER, one)[0].at_damping.value for one in ways}
    assert len(found) == 1


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        (lambda: steelyard.assess("no.toml"), "no.toml: expected a rig file, found none (no such"),
        (
            lambda: steelyard.assess(3),  # type: ignore[arg-type]
            "rig: expected a rig, or the path of a rig file; found 3",
        ),
        (
            lambda: steelyard.sway(CAMPER, speed="60 kg"),
            "speed: expected a speed with its unit, such as",
        ),
        (
            lambda: steelyard.assess(CAMPER, stages="first-night"),
            "stages: expected a list of keys of stages, found 'first-night'",
        ),
        (lambda: steelyard.move(CAMPER, {"bike": "galley"}), "expected one of the items"),
    ],
)
def test_what_is_refused(asked: Callable[[], object], sentence: str) -> None:
    """A wrong path, unit, type or name: one sentence, whose parts are data too."""
    with pytest.raises(steelyard.FaultError) as caught:
        asked()
    assert str(caught.value).startswith(sentence)
    (fault,) = caught.value.faults
    assert fault.due
    assert fault.found


WRONG: dict[str, Callable[[Any], Any]] = {
    "stages": lambda wrong: steelyard.road(CAMPER, stages=[wrong]),
    "draws": lambda wrong: steelyard.assess(CAMPER, draws=wrong),
    "seed": lambda wrong: steelyard.assess(CAMPER, seed=wrong),
    "tight": lambda wrong: steelyard.stow(CAMPER, tight=wrong),
    "speed": lambda wrong: steelyard.sway(CAMPER, speed=wrong),
    "restore": lambda wrong: steelyard.fit(CAMPER, restore=wrong),
    "keep": lambda wrong: steelyard.stow(CAMPER, keep=wrong),
    "target": lambda wrong: steelyard.stow(CAMPER, target=wrong),
    "to": lambda wrong: steelyard.move(CAMPER, wrong),
    "fresh": lambda wrong: steelyard.move(CAMPER, {}, {"fresh": wrong}),
    "vehicles": lambda wrong: steelyard.match(wrong, CAMPER),
    "rig": lambda wrong: steelyard.compare(CAMPER, wrong),
    "ticket": lambda wrong: steelyard.weigh(CAMPER, wrong),
    "ranges": lambda wrong: steelyard.sweep(CAMPER, wrong),
    "n": lambda wrong: steelyard.sweep(CAMPER, {"items.bikes.weight": ("0 lb", "9 lb")}, n=wrong),
    "logbook": lambda wrong: steelyard.learn(wrong),
    "path": lambda wrong: steelyard.read_rig(wrong),
}


@pytest.mark.parametrize("argument", WRONG)
@pytest.mark.parametrize("wrong", [-1.5, float("nan")])
def test_no_argument_takes_any_number(argument: str, wrong: float) -> None:
    """A negative number and one that is none, given for whatever argument, are a sentence with
    where, what was found and what is due as attributes: never a traceback from within."""
    with pytest.raises(steelyard.FaultError) as caught:
        WRONG[argument](wrong)
    said = caught.value
    assert said.path == argument
    assert said.found == str(wrong)
    assert str(said).startswith(f"{argument}: expected {said.due}")


def test_a_rig_built_in_python_is_refused_as_a_file_is() -> None:
    """A wrong unit and a table left out: the file's sentences, each with its path."""
    with pytest.raises(steelyard.FaultError) as caught:
        steelyard.Rig(vehicle={"class": "van", "gvwr": "7000 ft"})  # type: ignore[arg-type, call-arg]
    assert [".".join(map(str, one.path)) for one in caught.value.faults] == [
        "vehicle.gvwr",
        "trailer",
    ]
    assert "vehicle.gvwr: expected a weight with its unit" in str(caught.value)


def test_the_sentence_is_the_commands() -> None:
    """A rig file with a fault is refused from Python in the command line's words."""
    text = Path(CAMPER).read_text("utf-8").replace('gvwr = "', 'gvwr = "-', 1)
    Path("bad.toml").write_text(text, "utf-8")
    with pytest.raises(steelyard.FaultError) as caught:
        steelyard.assess("bad.toml")
    assert str(caught.value) in CliRunner().invoke(main, ["check", "bad.toml"]).output


def test_a_changed_rig_is_refused_as_a_file_is() -> None:
    """`replace` gives the rig that the file would give, and refuses it in the file's sentence."""
    rig = steelyard.read_rig(CAMPER)
    text = Path(CAMPER).read_text("utf-8")
    assert 'weight = "96 lb"' in text
    heavier = parse_rig(text.replace('weight = "96 lb"', 'weight = "120 lb"'))
    assert rig.replace("items.bikes.weight", "120 lb") == heavier
    for path, value, said in (
        ("items.bikes.weight", "12", "items.bikes.weight: expected a weight with its unit"),
        ("items.bikes.wieght", "12 lb", 'found "wieght" (did you mean "weight"?)'),
        ("hitch.receiver.tongue_rating", "1000 lb", 'did you mean "rating_tongue"?'),
        ("vehicle.front.rating", "3900 lb", 'did you mean "gawr"?'),
        ("trailer.ATM", "3000 kg", 'did you mean "gvwr"?'),
        ("trailer.empty.pin_weight", "500 lb", 'did you mean "tongue_weight"?'),
        ("hitch.receiver.rating", "5000 lb", 'did you mean "rating_t'),
        ("hitch.receiver.trailer", "5000 lb", 'did you mean "rating_trailer"?'),
        ("name.first", "x", "name.first: expected a table at name"),
    ):
        with pytest.raises(steelyard.FaultError) as caught:
            rig.replace(path, value)
        assert said in str(caught.value).replace("'", '"')
        assert (caught.value.path, caught.value.due) == (path, caught.value.faults[0].due)
    assert rig == steelyard.read_rig(CAMPER)


ANSWERS: dict[str, tuple[Callable[[], Any], str]] = {
    "assess": (lambda: steelyard.assess(CAMPER), "_repr_html_"),
    "card": (lambda: steelyard.card(CAMPER), "_repr_html_"),
    "compare": (lambda: steelyard.compare(CAMPER, "perihelion-tractor.toml"), "_repr_html_"),
    "fit": (lambda: steelyard.fit(CAMPER), "_repr_html_"),
    "match": (lambda: steelyard.match([CAMPER], ["perihelion-tractor.toml"]), ""),
    "move": (lambda: steelyard.move(CAMPER, {"bikes": "galley"}), "_repr_html_"),
    "road": (lambda: steelyard.road(CAMPER, stages=["first-night"])[0], "_repr_html_"),
    "stow": (lambda: steelyard.stow("perihelion-tractor.toml"), "_repr_svg_"),
    "sway": (lambda: steelyard.sway(CAMPER, stages=["first-night"])[0], "_repr_svg_"),
    "trip": (lambda: steelyard.trip(CAMPER), "_repr_svg_"),
    "weigh": (lambda: steelyard.weigh(CAMPER, TICKET), "_repr_html_"),
    "read_ticket": (lambda: steelyard.read_ticket(TICKET), ""),
    "estimate": (lambda: steelyard.weigh(CAMPER, TICKET).posterior, ""),
}
"""What functions give, with what a notebook shows of it; `learn` gives rows, `sweep` a frame."""


@pytest.mark.parametrize("name", ANSWERS)
def test_an_answer_is_one_line_and_a_picture_or_table(name: str) -> None:
    """A repr is one short line that names what it is of; a picture or table is whole."""
    asked, shown = ANSWERS[name]
    found = asked()
    line = repr(found)
    assert line.startswith("<")
    assert line.endswith(">")
    assert len(line) < 400
    assert "\n" not in line
    if shown:
        text = getattr(found, shown)()
        assert text.count("<tr>") > 1 or text.startswith("<svg") or "</html>" in text


def test_what_a_notebook_shows() -> None:
    """A picture of the rig, and the limits as a table and a frame alike."""
    found = steelyard.assess(CAMPER)
    assert repr(found.rig) == "<Rig Perihelion camper>"
    assert found.rig._repr_svg_().startswith("<svg")  # type: ignore[attr-defined]
    frame = found.to_frame()
    report = told("check", CAMPER)["stages"]
    assert len(frame) == sum(len(stage["limits"]) for stage in report)
    assert frame["chance"].to_list() == [
        limit["chance_exceeded"] for stage in report for limit in stage["limits"]
    ]
    assert found._repr_html_().count("<tr>") == len(frame) + 1  # type: ignore[attr-defined]
