"""Tables read as columns say, row by row, what each row says when it is read by itself."""

import random
from pathlib import Path

import numpy as np
import pytest

from steelyard.columns.alike import kind_of, stated
from steelyard.fault import sentence
from steelyard.files import table_frames
from steelyard.files.candidate_tables import Read, _facts, parts

pl = pytest.importorskip("polars")

HEAD = (
    "name,trailer.style,trailer.gvwr (lb),trailer.empty.weight (lb),trailer.empty.weight.kind,"
    "trailer.empty.tongue_weight,trailer.length (ft),trailer.axles.count,trailer.axles.gawr (lb),"
    "trailer.axles.tires.load_index,trailer.brakes,trailer.title,hitch.coupler.rating_trailer (lb),"
    "trailer.tanks.fresh.capacity (gal),trailer.tanks.fresh.content,trailer.tanks.fresh.station,"
    "trailer.empty.cg,trailer.empty.cg.spread,note"
)


def _number(draw: random.Random, low: int, high: int, unit: str = "") -> str:
    x = draw.randint(low, high)
    odd = ("oak", f"-{x}", "1e99 lb", f"{x} psi", f"{x}e0", "", "0", f"{x}.250 kg")
    usual = (f" {x / 2.2046:.1f} kg ", f"{x} lb +- {x // 20} lb", f"{x} lb +- 5 %", f"{x} lb")
    if draw.random() < 0.85:
        return f"{x}{unit}"
    return draw.choice(usual if draw.random() < 0.7 else odd)


def _row(draw: random.Random, k: int) -> list[str]:
    """A row of a trailer, now and then with a fault or another spelling."""
    rare = draw.random() < 0.02
    tank = draw.choice([("", "", ""), ("", "", ""), ("40", "fresh", "3 m"), ("40", "", "3 m")])
    tongue = _number(draw, 2000, 9000, " lb") if rare else _number(draw, 200, 800, " lb")
    return [
        draw.choice([f"t{k}", f"t{k // 3}", "", " pad "]),
        "oak" if rare else draw.choice(["rear-living", "boat", "enclosed-cargo"]),
        _number(draw, 3000, 9000),
        _number(draw, 1500, 6000),
        draw.choice(["", "", "dry"]),
        tongue,
        draw.choice(["22", "22.5", "25 ft 4 in", "7.72 m"]),
        draw.choice(["2", "2.0", "9" if rare else "2"]),
        _number(draw, 2500, 4000),
        draw.choice(["", "113"]),
        draw.choice(["yes", "no", ""]),
        draw.choice(["", "a title", "t" * 81 if rare else f"title {k}"]),
        _number(draw, 5000, 9000),
        *tank,
        draw.choice(["", "", "3 m"]),
        draw.choice(["", "", "20 cm"]),
        f"lot {k}",
    ]


def _table(path: Path, n: int, mark: str) -> Path:
    draw = random.Random(5)
    lines = [HEAD.split(",")]
    for k in range(n):
        row = _row(draw, k)
        lines.append(draw.choice([[*row, "more"], row[:5], [""] * 3]) if k > n - 40 else row)
    path.write_text("".join(mark.join(row) + "\n" for row in lines), encoding="utf-8")
    return path


def _same(one: Read, other: Read) -> None:
    assert [*map(sentence, one.faults)] == [*map(sentence, other.faults)]
    assert one.remarks == other.remarks
    assert one.rows.tolist() == other.rows.tolist()
    assert list(one.rigs.items()) == list(other.rigs.items())


def _grouped(read: Read) -> None:
    """Every rig is in one group, of its kind, with its own numbers to the last digit."""
    assert read.rigs.groups is not None
    members = np.concatenate([group.members for group in read.rigs.groups])
    assert sorted(members.tolist()) == list(range(len(read.rigs)))
    for group in read.rigs.groups:
        facts = [_facts(read.rigs[int(member)], "trailer") for member in group.members]
        assert len({kind_of(fact) for fact in facts}) == 1
        own = group.numbers.within(facts[0])
        for k, fact in enumerate(facts):
            said = list(stated(fact))
            assert tuple(path for path, _ in said) == own.paths
            assert own.value[k].tolist() == [one.value for _, one in said]
            sd = np.array([np.nan if one.sd is None else one.sd for _, one in said])
            np.testing.assert_array_equal(own.sd[k], sd)


