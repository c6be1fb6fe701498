"""Learning: what counts, what is left out, the file it ends in, and what is said of bad input."""

import json
import re
import tomllib
from dataclasses import asdict, replace
from pathlib import Path

import numpy as np
import pytest
import tomlkit
from click.testing import CliRunner, Result
from tests import owners, weighings
from tests.logbooks import made

from steelyard.cli import main
from steelyard.files import FileFaultError
from steelyard.files.owned import NAME, owned_text, read_owned, write_owned
from steelyard.learning import Evidence, Learnt, Taught, evidence, learn
from steelyard.learning.three_levels import Seen, Shipped, learned
from steelyard.logbook.exchange import from_json, to_json
from steelyard.logbook.logbook_faults import LogbookError
from steelyard.logbook.records import Weighing
from steelyard.logbook.sound import seal
from steelyard.logbook.store import Logbook
from steelyard.quantity import POUND, Z95
from steelyard.rig import Own
from steelyard.statics.linkage import group_station
from steelyard.statics.prior import prior
from steelyard.weighing.laid_ticket import lay
from steelyard.weighing.reconcile import judge
from steelyard.words.learned import moved_words, sentence, sharper_words

SHIPPED = Shipped(value=0.12, sd=0.016, rows=12)
TRAILER = Evidence(
    part="trailer",
    style="rear-living",
    names=("options_share", "tongue_share"),
    prior_mean=(0.06, 0.122),
    prior_cov=((6.5e-4, 0.0), (0.0, 2.7e-4)),
    mean=(0.07, 0.150),
    cov=((2.4e-4, 1e-6), (1e-6, 4e-5)),
    chance=0.4,
)
RIG = """\
format = 1
name = "Perihelion camper"
vehicle = { class = "half-ton-crew-cab", gvwr = "7100 lb" }

[trailer]
style = "rear-living"
gvwr = "7600 lb"
empty.weight = "5600 lb"
"""


def taught(k: int, name: str = "") -> Taught:
    """A weighing of the k-th rig, each a little different."""
    share = 0.15 + 0.01 * np.sin(3.0 * k)
    one = replace(TRAILER, mean=(0.07, share))
    return Taught(rig_name=name or f"camper {k}", rig_hash=f"hash {k}", evidence=(one,))


def tongue(weighings: list[Taught]) -> Learnt:
    """What is learned of the tongue share."""
    return next(row for row in learn(weighings) if row.name == "tongue_share")


@pytest.mark.parametrize("rigs", [1, 2, 5, 40])
def test_scatter_is_never_zero(rigs: int) -> None:
    """Rigs that agree to the last digit leave the next one uncertain."""
    y, s = np.full(rigs, 0.12), np.full(rigs, 0.008)
    (found,) = learned([Seen(y=y, s=s, shipped=SHIPPED)])
    assert found.between > 0.2 * SHIPPED.sd
    assert found.sd > found.between


def test_what_rigs_hardly_say_changes_nothing() -> None:
    """One rig known to twenty times the shipped spread leaves value and spread as shipped."""
    (found,) = learned([Seen(y=np.array([0.3]), s=np.array([0.32]), shipped=SHIPPED)])
    assert found.value == pytest.approx(SHIPPED.value, abs=0.05 * SHIPPED.sd)
    assert SHIPPED.sd <= found.sd < 1.15 * SHIPPED.sd


def test_more_rows_hold_more_against_one_rig() -> None:
    """The same rig moves a value that thirty rows stand behind less than one that is assumed."""
    y, s = np.array([0.14]), np.array([0.004])
    moved = [
        learned([Seen(y=y, s=s, shipped=replace(SHIPPED, rows=rows))])[0].value
        for rows in (1, 10, 30)
    ]
    assert moved[0] > moved[1] > moved[2] > SHIPPED.value


def test_styles_of_a_kind_speak_for_each_other() -> None:
    """A style with one rig leans the way that twenty rigs of another of its kind went."""
    one = Seen(y=np.array([0.12]), s=np.array([0.01]), shipped=SHIPPED)
    up = 0.15 + 0.01 * np.sin(np.arange(20.0))
    many = Seen(y=up, s=np.full(20, 0.008), shipped=SHIPPED)
    assert learned([one, many])[0].value > learned([one])[0].value + 0.05 * SHIPPED.sd


