"""`steelyard match` and `steelyard compare`: tables, folders, faults, files written."""

import csv
import json
import re
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from tests.match_door import CAMPER, DEMO, HEAD, run

from steelyard.cli.match_words import _standing
from steelyard.files import FileFaultError
from steelyard.files.candidate_tables import parts
from steelyard.files.demo import demo_rigs
from steelyard.matching.block_answers import Block
from steelyard.matching.compare import Because, Comparison
from steelyard.matching.pair_remedies import Remedy
from steelyard.matching.pairing import TYPICAL
from steelyard.matching.rank import LISTS, Pair, Summary
from steelyard.ratings import LimitStatus, Verdict, severity
from steelyard.ratings.judge import UNKNOWN, WITHIN
from steelyard.words.matched import (
    _broken,
    _not_known,
    first_sentence,
    reason,
    remedy_line,
    sway_line,
    value,
)

TRAILERS = str(DEMO / "perihelion-candidates.csv")


def table(folder: Path, text: str, name: str = "trailers.csv") -> str:
    """A table written into a folder."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_table_is_ranked_and_written(tmp_path: Path) -> None:
    """Twelve candidates behind one vehicle: told at 80 columns, written as CSV in that order, with
    the room by each kind of limit that the words tell."""
    out = tmp_path / "found.csv"
    code, text, _ = run("match", CAMPER, TRAILERS, "--best", "12", "--out", str(out))
    assert code in (0, 1, 3)
    rows = list(csv.DictReader(out.read_text(encoding="utf-8").splitlines()))
    assert [row["list"] for row in rows] == sorted((row["list"] for row in rows), key=LISTS.index)
    for name in LISTS:
        places = [row["place"] for row in rows if row["list"] == name]
        assert places == [str(place) for place in range(1, len(places) + 1)]
    assert rows[0]["trailer"].split()[0] in text
    assert max(len(line) for line in text.splitlines() if not line.startswith("Written")) <= 80
    plover = next(row for row in rows if row["trailer"] == "Plover")
    assert plover["standing_full_rating"] == "unknown"
    assert plover["cargo_room_kg"] == ""
    wren = next(row for row in rows if row["trailer"] == "Wren 14")
    for kind, column in (("weight ratings known", "ratings"), ("tongue band", "band")):
        pounds = float(wren[f"cargo_room_{column}_kg"]) / 0.45359237
        told = f"Room in the trailer by the {kind}: {pounds:,.0f} lb at the best estimate"
        assert told in " ".join(text.partition("with Wren 14")[2].split())
    weights = ("tongue_kg", "cargo_room_ratings_kg", "cargo_room_band_kg")
    cells = " ".join(f"{float(wren[name]) / 0.45359237:,.0f}" for name in weights)
    listed = " ".join(text.split())
    assert f"{100 * float(wren['tongue_share']):.1f} % {cells}" in listed
    otter = next(row for row in rows if row["trailer"] == "Otter 26")
    assert f"Otter 26 ▲ {otter['ratings_exceeded']}, ? {otter['ratings_not_known']} ▲" in listed
    assert otter["ratings_exceeded"] != otter["ratings_not_known"]


def test_parquet_and_json_hold_the_same(tmp_path: Path) -> None:
    """The same pairs in the same order from Parquet, JSON and standard output."""
    polars = pytest.importorskip("polars")
    for name in ("found.parquet", "found.json"):
        run("match", CAMPER, TRAILERS, "--best", "0", "--out", str(tmp_path / name))
    frame = polars.read_parquet(tmp_path / "found.parquet")
    pairs = json.loads((tmp_path / "found.json").read_text(encoding="utf-8"))["pairs"]
    printed = json.loads(run("match", CAMPER, TRAILERS, "--best", "0", "--json")[1])["pairs"]
    names = frame["trailer"].to_list()
    assert names == [pair["trailer"] for pair in pairs] == [pair["trailer"] for pair in printed]
    polars.read_csv(TRAILERS).write_parquet(tmp_path / "in.parquet")
    again = json.loads(run("match", CAMPER, str(tmp_path / "in.parquet"), "--json")[1])["pairs"]
    assert [pair["trailer"] for pair in again] == names


def test_without_polars_parquet_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No Polars: CSV works, Parquet is refused with what to install."""
    monkeypatch.setitem(sys.modules, "polars", None)
    code, _, errors = run("match", CAMPER, TRAILERS, "--out", str(tmp_path / "found.parquet"))
    assert code == 2
    assert "steelyard[tables]" in errors
    assert run("match", CAMPER, TRAILERS, "--out", str(tmp_path / "found.csv"))[0] != 2


