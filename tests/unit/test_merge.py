"""Plain data laid over a rig file's text: read back it is the data, and comments stay."""

import tomllib

import pytest

from steelyard.files import FileFaultError
from steelyard.files.demo import demo_rigs
from steelyard.files.merge import merged

TEXT = """format = 1
name = "a" # yours

# the vehicle
[vehicle]
class = "car" # looked
gvwr = "5000 lb"   # door

[places.front] # ahead
# middle by tape
station = "6 ft"

[places.rear]
station = "20 ft"

# the day
[stages.one]
tanks = { fresh = "50 %" } # gauge

[stages.two]
# at night
grade = "1 deg"
"""


def test_nothing_changed_is_the_text_itself() -> None:
    """The demo's rigs come back letter for letter."""
    for text in demo_rigs().values():
        assert merged(text, tomllib.loads(text)) == text


def test_a_changed_value_keeps_its_comment() -> None:
    """Only the value between key and comment is another one."""
    data = tomllib.loads(TEXT)
    data["vehicle"]["gvwr"] = {"value": "5100 lb", "basis": "measured"}
    new = '{value = "5100 lb", basis = "measured"}'
    assert merged(TEXT, data) == TEXT.replace('"5000 lb"', new)


def test_a_renamed_table_keeps_its_comments() -> None:
    """The head changes; what stands below it does not."""
    data = tomllib.loads(TEXT)
    data["places"] = {"nose": data["places"]["front"], "rear": data["places"]["rear"]}
    found = merged(TEXT, data)
    assert tomllib.loads(found) == data
    assert "[places.nose]" in found
    assert "# middle by tape" in found
    assert "front" not in found


def test_stages_come_back_in_their_order() -> None:
    """The order of the stages is the trip; a mapping's equality would not see it."""
    data = tomllib.loads(TEXT)
    data["stages"] = {"two": data["stages"]["two"], "one": data["stages"]["one"]}
    found = merged(TEXT, data)
    assert tomllib.loads(found) == data
    assert list(tomllib.loads(found)["stages"]) == ["two", "one"]
    assert "# at night" in found
    assert "# gauge" in found


def test_a_new_value_stands_ahead_of_tables_not_taken_up() -> None:
    """Taking the # off a table that the file offers moves no value into it (TOML 1.0, tables)."""
    text = 'format = 1\n[trailer.axles]\nstation = "4 m"\n\n# [places.front]\n# station = "2 m"\n'
    data = tomllib.loads(text)
    data["trailer"]["axles"]["count"] = 1
    found = tomllib.loads(merged(text, data).replace("# ", ""))
    assert found == {**data, "places": {"front": {"station": "2 m"}}}


@pytest.mark.parametrize(
    "text",
    [
        'format = 1\nvehicle.class = "car"\nvehicle.front.gawr = "1 t"\nvehicle.gvwr = "2 t"\n',
        'format = 1\n[stages.a]\n[vehicle]\nclass = "car"\n[stages.b]\n[vehicle.front]\n',
        'format = 1\nvehicle = { class = "car", front = { gawr = "1 t" } }\n',
        'format = 1\n[vehicle.front]\ngawr = "1 t"\n[vehicle]\nclass = "car"\n',
    ],
)
def test_every_way_of_writing_tables_can_be_changed(text: str) -> None:
    """Dotted keys, tables out of order, inline tables, an inner table ahead of its outer one."""
    data = tomllib.loads(text)
    data["vehicle"] = {**data["vehicle"], "gvwr": "3 t", "front": {"track": "60 in"}}
    data["stages"] = {"b": {}, "c": {"grade": "1 deg"}, "a": {}}
    found = tomllib.loads(merged(text, data))
    assert found == data
    assert list(found["stages"]) == ["b", "c", "a"]


def test_text_that_is_no_toml_is_one_sentence() -> None:
    """A fault, not a traceback."""
    with pytest.raises(FileFaultError, match=r"mine\.toml, line 1: expected TOML"):
        merged("format = ", {}, "mine.toml")
