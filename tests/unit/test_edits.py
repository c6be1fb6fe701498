"""Writing back into a person's rig file: nothing lost, nothing half-written."""

from pathlib import Path

import pytest

from steelyard.files import FileFaultError, parse_rig
from steelyard.files.edits import Edits, edit_rig, edited

TEXT = """\
format = 1   # the form

# Our camper.
[vehicle]
class = "half-ton-crew-cab"   # by the door label

[trailer]
style = "rear-living"
empty = { weight = "5240 lb" }

[trailer.tanks.fresh]
content = "fresh"
capacity = "36 gal"
station = "12 ft"

[places.galley]
station = "11 ft"   # under the sink

[places.bed]
on = "vehicle"
station = "152 in"

[items.bikes]
weight = "96 lb"      # two of them
place = "galley"
station = "12 ft"

[items.tools]
weight = "30 lb"
place = "bed"
apart = ["bikes"]

[stages.home]
tanks = { fresh = "full" }   # filled at the pump
without = ["bikes"]
"""


def test_moving_keeps_every_comment() -> None:
    """Only the place changes, and the spot within the old place goes with it."""
    after = edited(TEXT, Edits(places={"bikes": "bed"}))
    assert parse_rig(after).items["bikes"].place == "bed"
    assert parse_rig(after).items["bikes"].station is None
    gone = [line for line in TEXT.splitlines() if line not in after.splitlines()]
    assert gone == ['place = "galley"']
    assert len(after.splitlines()) == len(TEXT.splitlines()) - 1
    assert after.count("#") == TEXT.count("#")


def test_staying_changes_nothing() -> None:
    """A plan that moves nothing leaves the text as it is, to the byte."""
    assert edited(TEXT, Edits(places={"bikes": "galley", "tools": "bed"})) == TEXT


def test_leaving_takes_the_name_out_of_every_list() -> None:
    """A thing left home is named nowhere any more, so the file still reads."""
    after = edited(TEXT, Edits(places={}, gone=["bikes"]))
    rig = parse_rig(after)
    assert set(rig.items) == {"tools"}
    assert rig.items["tools"].apart == ()
    assert rig.stages["home"].without == ()


def test_levels_and_new_items() -> None:
    """A tank's level is set at its stage, and new items come with all they say."""
    new = {"pots": {"weight": "9 kg +- 1 kg", "place": "galley", "size": ["1 ft", "1 ft", "1 ft"]}}
    after = edited(TEXT, Edits(places={}, new=new, levels={("home", "fresh"): "20gal"}))
    rig = parse_rig(after)
    assert rig.items["pots"].size is not None
    assert rig.stages["home"].tanks["fresh"].volume is not None
    assert "# filled at the pump" in after


def test_backup_and_whole_file(tmp_path: Path) -> None:
    """The file as it was lies beside it, and no half-written file is left."""
    path = tmp_path / "rig.toml"
    path.write_text(TEXT, encoding="utf-8")
    backup = edit_rig(path, Edits(places={"bikes": "bed"}))
    assert backup.read_text(encoding="utf-8") == TEXT
    assert parse_rig(path.read_text(encoding="utf-8")).items["bikes"].place == "bed"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["rig.toml", "rig.toml.bak"]


def test_what_would_not_read_is_not_written(tmp_path: Path) -> None:
    """An edit that makes no rig is refused, and the file stays as it was."""
    path = tmp_path / "rig.toml"
    path.write_text(TEXT, encoding="utf-8")
    with pytest.raises(FileFaultError, match="attic"):
        edit_rig(path, Edits(places={"bikes": "attic"}))
    assert path.read_text(encoding="utf-8") == TEXT
    assert [p.name for p in tmp_path.iterdir()] == ["rig.toml"]