def test_a_mean_is_surer_than_the_next_rig_and_surer_with_more() -> None:
    """The next rig scatters about a mean that is itself uncertain: the law of total variance."""
    few, many = (tongue([taught(k) for k in range(n)]) for n in (4, 24))
    assert many.mean_sd < few.mean_sd < few.sd
    assert many.mean_sd < 0.5 * many.sd


def test_order_does_not_matter() -> None:
    """The same weighings in another order teach the same."""
    log = [taught(k) for k in range(9)]
    first, again = tongue(log), tongue(log[::-1])
    assert (first.value, first.sd, first.rigs) == pytest.approx((again.value, again.sd, again.rigs))


def test_a_rig_counts_once() -> None:
    """Ten weighings of one rig, by its name or its hash, are as sure as one."""
    once, often = tongue([taught(0)]), tongue([taught(0)] * 10)
    assert often.rigs == 1
    assert (often.value, often.sd) == pytest.approx((once.value, once.sd))
    renamed = [replace(taught(0), rig_name="new name"), taught(0)]
    changed = [replace(taught(0), rig_hash="other"), taught(0)]
    assert tongue(renamed).rigs == tongue(changed).rigs == 1


def test_unnamed_rigs_are_told_apart() -> None:
    """Rigs that nobody named are as many as they are different."""
    log = [replace(taught(k), rig_name="") for k in range(5)]
    assert tongue(log).rigs == 5


def test_readings_that_disagree_teach_nothing() -> None:
    """A weighing whose readings do not agree among themselves is left out."""
    bad = replace(TRAILER, chance=0.001, mean=(0.07, 0.25))
    log = [taught(k) for k in range(5)]
    odd = Taught(rig_name="odd", rig_hash="odd", evidence=(bad,))
    assert learn([*log, odd]) == learn(log)


def test_a_slip_that_all_readings_share_teaches_nothing() -> None:
    """Kilograms typed for pounds agree among themselves; such a weighing is left out."""
    found = owners.weighed(0)
    for factor, agrees in ((1.0, True), (1 / POUND, False)):
        numbers = [factor * reading.value for reading in found.weighed.readings]
        other = judge(weighings.reading(found.weighed, numbers))
        assert Taught(rig_name="a", rig_hash="a", evidence=evidence(other)).agrees is agrees


def test_what_is_learned_is_a_share_by_the_lever() -> None:
    """A weight W with its centre s_g behind the ball and axles at s_a bears W (1 - s_g/s_a) on the
    ball (moments about the axles); a vehicle's front axle bears as much of its wheelbase."""
    found = owners.weighed(0)
    v, (trailer, vehicle) = found.full.at_mean(), evidence(found)
    for part, name, weight, arm, axle in (
        (trailer, "tongue_share", "trailer.empty.weight", "trailer.empty.cg", None),
        (vehicle, "front_share", "vehicle.weight", "vehicle.cg", "vehicle.wheelbase"),
    ):
        span = group_station(found.weighed.rig, v) if axle is None else v[axle]
        lifted = v[weight] * (span - v[arm]) / span
        told = part.mean[part.names.index(name)]
        assert told * v[weight] == pytest.approx(float(lifted), rel=1e-9)


def test_a_style_unlike_the_shipped_one_still_agrees() -> None:
    """Readings may contradict the rig file where that is what the style is like: the chance of the
    reconciliation is low, that among the readings is not."""
    far = owners.weighed(3, off=6.0)
    assert far.whole.chance < 0.01
    assert evidence(far)[0].chance > 0.01


def test_the_prior_is_divided_out() -> None:
    """What was learned before does not come back as news: the same ticket read with the owner's own
    values beside the rig says the same of it."""
    found = owners.weighed(0)
    own = {owners.STYLE: {"tongue_share": Own(value=0.15, sd=0.02, rigs=9)}}
    again = lay(owners.rig(0).owning(own), owners.TICKET)
    numbers = [reading.value for reading in found.weighed.readings]
    other = judge(weighings.reading(again, numbers))
    rows = [
        learn([Taught(rig_name="a", rig_hash="a", evidence=evidence(one))])
        for one in (found, other)
    ]
    for before, after in zip(*rows, strict=True):
        assert after.value == pytest.approx(before.value, abs=0.05 * before.shipped_sd)
        assert after.sd == pytest.approx(before.sd, rel=0.02)


