"""Lists of items from CSV and spreadsheets: read whole, or refused row by row."""

from pathlib import Path

import pytest

from steelyard.files import FileFaultError
from steelyard.files.manifest import manifest_csv, read_manifest
from steelyard.rig import Rig
from steelyard.typical.load import STARTERS, starter

RIG = Rig.model_validate(
    {
        "vehicle": {"class": "half-ton-crew-cab", "gcwr": "15800 lb"},
        "trailer": {"style": "rear-living", "empty": {"weight": "5240 lb"}, "gvwr": "7000 lb"},
        "places": {
            "galley": {"station": "11 ft", "title": "kitchen cupboards"},
            "rear-room": {"station": "22 ft", "title": "rear room"},
            "bed": {"on": "vehicle", "station": "152 in", "title": "pickup bed"},
        },
        "items": {"bikes": {"weight": "96 lb", "place": "bed"}},
    }
)


def read(tmp_path: Path, text: str, name: str = "list.csv") -> dict[str, dict[str, object]]:
    """The items of a list written just now."""
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return {name: dict(table) for name, table in read_manifest(path, RIG).items.items()}


def faults(tmp_path: Path, text: str) -> tuple[str, ...]:
    """The sentences a bad list is refused with."""
    with pytest.raises(FileFaultError) as caught:
        read(tmp_path, text)
    return caught.value.sentences


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("Tent,8 lb,bed\ntent,8 lb,bed\n", 'row 3, item: expected each name once, found "tent"'),
        ("BIKES,8 lb,bed\n", 'row 2, item: expected each name once, found "BIKES"'),
        ("tent,8 lb,bed\nsledge,12 lb,bed,galley\n", "row 3: expected 3 cells as in row 1"),
        ("tent,20000 lb,bed\n", "less than 15,800 lb in all, the vehicle's GCWR; found 20,000 lb"),
        (
            "tent,15800.4 lb,bed\n",
            "less than 15,800.0 lb in all, the vehicle's GCWR; found 15,800.4",
        ),
    ],
)
def test_what_a_list_must_not_hold(tmp_path: Path, rows: str, said: str) -> None:
    """A name twice, whatever its capitals; cells beyond the head; more than the rig may weigh, in
    the reader's own unit."""
    assert said in faults(tmp_path, "item,weight,place\n" + rows)[0]


def test_a_plain_list(tmp_path: Path) -> None:
    """Weights keep their unit and spread; a place is known by key or title."""
    found = read(
        tmp_path, "item,weight,place\ncooler,75 lb +- 25 lb,pickup bed\npots,20 kg,galley\n"
    )
    assert found == {
        "cooler": {"weight": "75 lb +- 25 lb", "place": "bed"},
        "pots": {"weight": "20 kg", "place": "galley"},
    }


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("Rear Room", "rear-room"),
        ("rear_room", "rear-room"),
        ("reer room", "rear-room"),
        ("Kitchen cupboard", "galley"),
        ("BED", "bed"),
    ],
)
def test_places_are_known_however_spelt(tmp_path: Path, written: str, meant: str) -> None:
    """Capitals, marks and a slip of the pen do not matter."""
    assert read(tmp_path, f"item,weight,place\npots,9 kg,{written}\n")["pots"]["place"] == meant


def test_guessed_places_are_told(tmp_path: Path) -> None:
    """A name that was only like a place's is handed back, so that a person hears of it."""
    path = tmp_path / "list.csv"
    path.write_text("item,weight,place\npots,9 kg,reer room\npan,1 kg,galley\n", encoding="utf-8")
    assert read_manifest(path, RIG).guessed == {"reer room": "rear-room"}


def test_a_unit_in_the_head(tmp_path: Path) -> None:
    """`weight (lb)` and `length [in]` serve cells without a unit of their own."""
    text = "Item;Weight (lb);Place;length [in];width [in];height [in];importance\n"
    found = read(tmp_path, text + "crate;55;galley;24;18;12;8\n")["crate"]
    assert found["weight"] == "55 lb"
    assert found["size"] == ["24 in", "18 in", "12 in"]
    assert found["importance"] == 8


def test_every_bad_row_has_its_sentence(tmp_path: Path) -> None:
    """Each fault names its row and column, and not even the good rows are taken."""
    text = (
        "item,weight,place\n"
        "good,5 lb,galley\n"
        "bare,5,galley\n"
        "lost,5 lb,attic\n"
        "long,5 ft,galley\n"
        ",5 lb,galley\n"
        "good,6 lb,bed\n"
        "bikes,90 lb,bed\n"
    )
    found = faults(tmp_path, text)
    assert [one.split(": ")[0] for one in found] == [
        "list.csv, row 3, weight",
        "list.csv, row 4, place",
        "list.csv, row 5, weight",
        "list.csv, row 6, item",
        "list.csv, row 7, item",
        "list.csv, row 8, item",
    ]
    assert "each name once" in found[4]


def test_wrong_units_show_in_the_sum(tmp_path: Path) -> None:
    """More in all than the whole rig may weigh asks about the unit."""
    rows = "".join(f"thing {n},{600 + n} t,galley\n" for n in range(3))
    assert "is the unit" in faults(tmp_path, "item,weight,place\n" + rows)[0]


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "one column item"),
        ("item,place\na,galley\n", "one column weight"),
        ("item,weight,place\n", "at least one row"),
        ("item,weight,place,colour\na,1 lb,galley,red\n", "colour"),
        ("item,weight,place,length\na,1 lb,galley,1 m\n", "together"),
        ("item,weight,place,importance\na,1 lb,galley,11\n", "0 to 10"),
    ],
)
def test_bad_lists_are_one_sentence(tmp_path: Path, text: str, word: str) -> None:
    """What is wrong with a list is said in a sentence that starts with its name."""
    (found,) = faults(tmp_path, text)
    assert found.startswith("list.csv")
    assert word in found


def test_a_spreadsheet_reads_alike(tmp_path: Path) -> None:
    """The first sheet of an xlsx file is read as the same rows, numbers and all."""
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    for row in (
        ("Item", "Weight (kg)", "Place"),
        ("pots", 9.5, "Galley"),
        ("dog", 30, "rear room"),
    ):
        book.active.append(row)
    book.save(tmp_path / "list.xlsx")
    found = read_manifest(tmp_path / "list.xlsx", RIG).items
    assert found == {
        "pots": {"weight": "9.5 kg", "place": "galley"},
        "dog": {"weight": "30 kg", "place": "rear-room"},
    }


def test_no_spreadsheet_at_all(tmp_path: Path) -> None:
    """A file that only has the name of a spreadsheet is one sentence, not a crash."""
    (tmp_path / "list.xlsx").write_text("item,weight,place\n", encoding="utf-8")
    with pytest.raises(FileFaultError, match="xlsx"):
        read_manifest(tmp_path / "list.xlsx", RIG)


@pytest.mark.parametrize("kind", STARTERS)
def test_starter_lists_are_honest(kind: str, tmp_path: Path) -> None:
    """Each starter item has a spread and a source, and the list can be read back once placed."""
    listed = starter(kind)
    assert all("+-" in one["weight"] and one["source"] for one in listed.values())
    rows = [{"item": n, "weight": one["weight"], "place": "galley"} for n, one in listed.items()]
    assert len(read(tmp_path, manifest_csv(rows))) == len(listed)