@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_columns_say_what_rows_say(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mark: str
) -> None:
    """Names, rigs, faults and remarks of 400 rows of every spelling, the last 40 short, long or
    empty; and what is alike is."""
    path = _table(tmp_path / "lot.csv", 400, mark)
    monkeypatch.setattr(table_frames, "SLIGHT", 0)
    columns = list(parts(path, "trailer", 150))
    monkeypatch.setattr(table_frames, "has_polars", lambda: False)
    rows = list(parts(path, "trailer", 150))
    assert len(columns) == len(rows) == 3
    assert sum(len(one.rigs) for one in rows) > 100
    assert sum(len(one.faults) for one in rows) > 50
    for one, other in zip(columns, rows, strict=True):
        _same(one, other)
        _grouped(one)


def test_parquet_says_what_csv_says(tmp_path: Path) -> None:
    """The same table as Parquet with columns of numbers, empty cells null."""
    path = tmp_path / "lot.csv"
    head = "name,trailer.style,trailer.gvwr (lb),trailer.empty.weight (kg),trailer.axles.count\n"
    lines = [f"t{k},boat,{3000 + k},{900.5 + k},{'' if k % 3 else 2}\n" for k in range(50)]
    path.write_text(head + "".join(lines), encoding="utf-8")
    pl.read_csv(path).write_parquet(tmp_path / "lot.parquet")
    (one,), (other,) = (list(parts(tmp_path / f"lot.{x}", "trailer")) for x in ("parquet", "csv"))
    assert len(one.rigs) == 50
    assert [*one.rigs] == [*other.rigs]
    _grouped(one)


def test_no_object_is_made_of_a_row(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """2,000 alike rows: one is read as a rig, and the faulty one for its sentence."""
    path = tmp_path / "lot.csv"
    head = "name,trailer.style,trailer.gvwr (lb),trailer.empty.weight (lb)\n"
    lines = [f"t{k},boat,{3000 + k},{1500 + k}\n" for k in range(2000)]
    lines[77] = "t77,boat,3000 psi,1500\n"
    path.write_text(head + "".join(lines), encoding="utf-8")
    monkeypatch.setattr(table_frames, "SLIGHT", 0)
    made: list[int] = []
    real = table_frames.Frame.row

    def row(self: table_frames.Frame, place: int) -> list[str]:
        made.append(place)
        return real(self, place)

    monkeypatch.setattr(table_frames.Frame, "row", row)
    (found,) = parts(path, "trailer", 2000)
    assert made == [0, 77]
    assert len(found.rigs) == 1999
    assert sentence(found.faults[0]).startswith("lot.csv, row 79, trailer.gvwr: expected a weight")


def test_plain_lines_end_where_a_quote_stands(tmp_path: Path) -> None:
    """A quoted name with a comma and a line's end in a later part: the rows behind keep their
    numbers, and the file is read to its end."""
    path = tmp_path / "lot.csv"
    head = "name,trailer.style,trailer.gvwr (lb),trailer.empty.weight (lb)\r\n"
    lines = [f"t{k},boat,{3000 + k},{1500 + k}\r\n" for k in range(9000)]
    lines[5000] = '"two, ""lines""\nin one",boat,3000,1500\r\n'
    lines[8000] = "late,boat,oak,1500\r\n"
    path.write_text("\ufeff" + head + "".join(lines), encoding="utf-8", newline="")
    found = list(parts(path, "trailer", 1000))
    names = [name for one in found for name in one.rigs.names]
    assert len(names) == 8999
    assert names[5000] == 'two, "lines"\nin one'
    assert names[:2] == ["t0", "t1"]
    assert [one.row for part in found for one in part.faults] == [8002]
