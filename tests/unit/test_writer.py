"""Files appear whole or not at all, keep their rights, and older ones stay beside them."""

import os
import stat
import time
from pathlib import Path

import pytest

from steelyard.files import FileThereError, write_new
from steelyard.files.demo import demo_rigs
from steelyard.files.edits import FileChangedError, replace_text
from steelyard.files.writer import KEPT, LEFT

RIG = demo_rigs()["perihelion-camper.toml"]


def _text(number: int) -> str:
    return f"{RIG}\n# save {number}\n"


def test_a_second_save_keeps_the_backup_of_the_first(tmp_path: Path) -> None:
    """Each save adds a generation, the newest called .bak; only beyond nine is one dropped."""
    path = tmp_path / "rig.toml"
    path.write_text(_text(0), "utf-8")
    for number in range(1, KEPT + 3):
        backup = replace_text(path, _text(number - 1), _text(number))
        assert backup.read_text("utf-8") == _text(number - 1)
    names = [f"rig.toml.bak{n if n > 1 else ''}" for n in range(1, KEPT + 1)]
    held = [(tmp_path / name).read_text("utf-8") for name in names]
    assert held == [_text(KEPT + 1 - n) for n in range(KEPT)]
    assert len(list(tmp_path.iterdir())) == KEPT + 1


def test_saving_the_same_twice_uses_up_no_generation(tmp_path: Path) -> None:
    """A backup that is there already is not written again."""
    path = tmp_path / "rig.toml"
    path.write_text(_text(0), "utf-8")
    replace_text(path, None, _text(0))
    replace_text(path, None, _text(0))
    assert sorted(one.name for one in tmp_path.iterdir()) == ["rig.toml", "rig.toml.bak"]


def test_a_file_changed_meanwhile_stays_and_so_do_its_backups(tmp_path: Path) -> None:
    """Nothing is rotated for a save that is refused."""
    path = tmp_path / "rig.toml"
    path.write_text(_text(0), "utf-8")
    replace_text(path, _text(0), _text(1))
    with pytest.raises(FileChangedError):
        replace_text(path, _text(0), _text(2))
    held = {one.name: one.read_text("utf-8") for one in tmp_path.iterdir()}
    assert held == {"rig.toml": _text(1), "rig.toml.bak": _text(0)}


@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_a_link_is_followed(tmp_path: Path) -> None:
    """The link stays a link; what it points to is written, its backup beside it."""
    real, link = tmp_path / "shared" / "rig.toml", tmp_path / "rig.toml"
    real.parent.mkdir()
    real.write_text(_text(0), "utf-8")
    link.symlink_to(real)
    backup = replace_text(link, _text(0), _text(1))
    assert link.is_symlink()
    assert real.read_text("utf-8") == _text(1)
    assert backup == real.with_name("rig.toml.bak")
    assert sorted(one.name for one in tmp_path.iterdir()) == ["rig.toml", "shared"]


@pytest.mark.skipif(os.name == "nt", reason="no masks there")
@pytest.mark.parametrize(("mask", "rights"), [(0o022, 0o644), (0o077, 0o600), (0o002, 0o664)])
def test_the_mask_is_kept(tmp_path: Path, mask: int, rights: int) -> None:
    """A new file has what the user's mask leaves of read and write for all (POSIX open, creat)."""
    before = os.umask(mask)
    try:
        write_new(tmp_path / "new.toml", "x")
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "new.toml").stat().st_mode) == rights


@pytest.mark.skipif(os.name == "nt", reason="no such rights there")
def test_a_file_keeps_its_rights(tmp_path: Path) -> None:
    """A rig file that only its owner reads stays so, and so does its backup."""
    path = tmp_path / "rig.toml"
    path.write_text(_text(0), "utf-8")
    path.chmod(0o600)
    backup = replace_text(path, _text(0), _text(1))
    assert [stat.S_IMODE(one.stat().st_mode) for one in (path, backup)] == [0o600, 0o600]


def test_what_was_left_half_written_is_swept(tmp_path: Path) -> None:
    """Part files of a day ago go with the next write; those of a program still at work stay."""
    old, new = tmp_path / ".steelyard-aa.part", tmp_path / ".steelyard-bb.part"
    for part in (old, new):
        part.write_text("half")
    then = time.time() - LEFT - 60
    os.utime(old, (then, then))
    write_new(tmp_path / "new.toml", "x")
    assert sorted(one.name for one in tmp_path.iterdir()) == [new.name, "new.toml"]


def test_a_file_that_is_there_is_not_written_over(tmp_path: Path) -> None:
    """It stays as it is, and nothing is left beside it."""
    path = tmp_path / "there.toml"
    path.write_text("mine")
    with pytest.raises(FileThereError):
        write_new(path, "yours")
    assert [one.read_text() for one in tmp_path.iterdir()] == ["mine"]
