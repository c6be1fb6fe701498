"""Bad input is one sentence naming file, line and key; good input is read whole."""

import re
from pathlib import Path

import pytest

from steelyard.fault import FaultError
from steelyard.files import FileFaultError, parse_rig, read_rig
from steelyard.files.demo import demo_rigs
from steelyard.files.reader import decoded
from steelyard.quantity import POUND

GOOD = """format = 1
[vehicle]
class = "half-ton-crew-cab"
[trailer]
style = "rear-living"
[trailer.empty]
weight = "5200 lb"
[trailer.axles]
station = "15 ft"
[trailer.tanks.fresh]
content = "fresh"
capacity = "40 gal"
station = "12 ft"
[places.bedroom]
station = "6 ft"
capacity = "300 lb"
[items.bikes]
weight = "90 lb"
place = "bedroom"
[people.Ada]
seat = "driver"
[stages.leaving]
tanks = { fresh = "50 %" }
"""

FAULTS = [
    # what is changed in the good file, and what the one sentence must say
    ("format = 1", "format = 2", ["rig.toml", "format", "found 2", "newer Steelyard is due"]),
    ("format = 1\n", "format = 0\n", ["rig.toml", "format", "expected 1", "0"]),
    ("format = 1\n", "format = true\n", ["rig.toml", "format", "expected 1", "True"]),
    ("format = 1\n", "format = 1.0\n", ["rig.toml", "format", "expected 1", "1.0"]),
    ("format = 1\n", "", ["rig.toml", "line 1", "format = 1", "found none"]),
    ("format = 1\n", 'name = "a"\nformat = 1\n', ["line 1", "as first key", "it further down"]),
    (
        '"5200 lb"',
        '"5200 psi"',
        ["line 7", "trailer.empty.weight", "a weight", "psi is a pressure"],
    ),
    ('"5200 lb"', "5200", ["line 7", "trailer.empty.weight", "with its unit", "found 5200"]),
    ('"5200 lb"', '"0 lb"', ["line 7", "trailer.empty.weight", "above zero", "'0 lb'"]),
    ('"5200 lb"', '"-3 lb"', ["line 7", "trailer.empty.weight", "above zero", "'-3 lb'"]),
    ('"5200 lb"', '"nan lb"', ["line 7", "trailer.empty.weight", "'nan lb'"]),
    ('"5200 lb"', "nan", ["line 7", "trailer.empty.weight", "found nan"]),
    ('"5200 lb"', '"1e400 lb"', ["line 7", "trailer.empty.weight", "1e400"]),
    (
        '"rear-living"\n',
        '"rear-living"\ngvwr = "7000 lb +- 200 lb"\n',
        ["line 6", "trailer.gvwr", "one number, as it is rated", "would count for nothing"],
    ),
    ('"15 ft"', '"-2 ft"', ["line 9", "trailer.axles.station", "behind the coupler", "'-2 ft'"]),
    ('station = "15 ft"', "count = 0", ["line 9", "trailer.axles.count", "found 0"]),
    ('place = "bedroom"', 'place = "bedrom"', ["items.bikes.place", 'did you mean "bedroom"']),
    (
        '[places.bedroom]\nstation = "6 ft"\ncapacity = "300 lb"\n',
        "",
        ["items.bikes.place", "there is none yet", "[places.bedroom]"],
    ),
    ('"90 lb"', '"400 lb"', ["line 18", "items.bikes.weight", "'300 lb'", "'400 lb'"]),
    ('"50 %"', '"60 gal"', ["line 23", "stages.leaving.tanks.fresh", "'40 gal'", "'60 gal'"]),
    ('"50 %"', '"150 %"', ["stages.leaving.tanks.fresh", "150 %"]),
    ('station = "6 ft"', 'statoin = "6 ft"', ["line 15", 'did you mean "station"']),
    ('"rear-living"', '"rear-livin"', ["line 5", 'did you mean "rear-living"']),
    ('seat = "driver"', 'seat = "drivr"', ["people.Ada.seat", 'did you mean "driver"']),
    ("[vehicle]", "[vehicle", ["rig.toml", "TOML", "line 2"]),
    ('weight = "5200 lb"\n', "", ["trailer.empty.weight", "GVWR", "found neither"]),
]


def _told(text: str) -> str:
    with pytest.raises(FileFaultError) as caught:
        parse_rig(text, "rig.toml")
    return str(caught.value)


@pytest.mark.parametrize(("old", "new", "words"), FAULTS)
def test_fault_is_one_sentence_with_its_place(old: str, new: str, words: list[str]) -> None:
    """Each kind of bad input names the file, the line, the key, what was found and what is due."""
    assert old in GOOD
    told = _told(GOOD.replace(old, new, 1))
    assert all(word in told for word in words), told
    assert "Traceback" not in told
    assert "pydantic" not in told