def test_own_values_stand_in_for_shipped_ones() -> None:
    """The sheet has the owner's value and spread, and says from how many rigs."""
    own = {"rear-living": {"tongue_share": Own(value=0.15, sd=0.01, rigs=14)}}
    rig = owners.rig(0).owning(own)
    sheet = prior(rig).sheet
    assert sheet.ties["tongue_share"].value == 0.15
    assert sheet.ties["tongue_share"].sd == pytest.approx(0.01)
    assert sheet.parameters["trailer.empty.cg"].source.startswith("from 14 of your own rigs")
    assert sheet.parameters["trailer.empty.cg"].rigs == 14
    assert prior(owners.rig(0)).sheet.parameters["trailer.empty.cg"].rigs == 0
    assert rig.model_copy(update={"name": "other"}).owned == own


def test_the_file_reads_back(tmp_path: Path) -> None:
    """What was written is read to the digits it has, and the file that was there is kept."""
    rows, path = learn([taught(k) for k in range(5)]), tmp_path / NAME
    assert write_owned(path, rows) is None
    found = read_owned(path)
    for row in rows:
        own = found[row.style][row.name]
        assert own.rigs == row.rigs
        assert own.value == pytest.approx(row.value, rel=1e-4)
        assert own.sd == pytest.approx(row.sd, rel=1e-3)
    before = path.read_text()
    kept = write_owned(path, learn([taught(0)]))
    assert kept is not None
    assert kept.read_text() == before
    assert tomllib.loads(path.read_text())["trailers"]["rear-living"]["tongue_share"]["rigs"] == 1


def test_no_file_is_no_values(tmp_path: Path) -> None:
    """Where nothing was learned, or the file was deleted, the shipped values stand."""
    assert read_owned(tmp_path / NAME) == {}


SOUND = owned_text(learn([taught(k) for k in range(5)]))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (r"learned = 1", "", "line 1: expected `learned = 1` as first key"),
        (r"learned = 1", "learned = 2", "learned: expected at most 1, found 2"),
        (r"\[trailers\.", "[trailer.", "trailer: expected"),
        (r"rear-living", "rear-livin", 'did you mean "rear-living"'),
        (r"tongue_share", "tongue_sahre", 'did you mean "tongue_share"'),
        (r"rigs = 5", "rigs = 0", "rigs: expected at least 1"),
        (r"rigs = 5", "rigs = 2.5", "rigs: expected a whole number"),
        (r"spread = [0-9.]+", "spread = 0.0", "spread: expected 0.0"),
        (r"spread = [0-9.]+", "spread = nan", "spread: expected a finite number"),
        (r"value = [0-9.]+", "value = 12.0", "value: expected 0.0"),
        (r"value = [0-9.]+", "value = 'much'", "value: expected a number"),
        (r"value = [0-9.]+, ", "", "value: expected a "),
        (r"\}", "", "expected TOML"),
    ],
)
def test_nonsense_in_the_file_is_one_sentence(
    tmp_path: Path, old: str, new: str, said: str
) -> None:
    """Each names the file, and the key where there is one."""
    path = tmp_path / NAME
    path.write_text(re.sub(old, new, SOUND, count=1), encoding="utf-8")
    with pytest.raises(FileFaultError) as caught:
        read_owned(path)
    assert said in str(caught.value)
    assert NAME in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1


