"""Every reader's bounds: what is beyond one is a sentence that names it, and nothing hangs."""

import io
import os
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner

from steelyard.cli import main
from steelyard.fault import Fault, sentence
from steelyard.files import FileFaultError, parse_rig
from steelyard.files.candidate_tables import parts
from steelyard.files.demo import demo_rigs
from steelyard.files.limits import LIMITS, data_faults
from steelyard.files.manifest import read_manifest
from steelyard.files.tickets import parse_ticket
from steelyard.logbook.exchange import weighings_csv
from steelyard.quantity.show import cell

RIG = demo_rigs()["perihelion-camper.toml"]
HEAD = "item,weight,place\n"
FRAME = 'format = 1\n[vehicle]\nclass = "van"\n[trailer]\nstyle = "boat"\ngvwr = "1 t"\n'


def _many(table: str, body: str, count: int) -> str:
    return FRAME + "".join(f"[{table}.n{n}]\n{body}\n" for n in range(count))


@pytest.mark.parametrize(
    ("key", "table", "body"),
    [
        ("items", "items", 'weight = "1 lb"\nplace = "n"'),
        ("places", "places", 'station = "2 m"'),
        ("people", "people", 'seat = "driver"'),
        ("stages", "stages", 'title = "x"'),
        ("trailer.tanks", "trailer.tanks", 'capacity = "1 L"'),
        ("vehicle.seats", "vehicle.seats", 'station = "1 m"'),
    ],
)
def test_too_many_of_them(key: str, table: str, body: str) -> None:
    """One more than the limit names the limit and what was found, before anything else."""
    limit = LIMITS[key]
    with pytest.raises(FileFaultError) as caught:
        parse_rig(_many(table, body, limit.most + 1))
    told = f"{table}: expected at most {limit.most:,} {limit.what}, found {limit.most + 1:,}"
    assert told in str(caught.value)


def test_too_many_readings() -> None:
    """A pass of two hundred and one readings, and a ticket of two hundred and one passes."""
    one = '{ kind = "platform", axles = ["front"], weight = "1 t" },\n'
    with pytest.raises(FileFaultError, match="at most 200 readings in a pass, found 201"):
        parse_ticket(f"ticket = 1\n[passes.a]\nreadings = [\n{one * 201}]\n", "t.toml")
    with pytest.raises(FileFaultError, match="at most 200 passes, found 201"):
        parse_ticket("ticket = 1\n" + "".join(f"[passes.p{n}]\n" for n in range(201)), "t.toml")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("format = 1\n" + ".".join("a" * 60_000) + " = 1\n", "at most 200 dots in a line"),
        ("format = 1\nx = " + "[" * 100_000, "at most 16 tables or lists in each other"),
        ("format = 1\nx = " + "[" * 40 + "]" * 40, "at most 16 tables or lists in each other"),
        ("format = 1\nx = " + "9" * 900_000, "line 2: expected at most 100 digits in a number"),
        (RIG.replace('"62 mph"', '"' + "1 " * 2500 + 'mph"'), "speed: expected a speed"),
        (RIG.replace("Perihelion camper", "x" * 5000), "name: expected at most 80 letters"),
    ],
    ids=["dots", "brackets", "tables", "digits", "number", "title"],
)
def test_too_deep_too_long(text: str, told: str) -> None:
    """Keys, tables, digits and letters."""
    with pytest.raises(FileFaultError) as caught:
        parse_rig(text)
    assert told in str(caught.value)
    assert len(str(caught.value)) < 500


@pytest.mark.parametrize("bad", ["\\u0000", "\\u001b[2J", "\\u009b31m"])
def test_control_characters_are_bad_input(bad: str) -> None:
    """NUL, an escape that clears the screen, one that colours it: none is a title."""
    with pytest.raises(FileFaultError) as caught:
        parse_rig(RIG.replace("Perihelion camper", f"camper{bad}"))
    told = str(caught.value)
    assert "name: expected text without control characters" in told
    assert told.isprintable()


def test_a_raw_nul_names_its_line(tmp_path: Path) -> None:
    """In a list as in a rig file."""
    (tmp_path / "list.csv").write_bytes(b"item,weight,place\ntent\0,5 lb,bed\n")
    with pytest.raises(FileFaultError, match=r"list\.csv, line 2: expected text without control"):
        read_manifest(tmp_path / "list.csv", parse_rig(RIG))


def test_a_sentence_never_steers_the_terminal() -> None:
    """Whatever stands in a fault's parts, a file's name too, is printable where it is told."""
    fault = Fault(due="\x1b[31mred", found="\x07", file="a\nb\u202e.toml", path=("\0",))
    assert sentence(fault).isprintable()


def test_formulas_never_reach_a_spreadsheet() -> None:
    """A text that begins as a formula does is quoted; a number below zero is one."""
    assert [cell(x) for x in ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1")] == [
        "'=1+1",
        "'+1",
        "'-1",
        "'@SUM(A1)",
        "'\t=1",
    ]
    assert [cell(x) for x in (-1.5, None, "tent", "12 lb")] == [-1.5, None, "tent", "12 lb"]
    assert weighings_csv([]).startswith("id,")


