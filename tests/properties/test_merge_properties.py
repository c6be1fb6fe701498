"""Whatever is changed in a rig's data, its file read back is that data, and comments stay."""

import copy
import tomllib
from typing import Any

from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from steelyard.files.demo import demo_rigs
from steelyard.files.merge import merged

RIGS = demo_rigs()
WORD = st.text("abcXYZ 09_-", min_size=1, max_size=8).map(lambda word: f"n{word}")
PLAIN = st.one_of(
    WORD.map(lambda word: f"{word} \"' ü #"),
    st.integers(0, 9),
    st.booleans(),
    st.lists(WORD, max_size=3),
    st.just({"value": "5 lb", "basis": "measured"}),
    st.just([{"pressure": "50 psi", "load": "1 t"}]),
)


def tables(data: dict[str, Any], *, named: bool) -> list[dict[str, Any]]:
    """Every table that holds values, or (named) only tables under names of the user's."""
    inner = [one for value in data.values() if isinstance(value, dict) for one in [value]]
    below = [one for table in inner for one in tables(table, named=named)]
    own = bool(data) and all(isinstance(value, dict) for value in data.values())
    return [*([data] if own is named and "value" not in data else []), *below]


def change(draw: Any, data: dict[str, Any]) -> None:
    """One change that a rig file can see: a value, a named table, one gone, renamed, an order."""
    do = draw(st.sampled_from(["put", "new", "gone", "table", "rename", "order"]))
    named = do in ("table", "rename")
    table = draw(st.sampled_from(tables(data, named=named)))
    keys = [key for key, value in table.items() if key != "format"]
    if do == "new":
        table[draw(WORD)] = draw(PLAIN)
    elif do == "table":
        table[draw(WORD)] = {draw(WORD): draw(PLAIN)} if draw(st.booleans()) else {}
    elif do == "order":
        data["stages"] = dict(draw(st.permutations(list(data.get("stages", {}).items()))))
    elif keys:
        key = draw(st.sampled_from(keys))
        old = table.pop(key) if do != "put" or isinstance(table[key], dict) else table[key]
        if do == "rename":
            table[draw(WORD)] = old
        elif do == "put" and not isinstance(old, dict):
            table[key] = draw(PLAIN)


@settings(max_examples=60, deadline=None, phases=[Phase.generate])
@given(st.sampled_from(sorted(RIGS)), st.data())
def test_read_back_it_is_the_data(rig: str, data: st.DataObject) -> None:
    """Any run of changes: the text holds the changed data, the stages in order."""
    text = RIGS[rig]
    new = copy.deepcopy(tomllib.loads(text))
    for _ in range(data.draw(st.integers(1, 6))):
        change(data.draw, new)
    found = tomllib.loads(merged(text, new))
    assert found == new
    if isinstance(new.get("stages"), dict):
        assert list(found["stages"]) == list(new["stages"])


@settings(max_examples=40, deadline=None, phases=[Phase.generate])
@given(st.sampled_from(sorted(RIGS)), st.data())
def test_comments_of_what_is_not_touched_stay(rig: str, data: st.DataObject) -> None:
    """Changed values, new keys and new tables: every comment of the file is still there."""
    text = RIGS[rig]
    new = copy.deepcopy(tomllib.loads(text))
    for _ in range(data.draw(st.integers(1, 4))):
        table = data.draw(st.sampled_from(tables(new, named=False)))
        plain = [key for key, value in table.items() if isinstance(value, str)]
        change_one: bool = data.draw(st.booleans())
        if plain and change_one:
            table[data.draw(st.sampled_from(plain))] = "7 lb"
        else:
            table[data.draw(WORD)] = data.draw(st.one_of(WORD, st.just({"weight": "1 lb"})))
    found = merged(text, new)
    comments = [line.split("#", 1)[1] for line in text.splitlines() if "#" in line]
    assert [one for one in comments if one not in found] == []