@pytest.fixture
def book(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the logbook lies."""
    path = tmp_path / "logbook.sqlite"
    monkeypatch.setenv("STEELYARD_LOGBOOK", str(path))
    (tmp_path / "rig.toml").write_text(RIG, encoding="utf-8")
    return path


def run(*words: str) -> Result:
    """Run the program; nothing may escape but an exit code."""
    result = CliRunner().invoke(main, list(words))
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert "Traceback" not in result.output
    return result


def weighing(k: int) -> Weighing:
    """The k-th rig's weighing, to be kept."""
    one = taught(k)
    return replace(
        made(str(k)), rig_name=one.rig_name, rig_hash=one.rig_hash, evidence=one.evidence
    )


def keep(path: Path, *weighings: Weighing) -> None:
    """Put them into a logbook."""
    with Logbook.open(path) as book:
        for one in weighings:
            book.add(one)


def test_learn_and_check(book: Path) -> None:
    """`learn` writes the file beside the logbook; `check` says so, `--shipped` leaves it out."""
    keep(book, *map(weighing, range(14)))
    result = run("learn")
    assert result.exit_code == 0
    assert "no random sample" in result.output
    assert "Never weighed, so as shipped: trailers rear-bunk" in result.output
    assert (book.parent / NAME).exists()
    rig = str(book.parent / "rig.toml")
    words = ("check", rig, "--all")
    with_own, shipped = run(*words).output, run(*words, "--shipped").output
    assert "from 14 of your own rigs" in " ".join(with_own.split())
    assert "your own rigs" not in shipped
    (book.parent / NAME).unlink()
    assert run(*words).output == shipped


def test_only_show_writes_nothing(book: Path) -> None:
    """`--only-show` answers and leaves no file; JSON has what the table has."""
    keep(book, *map(weighing, range(3)))
    found = json.loads(run("learn", "--only-show", "--json").output)
    assert [one["rigs"] for one in found["values"]] == [3, 3]
    assert not (book.parent / NAME).exists()


def test_it_is_drawn(book: Path) -> None:
    """`--figure` draws shipped and own, and tells of the sample."""
    keep(book, *map(weighing, range(3)))
    picture = book.parent / "learned.svg"
    assert run("learn", "--figure", str(picture)).exit_code == 0
    text = picture.read_text(encoding="utf-8")
    assert "tongue share" in text
    assert "no random sample" in text


@pytest.mark.parametrize("kept", [False, True])
def test_an_empty_log_is_one_sentence(book: Path, *, kept: bool) -> None:
    """No logbook, or one without a weighing: exit 2, one sentence, nothing written."""
    if kept:
        keep(book)
    result = run("learn")
    assert result.exit_code == 2
    assert len(result.output.strip().splitlines()) == 1
    assert not (book.parent / NAME).exists()


def test_nonsense_stops_every_answer_and_is_learned_over(book: Path) -> None:
    """A file edited into nonsense is one sentence from `check`; `learn` writes it anew and keeps
    what was there."""
    keep(book, *map(weighing, range(3)))
    (book.parent / NAME).write_text("learned = 1\nboat = 3\n", encoding="utf-8")
    result = run("check", str(book.parent / "rig.toml"))
    assert result.exit_code == 2
    assert f"{NAME}, line 2, boat" in result.output
    assert run("check", str(book.parent / "rig.toml"), "--shipped").exit_code != 2
    assert run("learn").exit_code == 0
    assert run("check", str(book.parent / "rig.toml")).exit_code != 2
    assert any("boat = 3" in one.read_text() for one in book.parent.glob(f"*{NAME}*bak*"))


def test_an_older_log_is_read_anew(book: Path) -> None:
    """Weighings written before what they say of styles was kept are reconciled from their own
    files; those that cannot be read are counted, and nothing of them is lost."""
    ticket = {"ticket": 1, "passes": weighings.said(weighings_of_ticket())}
    old = replace(
        made("old"), rig_name="old", rig_hash="o", rig_text=RIG, ticket_text=tomlkit.dumps(ticket)
    )
    keep(book, old, made("unreadable"))
    result = run("learn")
    said = " ".join(result.output.split())
    assert result.exit_code == 0
    assert "Written by an older version, read anew: 1 weighing." in said
    assert "this version cannot read them: 1 weighing (2)" in said
    with Logbook.open(book) as kept:
        assert len(kept.list()) == 2
        assert [one.evidence is None for one in kept.lessons()] == [False, True]
    again = run("learn")
    assert "read anew" not in again.output
    assert again.output.splitlines()[:8] == result.output.splitlines()[:8]


def test_a_style_of_another_version_is_left_out(book: Path) -> None:
    """A weighing of a style that this version does not know is counted, and the others learned."""
    keep(book, *map(weighing, range(3)))
    with Logbook.open(book) as kept:
        command = "SELECT fingerprint FROM weighing WHERE id = 2"
        (mark,) = kept.connection.execute(command).fetchone()
        found = json.dumps([asdict(replace(TRAILER, style="moon-base"))])
        sealed = found, seal(mark, found)
        kept.connection.execute(
            "UPDATE evidence SET found = ?, seal = ? WHERE weighing = 2", sealed
        )
    result = run("learn", "--only-show")
    assert result.exit_code == 0
    assert "this version cannot read them: 1 weighing (2)" in " ".join(result.output.split())
    assert "Learned from 2 weighings" in result.output


def weighings_of_ticket() -> dict[str, object]:
    """Passes that fit the rig."""
    front, rear, trailer = (
        weighings.platform(axle, weight=weight)
        for axle, weight in (("front", "1420 kg"), ("rear", "1410 kg"), ("trailer", "2360 kg"))
    )
    alone = [weighings.platform(a, weight=w) for a, w in (("front", "1540 kg"), ("rear", "930 kg"))]
    return {
        "coupled": {"readings": [front, rear, trailer]},
        "alone": {"arrangement": "vehicle-alone", "readings": alone},
    }


def test_a_log_merged_twice_counts_once(book: Path) -> None:
    """An export brought in twice, and one of a log that holds the same, change nothing."""
    other = book.parent / "other.sqlite"
    keep(book, *map(weighing, range(4)))
    keep(other, *map(weighing, range(2, 6)))
    with Logbook.open(other) as kept:
        text = to_json(kept.all())
    (book.parent / "other.json").write_text(text, encoding="utf-8")
    found = []
    for _ in range(2):
        assert run("log", "import", str(book.parent / "other.json")).exit_code == 0
        found.append(json.loads(run("learn", "--only-show", "--json").output))
    assert found[0] == found[1]
    assert found[0]["weighings"] == 6
    assert {one["rigs"] for one in found[0]["values"]} == {6}


def test_evidence_survives_an_export(book: Path) -> None:
    """Bit by bit, and nonsense in it is refused where it is brought in."""
    keep(book, weighing(0))
    with Logbook.open(book) as kept:
        text = to_json(kept.all())
    assert from_json(text)[0].weighing == weighing(0)
    broken = from_json(text.replace("rear-living", "rear-livin"))
    with Logbook.open(book) as kept, pytest.raises(LogbookError, match="evidence"):
        kept.bring_in(broken)


def test_changed_evidence_is_damage(book: Path) -> None:
    """An entry whose evidence is not what was written is named and left out."""
    keep(book, weighing(0), weighing(1))
    with Logbook.open(book) as kept:
        kept.connection.execute("UPDATE evidence SET found = '[]' WHERE weighing = 1")
        assert [one.id for one in kept.lessons()] == [2]
        assert len(kept.damaged) == 1


def test_spreads_in_the_file_are_half_widths() -> None:
    """value ± spread holds 95 %, as everywhere people read a spread."""
    row = tongue([taught(k) for k in range(5)])
    written = tomllib.loads(SOUND)["trailers"]["rear-living"]["tongue_share"]
    assert written["spread"] == pytest.approx(Z95 * row.sd, rel=1e-3)


def test_forgotten_cargo_is_not_the_trailers_own() -> None:
    """Five rigs with 500 lb that nobody listed: a list called complete puts them down to options on
    the style; one that is not puts down less than half as much."""
    moved = []
    for complete in (True, False):
        log = [_forgetful(k, complete=complete) for k in range(5)]
        moved.append(next(row.moved for row in learn(log) if row.name == "options_share"))
    assert moved[0] > 1.0
    assert moved[1] < 0.5 * moved[0]


def _forgetful(k: int, *, complete: bool) -> Taught:
    """The k-th rig at its best estimate but for 500 lb in the box, its list called complete or
    not."""
    laid = [
        lay(owners.rig(k).model_copy(update={"everything_listed": said}), owners.TICKET)
        for said in (True, False)
    ]
    v = dict(laid[1].prior.at_mean())
    v |= {"trailer.unlisted": np.asarray(500 * POUND), "vehicle.unlisted": np.zeros(())}
    kg = weighings.shown(laid[1], v)[:, 0]
    found = judge(weighings.reading(laid[0 if complete else 1], kg))
    return Taught(rig_name=f"rig {k}", rig_hash=f"{k}", evidence=evidence(found))


@pytest.mark.parametrize(
    ("sd", "told"), [(0.75, "25 % sharper"), (1.25, "25 % wider"), (1.001, "as before")]
)
def test_how_much_sharper_in_words(sd: float, told: str) -> None:
    """By the part of the shipped spread that is gone, or come."""
    row = Learnt(
        part="trailer",
        style="boat",
        name="cg",
        rigs=4,
        value=0.1,
        sd=sd,
        mean_sd=0.1,
        shipped=0.1,
        shipped_sd=1.0,
    )
    assert sharper_words(row) == told


def test_what_was_shipped_and_what_is_now_are_told_apart() -> None:
    """Each with 1.96 of its own sd; it moved from the one to the other."""
    row = Learnt(
        part="trailer",
        style="boat",
        name="cg",
        rigs=4,
        value=0.12,
        sd=0.02,
        mean_sd=0.01,
        shipped=0.10,
        shipped_sd=0.05,
    )
    told = "4 rigs: 10.0 ± 9.8 % shipped, 12.0 ± 3.9 % now; the next rig 60 % sharper"
    assert sentence(row) == told
    assert moved_words(row) == "+2.0"
