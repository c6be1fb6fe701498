"""Whatever is in a rig file, the reader answers with a rig or with sentences, never a traceback."""

import math
import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from steelyard import assess
from steelyard.files import FileFaultError, parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.scene import NoBalanceError

DEMO = demo_rigs()["perihelion-camper.toml"]
PIECES = st.sampled_from(
    [
        "",
        '"',
        "=",
        "[",
        "]",
        "\n",
        "5",
        "-",
        "nan",
        "inf",
        '"0 lb"',
        '"1e9 lb"',
        "{}",
        "[[x]]",
        "true",
        '"5 ft"',
        "é",
        "\x00",
        '"±"',
        '"+-"',
        "[trailer]",
        "format = 1",
        "place",
        '"100 %"',
    ]
)


def _answers(text: str) -> None:
    sentences: tuple[str, ...] = ()
    try:
        found = assess(parse_rig(text, "fuzz.toml"), draws=16)
    except FileFaultError as error:
        sentences = error.sentences
    except NoBalanceError:
        return
    else:
        assert found.verdict in ("within", "tight", "exceeded", "unknown")
        return
    assert sentences
    assert all("fuzz.toml" in sentence for sentence in sentences)


@given(st.text(max_size=300))
def test_any_text(text: str) -> None:
    """Text that is no TOML, or TOML that is no rig, is told in sentences that name the file."""
    _answers(text)
    _answers("format = 1\n" + text)


@given(st.data())
def test_a_good_file_with_a_piece_changed(data: st.DataObject) -> None:
    """A good file with a stretch replaced by anything is a rig or a sentence, and never crashes."""
    start = data.draw(st.integers(0, len(DEMO) - 1))
    length = data.draw(st.integers(0, 40))
    piece = data.draw(PIECES)
    _answers(DEMO[:start] + piece + DEMO[start + length :])


@given(st.data())
def test_a_good_file_with_one_value_changed(data: st.DataObject) -> None:
    """Any one value replaced by one of another kind or size still gives a rig or a sentence."""
    lines = DEMO.splitlines()
    keyed = [i for i, line in enumerate(lines) if " = " in line]
    place = data.draw(st.sampled_from(keyed))
    key = lines[place].split(" = ")[0]
    number = data.draw(st.floats(allow_nan=False, allow_infinity=False, width=32))
    unit = data.draw(st.sampled_from(["lb", "kg", "ft", "in", "psi", "%", "gal", "", "mph"]))
    value = data.draw(
        st.sampled_from(
            [f'"{number!r} {unit}"', f"{number!r}", '""', "[]", "{}", "true", "9" * 400]
        )
    )
    lines[place] = f"{key} = {value}"
    _answers("\n".join(lines))


@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(max_size=8),
        lambda inner: (
            st.lists(inner, max_size=3)
            | st.dictionaries(st.text("abc .-", max_size=5), inner, max_size=3)
        ),
    )
)
def test_any_table_in_any_place(found: Any) -> None:
    """Values of any nesting under any key are told, not raised."""
    text = f"format = 1\n[vehicle]\nclass = {_toml(found)}\n[items.x]\nweight = {_toml(found)}\n"
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    _answers(text)


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return "nan" if math.isnan(value) else repr(value)
    if isinstance(value, list):
        return "[" + ", ".join(_toml(one) for one in value) + "]"
    if isinstance(value, dict):
        return "{" + ", ".join(f'"{key}" = {_toml(one)}' for key, one in value.items()) + "}"
    return (
        '"'
        + str(value).encode("unicode_escape").decode("ascii").replace("\\", "_").replace('"', "_")
        + '"'
    )