@pytest.mark.parametrize("column", ["trailer.gvwr.foo", "trailer.foo.gvwr", "vehicle.class.x.y"])
def test_a_column_that_no_key_has_is_a_fault(tmp_path: Path, column: str) -> None:
    """It was left out without a word."""
    path = tmp_path / "some.csv"
    path.write_text(f"trailer.style,trailer.gvwr,{column}\nboat,1 t,2 t\n", "utf-8")
    with pytest.raises(FileFaultError, match="row 1: expected"):
        next(iter(parts(path, "trailer")))


def test_data_of_any_shape_is_walked_without_recursion() -> None:
    """A thousand tables in each other, made in memory, are one fault."""
    deep: dict[str, object] = {}
    for _ in range(1000):
        deep = {"x": deep}
    assert [one.due for one in data_faults(deep)] == ["at most 16 tables or lists in each other"]


def _zeros(size: int) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as book:
        for n in range(11):
            book.writestr(f"xl/{n}.xml", bytes(size // 11))
    return held.getvalue()


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("bomb.xlsx", lambda: _zeros(200_000_000), "100,000,000 bytes once unpacked"),
        ("cut.xlsx", lambda: _zeros(1100)[:200], "an xlsx spreadsheet"),
        ("empty.xlsx", lambda: b"", "an xlsx spreadsheet"),
        ("wide.csv", lambda: (HEAD.strip() + "," * 500 + "\n").encode(), "at most 400 columns"),
        ("long.csv", lambda: (HEAD + "x" * 3000 + ",1 lb,bed\n").encode(), "2,000 letters in a"),
        ("rows.csv", lambda: (HEAD + "a,1 lb,bed\n" * 5001).encode(), "at most 5,000 rows"),
    ],
)
def test_lists_and_spreadsheets(
    tmp_path: Path, name: str, data: Callable[[], bytes], told: str
) -> None:
    """What would unpack to more than is allowed, is cut off, or is too wide, long or many."""
    (tmp_path / name).write_bytes(data())
    with pytest.raises(FileFaultError) as caught:
        read_manifest(tmp_path / name, parse_rig(RIG))
    assert told in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_picture_that_is_none(tmp_path: Path) -> None:
    """A PNG that says it is enormous, and one that is cut off."""
    head = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\1\0\0\0\1\0\0\x08\0\0\0\0"
    path = tmp_path / "photo.png"
    for data in (head + bytes(20), b"%PDF-1.7\n" + bytes(100)):
        path.write_bytes(data)
        done = CliRunner().invoke(main, ["card", "--read", str(path)])
        assert (done.exit_code, done.output.count("\n")) == (2, 1)
        assert "photo.png: expected" in done.output


ENDLESS = [
    ["check", "endless.toml"],
    ["check", "rig.toml", "--with", "endless.toml"],
    ["stow", "rig.toml", "--manifest", "endless.csv"],
    ["stow", "rig.toml", "--manifest", "endless.xlsx"],
    ["match", "endless.csv", "rig.toml"],
    ["sway", "rig.toml", "--recording", "endless.csv"],
    ["card", "--read", "endless.png"],
    ["log", "list", "--logbook", "endless.sqlite"],
    ["log", "import", "endless.json", "--logbook", "book.sqlite"],
]


@pytest.mark.skipif(os.name == "nt", reason="no pipes with names there")
@pytest.mark.parametrize("words", ENDLESS, ids=" ".join)
@pytest.mark.parametrize("kind", ["pipe", "zeros"])
def test_a_file_that_never_ends(tmp_path: Path, words: list[str], kind: str) -> None:
    """A pipe that nobody writes to, and a device of zeros: one sentence, at once."""
    (tmp_path / "rig.toml").write_text(RIG, "utf-8")
    name = next(word for word in words if word.startswith("endless"))
    if kind == "pipe":
        os.mkfifo(tmp_path / name)
    else:
        (tmp_path / name).symlink_to("/dev/zero")
    done = subprocess.run(
        [sys.executable, "-m", "steelyard", *words],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert "found" in done.stderr


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        (
            "a.csv",
            f"{' ' * 50_000}(,weight,place\na,1 lb,bed\n",
            ["stow", "rig.toml", "--manifest"],
        ),
        ("a.csv", f"vehicle.class,{' ' * 1900}(x\nvan,1\n", ["match", "rig.toml"]),
        ("a.csv", f"time [s],{' ' * 1900}[x,speed [mph]\n0,1,2\n", ["sway", "--recording"]),
        ("a.toml", _many("items", 'weight = "1 lb"\nplace = "x"', 20_000), ["check"]),
    ],
    ids=["list", "table", "recording", "items"],
)
def test_what_once_hung_is_told(tmp_path: Path, name: str, text: str, words: list[str]) -> None:
    """Heads of spaces took minutes and thousands of items gigabytes: a sentence, well in time."""
    (tmp_path / "rig.toml").write_text(RIG, "utf-8")
    (tmp_path / name).write_text(text, "utf-8")
    command = [sys.executable, "-m", "steelyard", words[0], *words[1:]]
    at = 4 if words[0] == "match" else len(command)
    done = subprocess.run(
        [*command[:at], name, *command[at:]],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