def test_bad_rows_are_named_and_the_rest_is_done(tmp_path: Path) -> None:
    """A cell without a unit, a word that is no style and one cell too many: each named by its row;
    units may differ from row to row, and the good rows are answered. Exit code 2."""
    text = (
        "name,trailer.style,trailer.gvwr,trailer.empty.weight\n"
        "good,rear-living,7000 lb,5000 lb\n"
        "metric,rear-living,3175 kg,2268 kg\n"
        "bare,rear-living,7000,5000 lb\n"
        "odd,rear-livin,7000 lb,5000 lb\n"
        "long,rear-living,7000 lb,5000 lb,more\n"
    )
    code, out, errors = run("match", CAMPER, table(tmp_path, text), "--best", "0")
    assert code == 2
    assert [f"row {n}" in errors for n in (2, 3, 4, 5, 6)] == [False, False, True, True, True]
    assert "trailer.gvwr: expected a weight with its unit" in errors
    assert "good" in out
    assert "metric" in out
    assert out.startswith("2 pairs")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("name,trailer.gvwr (lb)\na,7000\n", "expected a column trailer.style"),
        ("name,trailer.style\na,boat\n", "expected a column trailer.gvwr or trailer.empty.weight"),
        (HEAD, "expected at least one row"),
        (HEAD.replace("gvwr", "gvrw") + "a,boat,7000,5000\n", 'did you mean "gvwr"'),
        (HEAD.replace("name", "vehicle.gvwr") + "a,boat,1,2\n", 'found "vehicle.gvwr"'),
        (HEAD.replace("name", "trailer.style") + "boat,boat,1,2\n", "trailer.style again"),
        ("", "expected a column trailer.style"),
    ],
)
def test_a_table_without_its_columns_is_refused(tmp_path: Path, text: str, said: str) -> None:
    """One clear sentence for each: what is due and what was found."""
    code, _, errors = run("match", CAMPER, table(tmp_path, text))
    assert code == 2
    assert said in errors


def test_a_trailer_without_any_rating_fits_nothing(tmp_path: Path) -> None:
    """A weight and nothing else: answered as `check` would, no pass, what is not known counted, and
    no room promised."""
    path = table(tmp_path, "name,trailer.style,trailer.empty.weight\nbare,rear-living,4000 lb\n")
    code, out, _ = run("match", CAMPER, path)
    assert code == 3
    assert "0 fit, 1 may fit" in out
    assert re.search(r"‡, \? \d", out)
    assert "GVWR is not known" in out
    assert "Room in the trailer cannot be said" in out


def test_a_trailer_that_cannot_stand_is_said_to(tmp_path: Path) -> None:
    """All its weight 18 ft behind its axles: no number is made up, and what to look at is said."""
    row = "absurd,rear-living,15000 lb,11000 lb,28 ft,10 ft\n"
    text = (
        "name,trailer.style,trailer.gvwr,trailer.empty.weight,trailer.empty.cg,"
        "trailer.axles.station\n" + row
    )
    code, out, errors = run("match", CAMPER, table(tmp_path, text))
    assert code == 1
    assert "would not stand on its axles" in out
    assert "nan" not in out
    assert not errors


