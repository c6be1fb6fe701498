"""The rig file in codes: the same rig comes back, or a sentence says why not."""

import tomllib
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from steelyard.cards.canonical import canonical
from steelyard.cards.codes import (
    LARGEST,
    MOST,
    CodeError,
    base45,
    deflated,
    from_base45,
    packed,
    unpacked,
)
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.rig import Rig

DEMOS = demo_rigs()
ODD = """
format = 1
name = 'quote " back \\ # $x$ {{ 7 }} <b> 😀 שלום'
speed = "100 km/h"
[vehicle]
class = "half-ton-crew-cab"
gvwr = { value = "7200 lb", kind = "label" }
weight = { value = "2480.3 kg", spread = "1.7 %", basis = "weighed", includes = ["fuel", "driver"] }
wheelbase = { value = "12 ft 1 in", spread = "0.3 in", basis = "measured" }
overhang = "63 in +- 1 in"
[vehicle.tanks.fuel]
capacity = "26 gal"
[trailer]
style = "rear-living"
gvwr = "7000 lb"
[trailer.tanks."fresh tank"]
content = "fresh"
capacity = "40 gal"
station = "3 m"
[stages.out]
tanks = { "fresh tank" = "full" }
[stages.back]
fuel_use = "18 L/100km"
distance = "100 km"
tanks = { "fresh tank" = { value = "30 %", spread = "7 %" } }
"""


def grown(items: int) -> Rig:
    """A rig with many items, none like another."""
    text = (
        'format = 1\n[vehicle]\nclass = "half-ton-crew-cab"\n[trailer]\nstyle = "enclosed-cargo"\n'
        'gvwr = "9990 lb"\n'
        '[places.floor]\nstation = "3 m"\nlength = "4 m"\n'
    )
    for i in range(items):
        told = zlib.crc32(str(i).encode())
        text += (
            f'[items.thing-{told:x}]\nweight = "{5 + told % 97}.{told % 89} lb"\nplace = "floor"\n'
            f'title = "box {told * 7919:x}"\nstation = "{2 + told % 2000 / 1000:.3f} m"\n'
        )
    return parse_rig(text)


@pytest.mark.parametrize("text", [*DEMOS.values(), ODD], ids=[*DEMOS, "odd"])
def test_a_rig_comes_back(text: str) -> None:
    """What the codes hold is a rig file, read by an independent TOML reader, of an equal rig."""
    rig = parse_rig(text)
    back = unpacked(packed(rig).codes)
    assert parse_rig(back) == rig
    assert tomllib.loads(back)["format"] == 1
    assert canonical(parse_rig(back)) == canonical(rig)


def test_equal_rigs_give_equal_text() -> None:
    """Comments, order of quoting and blank lines change nothing."""
    text = next(iter(DEMOS.values()))
    other = "# more\n" + "\n".join(line.split("  #")[0] + "\n" for line in text.splitlines())
    assert parse_rig(other) == parse_rig(text)
    assert packed(parse_rig(other)) == packed(parse_rig(text))


@given(st.binary(max_size=300))
def test_base45_follows_the_standard(data: bytes) -> None:
    """Any bytes come back, in letters of the alphanumeric set, three for two bytes (RFC 9285)."""
    text = base45(data)
    assert from_base45(text) == data
    assert set(text) <= set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")
    assert len(text) == len(data) // 2 * 3 + len(data) % 2 * 2


@pytest.mark.parametrize(
    ("plain", "coded"),
    [("AB", "BB8"), ("Hello!!", "%69 VD92EX0"), ("base-45", "UJCLQE7W581"), ("ietf!", "QED8WEX0")],
)
def test_base45_examples(plain: str, coded: str) -> None:
    """The worked examples of RFC 9285, sections 4.3 and 4.4."""
    assert base45(plain.encode()) == coded
    assert from_base45(coded) == plain.encode()


def test_long_files_are_split_evenly_and_told_when_too_long() -> None:
    """Over 1,500 bytes there are several codes, in any order; over three a fingerprint only."""
    counts = {}
    for items in (5, 60, 120, 400):
        rig = grown(items)
        made = packed(rig)
        size = len(deflated(canonical(rig).encode()))
        assert made.needed == -(-size // LARGEST)
        assert len(made.codes) == (made.needed if made.needed <= MOST else 0)
        if made.codes:
            assert parse_rig(unpacked(reversed(made.codes))) == rig
        counts[items] = len(made.codes)
    assert counts[5] == 1
    assert counts[120] > 1
    assert counts[400] == 0
    assert len(packed(grown(400)).fingerprint) == 64


def _faults() -> dict[str, tuple[list[str], str]]:
    whole = list(packed(grown(120)).codes)
    other = list(packed(grown(110)).codes)
    one = packed(grown(5)).codes[0]
    swapped = one[:40] + ("0" if one[40] != "0" else "1") + one[41:]
    bomb = zlib.compressobj(9, zlib.DEFLATED, -15)
    big = bomb.compress(b"a" * 5_000_000) + bomb.flush()
    return {
        "none": (["hello"], "found none"),
        "missing": (whole[:1], "found no number 2"),
        "mixed": ([whole[0], other[1]], "found codes of several"),
        "newer": ([one.replace("SYC1", "SYC9")], "found form 9"),
        "misread": ([swapped], "expected"),
        "zeroth": (["SYC1:1/0:00000000:"], "expected 0 codes"),
        "huge": ([f"SYC1:1/1:{zlib.crc32(big):08X}:{base45(big)}"], "expected at most"),
        "many": (["SYC1:1/999999999999:00000000:00"], "found no number 2"),
    }


@pytest.mark.parametrize("name", _faults())
def test_faults_are_one_sentence(name: str) -> None:
    """What gives no rig back says what was found and what is due, and unfolds no bomb."""
    texts, words = _faults()[name]
    with pytest.raises(CodeError) as told:
        unpacked(texts)
    assert words in str(told.value)
    assert "\n" not in str(told.value)


def test_another_program_reads_it_by_the_page_alone() -> None:
    """docs/card.md is enough: header, base 45 by hand, raw inflate, TOML."""
    rig = parse_rig(next(iter(DEMOS.values())))
    data, check = b"", ""
    for code in packed(rig).codes:
        form, _, check, letters = code.split(":", 3)
        assert form == "SYC1"
        values = ["0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:".index(x) for x in letters]
        for at in range(0, len(values), 3):
            group = values[at : at + 3]
            number = sum(value * 45**i for i, value in enumerate(group))
            data += number.to_bytes(len(group) - 1, "big")
    assert int(check, 16) == zlib.crc32(data)
    told = tomllib.loads(zlib.decompress(data, -15).decode())
    assert told["name"] == rig.name
