"""A ticket belongs to a rig and a day: another's is asked about, never silent."""

import re
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from steelyard.cli import main
from steelyard.fault import sentence
from steelyard.files import FileFaultError, parse_rig
from steelyard.files.demo import demo_rigs, demo_tickets
from steelyard.files.tickets import parse_ticket
from steelyard.weighing.agreement import SEASON, old, questions

pytestmark = pytest.mark.usefixtures("few_draws")

RIG = demo_rigs()["perihelion-camper.toml"]
UNDATED = demo_tickets()["camper-at-the-fuel-stop.toml"]
TICKET = UNDATED.replace("\nplace =", '\ndate = "2026-05-03"\nplace =', 1)
TODAY = date(2026, 6, 1)


def _asked(*, own: str = RIG, **said: str) -> list[str]:
    """The questions that a ticket with these keys raises, on the first of June 2026."""
    text = re.sub(r"(?m)^(rig|date) = .*\n", "", TICKET)
    keys = "".join(f'{key} = "{value}"\n' for key, value in said.items())
    ticket = parse_ticket(text.replace("ticket = 1\n", f"ticket = 1\n{keys}", 1), "t.toml")
    return [sentence(one) for one in questions(ticket, parse_rig(own), TODAY)]


def test_its_own_ticket_raises_no_question() -> None:
    """Capitals and spaces aside, the rig's own name; today is no day to come."""
    rig = parse_rig(RIG)
    assert _asked(date="2026-06-01 09:30") == []
    assert rig.vehicle.title is not None
    assert _asked(vehicle=rig.vehicle.title.upper(), date="2026-05-03") == []


def test_a_day_that_toml_knows_for_one_is_a_day() -> None:
    """TOML 1.0.0, local date and local date-time, without quotes."""
    for day in ("2026-05-03", "2026-05-03 09:30:00"):
        text = TICKET.replace('date = "2026-05-03"', f"date = {day}")
        assert questions(parse_ticket(text, "t.toml"), parse_rig(RIG), TODAY) == ()
    with pytest.raises(FileFaultError, match="since: expected text in quotes, found 2026-05-03"):
        parse_rig(RIG.replace("\n[", "\nsince = 2026-05-03\n[", 1))


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("rig", "Another camper", "rig: expected a ticket of "),
        ("vehicle", "another van", "vehicle: expected a ticket of "),
        ("date", "2026-06-02", "date: expected a day up to today (2026-06-01), found 2026-06-02"),
        ("date", "last week", "date: expected a day such as 2026-05-03, found 'last week'"),
    ],
)
def test_what_does_not_go_together_is_asked(key: str, value: str, words: str) -> None:
    """Each with how to answer it."""
    told = _asked(**{"rig": parse_rig(RIG).name, key: value})
    assert len(told) == 1
    assert words in told[0]
    assert told[0].endswith("is that right? say `sure = true` beside it if so")


def test_a_day_before_the_rig_is_asked() -> None:
    """A rig that is as its file says since April was not weighed so in March."""
    since = RIG.replace("format = 1\n", 'format = 1\nsince = "2026-04-01"\n', 1)
    assert "a day from 2026-04-01 on" in _asked(own=since, date="2026-03-31")[0]
    assert _asked(own=since, date="2026-04-01") == []


def test_since_is_a_day() -> None:
    """Anything else is a fault of the rig file."""
    with pytest.raises(FileFaultError, match=r"line 2, since: expected a day such as"):
        parse_rig(RIG.replace("format = 1\n", 'format = 1\nsince = "spring"\n', 1))


def test_a_weighing_is_old_after_a_season() -> None:
    """Half a year to the day is not, a day more is."""
    then = TODAY - timedelta(days=SEASON)
    assert old(str(then), TODAY) is None
    assert old(str(then - timedelta(days=1)), TODAY) == SEASON + 1
    assert old(None, TODAY) is None


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the demo rig, and a logbook of its own."""
    monkeypatch.setenv("STEELYARD_LOGBOOK", str(tmp_path / "book.sqlite"))
    (tmp_path / "rig.toml").write_text(RIG, "utf-8")
    return tmp_path


def _run(folder: Path, ticket: str, *words: str) -> Result:
    (folder / "t.toml").write_text(ticket, "utf-8")
    named = [str(folder / word) if word.endswith(".toml") else word for word in words]
    return CliRunner().invoke(main, named)


def test_every_door_says_it(folder: Path) -> None:
    """`weigh`, and `check` with the ticket: said, and never exit 0; `sure = true` answers it."""
    now = f"{datetime.now().astimezone():%Y-%m-%d}"
    dated = re.sub(r"(?m)^date = .*$", f'date = "{now}"', TICKET)
    other = re.sub(r"(?m)^rig = .*$", 'rig = "Another camper"', dated)
    sure = other.replace("ticket = 1\n", "ticket = 1\nsure = true\n", 1)
    weigh, check = ("weigh", "rig.toml", "t.toml"), ("check", "rig.toml", "--with", "t.toml")
    assert _run(folder, other, *weigh).exit_code == 3
    for words in (weigh, check):
        asks = " ".join(_run(folder, other, *words).output.split())
        assert "expected a ticket of 'Perihelion camper', found 'Another camper'" in asks
        assert "Another camper" not in _run(folder, sure, *words).output
    assert _run(folder, sure, *weigh).exit_code == _run(folder, dated, *weigh).exit_code == 0


def test_what_was_asked_is_asked_of_the_kept_weighing_too(folder: Path) -> None:
    """The logbook answers no question: another rig's ticket, or a day to come, once kept, is no
    ground for `within` afterwards; one that was sure is."""
    now = f"{datetime.now().astimezone():%Y-%m-%d}"
    dated = re.sub(r"(?m)^date = .*$", f'date = "{now}"', TICKET)
    other = re.sub(r"(?m)^rig = .*$", 'rig = "Another camper"', dated)
    future = re.sub(r"(?m)^date = .*$", 'date = "2931-05-03"', TICKET)
    sure = other.replace("ticket = 1\n", "ticket = 1\nsure = true\n", 1)
    for number, (ticket, code, told) in enumerate(
        ((other, 3, "found 'Another camper'"), (future, 3, "found 2931-05-03"), (sure, 0, "")), 1
    ):
        _run(folder, ticket, "weigh", "rig.toml", "t.toml", "--log")
        done = _run(folder, ticket, "check", "rig.toml", "--with", f"log:{number}")
        assert done.exit_code == code
        assert told in " ".join(done.output.split())


def test_an_old_weighing_and_a_changed_rig_are_said(folder: Path) -> None:
    """From a ticket and from the logbook; and a weighing of another rig."""
    ancient = re.sub(r"(?m)^date = .*$", 'date = "2019-05-03"', TICKET)
    assert "days old" in _run(folder, ancient, "check", "rig.toml", "--with", "t.toml").stderr
    assert _run(folder, ancient, "weigh", "rig.toml", "t.toml", "--log").exit_code == 0
    changed = RIG.replace('name = "Perihelion camper"', 'name = "Dome trailer"')
    changed = re.sub(r'(?m)^weight = "85 lb.*"', 'weight = "185 lb"', changed, count=1)
    (folder / "rig.toml").write_text(changed, "utf-8")
    done = _run(folder, ancient, "check", "rig.toml", "--with", "log:1")
    assert "days old" in done.stderr
    assert "That weighing is of “Perihelion camper”, and this file of “Dome trailer”." in " ".join(
        done.stdout.split()
    )