def test_the_demo_shows_each_list() -> None:
    """The demo's tables hold pairs that are within, tight, that nobody can tell, and exceeded, and
    the lists stand in that order with room by weights and by the tongue band told apart."""
    vehicles = str(DEMO / "perihelion-vehicles.csv")
    code, out, _ = run("match", vehicles, TRAILERS, "--best", "40", "--no-help")
    assert code == 0
    heads = [out.index(head) for head in ("\nFits:", "\nMay fit:", "\nDoes not fit:")]
    assert heads == sorted(heads)
    for mark in ("● within", "◐ tight", "‡ cannot tell", "▲ exceeded"):
        assert mark in out
    assert "by the weight ratings known" in out
    assert "by the tongue band" in out
    assert max(len(line) for line in out.splitlines()) <= 80


def test_duplicate_names_are_told_apart(tmp_path: Path) -> None:
    """Two rows of one name are two trailers; the second is named by its row, and that is said."""
    path = table(tmp_path, HEAD + "twin,boat,3000,900\ntwin,boat,3500,1000\n")
    code, out, errors = run("match", CAMPER, path)
    assert code != 2
    assert "twin (row 3)" in errors
    assert "twin (row 3)" in out


def test_folders_with_faults(tmp_path: Path) -> None:
    """An empty folder is refused; one unreadable file in a folder is named, the others answered."""
    assert "found none" in run("match", CAMPER, str(tmp_path))[2]
    (tmp_path / "good.toml").write_text(Path(CAMPER).read_text("utf-8"), encoding="utf-8")
    (tmp_path / "bad.toml").write_bytes(b"\xff\xfe not toml")
    part = 'format = 1\n[vehicle]\nclass = "van"\ngvwr = "8600 lb"\n'
    (tmp_path / "part.toml").write_text(part, encoding="utf-8")
    code, out, errors = run("match", str(tmp_path), TRAILERS, "--best", "0")
    assert code == 2
    assert "bad.toml" in errors
    assert "part" in out
    assert "club pickup" in out
    assert run("match", str(tmp_path / "gone.csv"), TRAILERS)[0] == 2


def test_parts_hold_no_more_than_asked(tmp_path: Path) -> None:
    """A table is read so many rows at a time, none lost between."""
    rows = "".join(f"t{n},boat,3000,{900 + n}\n" for n in range(53))
    sizes = [len(part.rigs) for part in parts(table(tmp_path, HEAD + rows), "trailer", 20)]
    assert sizes == [20, 20, 13]
    with pytest.raises(FileFaultError):
        list(parts(tmp_path / "none", "trailer"))


def test_compare_says_it_in_one_sentence_and_sums() -> None:
    """Two stages of one rig: the sentence first, the rows' sum is the difference of the ball."""
    whole = json.loads(
        run("compare", CAMPER, "--stage-a", "leaving-home", "--stage-b", "dark-sky-site", "--json")[
            1
        ]
    )
    total = sum(row["difference_kg"] for row in whole["rows"])
    assert total == pytest.approx(whole["tongue_b_kg"] - whole["tongue_a_kg"], abs=1e-9)
    assert "black tank" in whole["sentence"]
    assert "“leaving home”" in whole["sentence"].lower()
    assert "“leaving the dark-sky site”" in whole["sentence"].lower()
    code, text, _ = run("compare", CAMPER, str(DEMO / "perihelion-tractor.toml"))
    assert code == 0
    assert text.startswith("“Perihelion tractor” puts")
    assert max(len(line) for line in text.splitlines()) <= 80
    assert run("compare", CAMPER)[0] == 2
    assert run("compare", CAMPER, CAMPER, "--stage-a", "nowhere")[0] == 2


def test_compare_in_kilograms_speaks_of_no_pound() -> None:
    """A reader in kilograms has every row in them, what is too small to list too."""
    stages = ("--stage-a", "leaving-home", "--stage-b", "back-home", "--units", "metric")
    code, out, _ = run("compare", CAMPER, *stages)
    assert code == 0
    assert "kg" in out
    assert "pound" not in out