@pytest.mark.parametrize(
    ("on", "rating", "weight", "words"),
    [
        ("vehicle", 'gvwr = "7200 lb"', "8000 lb", "less than the vehicle's GVWR of 7200 lb"),
        ("vehicle", "", "60000 lb", "less than any such rig"),
        ("trailer", 'gvwr = "7200 lb"', "60000 lb", "less than any such rig"),
    ],
)
def test_an_item_heavier_than_the_vehicle_is_named(
    on: str, rating: str, weight: str, words: str
) -> None:
    """The weight that cannot be is said, with its line, and not that the rig would tip."""
    text = GOOD.replace('station = "6 ft"', f'on = "{on}"\nstation = "6 ft"')
    text = text.replace('capacity = "300 lb"\n', "").replace(
        "[vehicle]\n", f"[vehicle]\n{rating}\n"
    )
    text += f'\n[items.anvil]\nplace = "bedroom"\nweight = "{weight}"\n'
    told = _told(text)
    assert "items.anvil.weight" in told
    assert words in told
    assert repr(weight) in told


def test_good_file_is_read_whole() -> None:
    """What the file states arrives in SI, what it leaves out stays unsaid."""
    rig = parse_rig(GOOD)
    weight = rig.trailer.empty.weight
    assert weight is not None
    assert weight.value == pytest.approx(5200 * POUND, rel=1e-15)
    assert rig.vehicle.gvwr is None
    assert list(rig.stages) == ["leaving"]


def test_several_faults_come_in_file_order() -> None:
    """All faults are told at once, in the order in which a person meets them in the file."""
    told = _told(GOOD.replace('"15 ft"', "15").replace('"5200 lb"', "5200"))
    lines = told.splitlines()
    assert [line.split(",")[1].strip() for line in lines] == ["line 7", "line 9"]


def test_files_that_are_no_rig_files(tmp_path: Path) -> None:
    """A missing file, a folder, a file over 1 MB and one that is not text are each one sentence."""
    big = tmp_path / "big.toml"
    big.write_bytes(b"#" * 10_000_000)
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b'format = 1\nname = "\xff"')
    for path, word in (
        (tmp_path / "none.toml", "no such file"),
        (tmp_path, "directory"),
        (big, "at most 1,000,000 bytes, found 10,000,000"),
        (binary, "UTF-8"),
    ):
        with pytest.raises(FileFaultError) as caught:
            read_rig(path)
        assert word in str(caught.value)
        assert len(caught.value.sentences) == 1


def test_a_file_of_a_million_bytes_is_read_and_a_byte_more_is_not(tmp_path: Path) -> None:
    """The documented bound (docs/rig-file.md), to the byte; 100 digits and 200 dots in a line, and
    one more of either."""
    for extra, bytes_ in ((0, 1_000_000), (1, 1_000_001)):
        text = GOOD + "#" * (1_000_000 + extra - len(GOOD.encode()))
        path = tmp_path / "rig.toml"
        path.write_text(text, encoding="utf-8")
        if extra:
            with pytest.raises(FileFaultError, match=f"at most 1,000,000 bytes, found {bytes_:,}"):
                read_rig(path)
        else:
            assert read_rig(path) == parse_rig(GOOD)
    for mark, most, what in (("7", 100, "digits"), (".", 200, "dots")):
        assert parse_rig(f"{GOOD}# {mark * most}\n") == parse_rig(GOOD)
        lines = GOOD.count("\n") + 1
        with pytest.raises(FileFaultError, match=rf"line {lines}: expected at most {most} {what}"):
            parse_rig(f"{GOOD}# {mark * (most + 1)}\n")


def test_a_control_character_is_told_by_its_line() -> None:
    """An escape on the third line, and a byte that is no UTF-8, by where they stand."""
    for data, said in (
        (b"format = 1\n\n# \x1b[31m\n", r"line 3: expected text without control"),
        (b"format = 1\n\xff", r"expected UTF-8 text, found byte 0xff at 11"),
    ):
        with pytest.raises(FileFaultError, match=said):
            decoded(data, "rig.toml")


def test_example_rigs_are_good() -> None:
    """Every shipped example is read without a fault."""
    for name, text in demo_rigs().items():
        assert parse_rig(text, name).name.startswith("Perihelion")


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ("format = 1\nname = “camper”\n".encode(), "line 2: expected straight quotes, "),
        (
            b"format = 1\nname = 'a'\nname = 'b'\n",
            "line 3: expected each key and table once, found 'na",
        ),
        (b"format = 1\n[hitch]\n[hitch]\n", "line 3: expected each key and table once, found '[hi"),
        (
            b"format = 1\nhitch = { kind = 'ball', kind = 'ball' }\n",
            "line 2: expected each key and ta",
        ),
        (
            b'format = 1\nname = "cut off',
            "line 2: expected TOML, found a fault: unterminated string",
        ),
        (b"format = 1\n[trailer]\nbrakes = yes\n", "line 3: expected true or false, found yes"),
        ("format = 1\n".encode("utf-16"), "expected UTF-8 text, found UTF-16 (save it again as"),
    ],
)
def test_slips_of_other_programs_are_told_in_plain_words(
    tmp_path: Path, data: bytes, sentence: str
) -> None:
    """Curly quotes, yes for true and another encoding are named, not only called no TOML."""
    path = tmp_path / "rig.toml"
    path.write_bytes(data)
    with pytest.raises(FaultError, match=re.escape(sentence)):
        read_rig(path)
