"""A folder or a book assessed again: what changed, and because of what."""

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from steelyard import assess, read_rig
from steelyard.cli import main
from steelyard.files.demo import demo_rigs
from steelyard.logbook.rigs import Rigs


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The demo rigs in a folder of their own."""
    rigs = tmp_path / "rigs"
    rigs.mkdir()
    for name, text in demo_rigs().items():
        (rigs / name).write_text(text, encoding="utf-8")
    return rigs


def _run(where: Path, kept: Path, *more: str) -> tuple[int, str, str]:
    found = CliRunner().invoke(main, ["refresh", str(where), "--kept", str(kept), *more])
    assert found.exception is None or isinstance(found.exception, SystemExit), found.exception
    return found.exit_code, found.stdout, found.stderr


def test_what_a_changed_rig_changes_is_told(folder: Path, tmp_path: Path) -> None:
    """First nothing is kept, then nothing has changed, then one rig's tongue is other, by as much
    as `assess` says, because of the rig."""
    kept, out = tmp_path / "kept.json", tmp_path / "changes.csv"
    assert _run(folder, kept)[0] == 0
    code, told, _ = _run(folder, kept)
    assert (code, "Nothing changed" in told) == (0, True)
    camper = folder / "perihelion-camper.toml"
    text = camper.read_text(encoding="utf-8")
    before = assess(read_rig(camper)).stages[0].tongue.weight_kg.value
    camper.write_text(text.replace('station = "24 ft"', 'station = "23 ft"', 1), encoding="utf-8")
    now = assess(read_rig(camper)).stages[0].tongue.weight_kg.value
    code, told, _ = _run(folder, kept, "--out", str(out))
    assert code == 3
    assert f"tongue_kg,{before:.1f},{now:.1f},the rig" in out.read_text(encoding="utf-8")
    assert "perihelion-tractor" not in out.read_text(encoding="utf-8")


def test_another_release_is_named(folder: Path, tmp_path: Path) -> None:
    """Standings of another version and rulebook: what differs is laid to them."""
    kept = tmp_path / "kept.json"
    _run(folder, kept)
    old = json.loads(kept.read_text(encoding="utf-8"))
    old |= {"steelyard": "0.0.9", "rulebooks": "others"}
    old["standings"][0]["verdict"] = "within the old rules"
    kept.write_text(json.dumps(old), encoding="utf-8")
    code, told, _ = _run(folder, kept)
    assert code == 3
    assert "Changed since version 0.0.9" in told
    assert "rulebooks" in told


def test_a_book_is_refreshed_and_a_broken_rig_costs_no_other(folder: Path, tmp_path: Path) -> None:
    """Rigs of a book by their names; an unreadable file is named, exit code 2, the rest kept."""
    book = tmp_path / "book.sqlite"
    rigs = Rigs(book)
    data = read_rig(folder / "perihelion-camper.toml").model_dump(by_alias=True, exclude_none=True)
    rigs.add("our camper", json.dumps({"data": data}))
    rigs.close()
    code, told, _ = _run(book, tmp_path / "kept.json")
    assert code == 0, told
    assert "1 rigs" in told
    (folder / "broken.toml").write_text("vehicle = 5", encoding="utf-8")
    code, told, error = _run(folder, tmp_path / "other.json")
    assert code == 2
    assert "broken.toml" in error
    assert f"{len(demo_rigs())} rigs" in told


def test_what_is_no_folder_is_said(tmp_path: Path) -> None:
    """One sentence."""
    code, _, error = _run(tmp_path / "nowhere", tmp_path / "kept.json")
    assert (code, error.count("\n")) == (2, 1)
    assert "a folder of rig files" in error