def test_compare_of_one_with_itself(tmp_path: Path) -> None:
    """Nothing differs, and the sentence says so instead of naming no pounds more or less."""
    same = tmp_path / "rig.toml"
    same.write_text(demo_rigs()["perihelion-camper.toml"], encoding="utf-8")
    code, out, _ = run("compare", str(same), str(same))
    assert code == 0
    assert "puts as much on the ball as" in " ".join(out.split())


def test_a_word_where_columns_go_on_below_is_told(tmp_path: Path) -> None:
    """A column `trailer.axles` beside `trailer.axles.first.gawr`: named, and no crash."""
    head = "name,trailer.style,trailer.gvwr,trailer.axles,trailer.axles.first.gawr\n"
    path = tmp_path / "lot.csv"
    path.write_text(head + "Finch,rear-living,6000 lb,2,3500 lb\n", encoding="utf-8")
    (found,) = parts(path, "trailer")
    (fault,) = found.faults
    assert (fault.path, fault.due, fault.row) == (("trailer", "axles"), "a table", 2)
    assert not found.rigs


@pytest.mark.parametrize(
    ("codes", "told"),
    [
        ((UNKNOWN, WITHIN, UNKNOWN), "2 ratings are not known, which is no pass: GVWR, coupler."),
        ((WITHIN, UNKNOWN, WITHIN), "One rating is not known, which is no pass: ball."),
    ],
)
def test_ratings_not_known_are_counted_and_named(codes: tuple[int, ...], told: str) -> None:
    """Whatever else is exceeded: it is not what is not known."""
    limits = [SimpleNamespace(title=title, due="") for title in ("GVWR", "ball", "coupler")]
    verdict = np.array(codes)[:, None, None]
    block = SimpleNamespace(stages=(TYPICAL,), limits=limits, verdict=verdict, unsaid=())
    found = SimpleNamespace(unknown=np.sum(verdict == UNKNOWN, axis=(0, 1)), failed=np.array([3]))
    assert list(_not_known(cast("Block", block), cast("Summary", found), 0)) == [told]


def test_a_row_tells_each_trailers_own_number() -> None:
    """100 kg in a and 250 in b; nothing where one has no such thing."""
    row = SimpleNamespace(value_a=100.0, value_b=250.0, dimension="mass")
    told = [value(cast("Because", row), which, "metric") for which in ("a", "b")]
    assert told == ["100 kg", "250 kg"]
    row.value_b = None
    assert value(cast("Because", row), "b", "metric") == ""


@pytest.mark.parametrize(
    ("ball", "mass", "told"),
    [
        (100.0, 500.0, "puts 100 kg more on the ball than “A”, and is 500 kg heavier."),
        (-100.0, -500.0, "puts 100 kg less on the ball than “A”, and is 500 kg lighter."),
        (100.0, -500.0, "puts 100 kg more on the ball than “A”, though it is 500 kg lighter."),
        (-100.0, 500.0, "puts 100 kg less on the ball than “A”, though it is 500 kg heavier."),
        (0.0, 500.0, "puts as much on the ball as “A”, though it is 500 kg heavier."),
        (100.0, 0.0, "puts 100 kg more on the ball than “A”."),
    ],
)
def test_how_two_trailers_differ_in_a_sentence(ball: float, mass: float, told: str) -> None:
    """Which of the two is the heavier, on the ball and as a whole, each with its own sign."""
    a, b = (
        SimpleNamespace(trailer_kg=SimpleNamespace(value=2000.0 + more)) for more in (0.0, mass)
    )
    names = {"name_a": "A", "name_b": "B", "rows": (), "stage_a": a, "stage_b": b}
    found = cast("Comparison", SimpleNamespace(**names, difference_kg=ball))
    assert first_sentence(found, "metric") == f"“B” {told}"


@pytest.mark.parametrize(
    ("ratio", "wags", "may", "told"),
    [
        (0.12, 35.0, 0.0, "dies out with damping ratio 0.12; it grows from 126 km/h on."),
        (0.12, 35.0, 0.03, "from 126 km/h on (3.0 % chance that it does at 100 km/h)."),
        (0.3, 89.0, 0.0, "dies out with damping ratio 0.30; it grows from 320 km/h on."),
        (0.3, 91.0, 0.0, "dies out with damping ratio 0.30; it grows at no speed."),
        (-0.02, 25.0, 0.9, "a swing grows: it does from 90 km/h on."),
        (float("nan"), 25.0, 0.9, "not known, an axle carries nothing."),
    ],
)
def test_how_a_pair_sways_in_a_sentence(ratio: float, wags: float, may: float, told: str) -> None:
    """At 100 km/h, with the speed from which a swing grows and the chance that it does already."""
    numbers = {"damping": ratio, "wags": wags, "wags_chance": may}
    rows = {name: np.array([[x]]) for name, x in numbers.items()}
    block = SimpleNamespace(stages=(TYPICAL,), speed=100 / 3.6, **rows)
    assert sway_line(cast("Block", block), 0, "metric").endswith(told)


@pytest.mark.parametrize(
    ("name", "more", "fewer"),
    [
        ("mass behind the axles", "more of its own weight towards", "less of its own weight"),
        ("axle place along the box", "axles further back", "axles further forward"),
        ("weight of the empty trailer", "trailer is heavier", "trailer is lighter"),
        ("length of the box", "a longer box", "a shorter box"),
    ],
)
def test_a_reason_names_what_the_second_has_more_of(name: str, more: str, fewer: str) -> None:
    """By its own values, whatever that does on the ball, which has its own sign."""
    for a, b, told in ((1.0, 2.0, more), (2.0, 1.0, fewer)):
        row = SimpleNamespace(name=name, value_a=a, value_b=b, difference_kg=-10.0)
        said = reason(cast("Because", row), "metric")
        assert told in said
        assert said.endswith("(−10 kg)")


@pytest.mark.parametrize(
    ("mends", "unknown", "told"),
    [
        (True, 0, "Fit it, now: nothing is exceeded any more."),
        (True, 2, "Fit it, now: nothing known is exceeded any more; some ratings are not known."),
        (False, 0, "Fit it, now: helps, but still over: rear axle."),
    ],
)
def test_a_remedy_says_what_is_left(mends: bool, unknown: int, told: str) -> None:
    """A rating that is not known is no pass after a change either."""
    block = SimpleNamespace(limits=[SimpleNamespace(name="r", title="rear axle")])
    one = SimpleNamespace(what="Fit it: now", mends=mends, left=("r",), new=(), block=block)
    one.found = SimpleNamespace(unknown=[unknown])
    assert remedy_line(cast("Remedy", one)) == told


@pytest.mark.parametrize(
    ("margin", "told"),
    [
        (-10.0, "GVWR 10 kg over its 500 kg rating"),
        (-0.9, "GVWR 1 kg over its 500 kg rating"),
        (10.0, "GVWR 10 kg under its 500 kg rating, yet 85 % chance of not holding"),
    ],
)
def test_what_is_exceeded_with_room_left_tells_its_chance(margin: float, told: str) -> None:
    """Where the best estimate alone would hold, why it is called exceeded."""
    one = SimpleNamespace(
        verdict="exceeded", name="trailer.gvwr", measure="weight", rating=500.0, margin=margin
    )
    one.title, one.side, one.band, one.chance, one.lifts = "GVWR", "over", None, 0.85, False
    assert _broken(cast("LimitStatus", one), "metric") == told


def test_a_pair_is_told_in_its_own_trades_words(tmp_path: Path) -> None:
    """An Australian pair reads of tyres and no GVWR, a pintle's of its hook and ring."""
    vehicle = '[vehicle]\nclass = "three-quarter-ton"\ngvwr = "4500 kg"\n'
    trailer = '[trailer]\nstyle = "flatbed-equipment"\ngvwr = "3000 kg"\n'
    rigs = {
        "australian": f'format = 1\nregion = "australia-new-zealand"\n{vehicle}{trailer}',
        "pintle": f'format = 1\n{vehicle}[hitch]\nkind = "pintle"\n{trailer}',
    }
    texts = {}
    for name, text in rigs.items():
        path = tmp_path / f"{name}.toml"
        path.write_text(text, encoding="utf-8")
        code, said, _ = run("match", str(path), str(path))
        assert code in (1, 3)
        texts[name] = " ".join(said.split())
    assert "Loaded up to the trailer's gross mass rating" in texts["australian"]
    assert not re.search(r"\btires?\b|GVWR", texts["australian"])
    assert "share pintle hook room" in texts["pintle"]
    assert not re.search(r"\b(ball|coupler)\b", texts["pintle"])


@pytest.mark.parametrize("stating", ["vehicle", "trailer", "both"])
@pytest.mark.parametrize(
    ("country", "words", "held"),
    [
        ("AU", ("trailer's ATM", "km/h"), {"rules.chains", "rules.tow-ratio-unrated"}),
        ("NZ", ("trailer's GVM", "km/h"), set()),
        ("GB", ("trailer's MTPLM", "mph"), set()),
    ],
)
def test_a_pair_is_told_and_held_as_in_the_country_that_one_of_its_files_states(
    tmp_path: Path, country: str, words: tuple[str, ...], held: set[str], stating: str
) -> None:
    """The plate's words, units and rules are those of `check` on both in one file, whichever of the
    files states it: Australia's chains and ratio bind no trailer of 2.6 t in New Zealand."""
    vehicle = '[vehicle]\nclass = "three-quarter-ton"\ngvwr = "4500 kg"\n'
    trailer = '[trailer]\nstyle = "centre-axle-caravan"\ngvwr = "2600 kg"\n'
    head, names = {True: f'country = "{country}"\n', False: ""}, ("vehicle", "trailer")
    whole = tmp_path / "whole.toml"
    whole.write_text(f"format = 1\n{head[True]}{vehicle}{trailer}", encoding="utf-8")
    for name, part in zip(names, (vehicle, trailer), strict=True):
        text = f"format = 1\n{head[stating in (name, 'both')]}{part}"
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    files = [str(tmp_path / f"{name}.toml") for name in names]
    _, text, _ = run("match", *files)
    assert all(word in " ".join(text.split()) for word in words)
    (pair,) = json.loads(run("match", *files, "--json")[1])["pairs"]
    assert any(words[1] in reason for reason in pair["reasons"])
    stages = json.loads(run("check", str(whole), "--json")[1])["stages"]
    for stage in (*pair["stages"], *stages):
        rules = {one["name"] for one in stage["limits"]}
        assert {name for name in rules if name.startswith("rules.")} == held


@pytest.mark.parametrize(
    ("standing", "list_", "said"),
    [
        ("exceeded", "does-not-fit", "▲ 2, ? 3"),
        ("cannot tell", "does-not-fit", "‡ 2, ? 3"),
        ("cannot tell", "may-fit", "‡, ? 3"),
        ("unknown", "may-fit", "? 3"),
    ],
)
def test_the_list_bears_the_mark_of_the_pair(standing: Verdict, list_: str, said: str) -> None:
    """What is likelier exceeded than not, and no more, is no `▲` over a `‡` in the pair's title."""
    found = SimpleNamespace(failed=[2], unknown=[3], standing=[severity(standing)])
    pair = SimpleNamespace(found=found, number=0, list=list_)
    assert _standing(cast("Pair", pair)) == said
