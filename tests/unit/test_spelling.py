"""A rig file may spell `tires` or `tyres`, and say its country."""

import tomllib
from pathlib import Path

import pytest

from steelyard.files.changes import put
from steelyard.files.demo import demo_rigs
from steelyard.files.faults import FileFaultError
from steelyard.files.merge import merged
from steelyard.files.reader import parse_rig
from steelyard.rig import Rig, spelt_like
from steelyard.web.state import State

CAMPER = demo_rigs()["perihelion-camper.toml"]
AMERICAN = CAMPER.replace("tyres", "tires")
BARE = 'format = 1\n[vehicle]\nclass = "car"\n[trailer]\nstyle = "boat"\ngvwr = "1000 kg"\n'


def test_tires_and_tyres_are_one_rig() -> None:
    """The whole demo with every key spelt the American way is the same rig."""
    assert "tires" in AMERICAN
    assert parse_rig(AMERICAN) == parse_rig(CAMPER)


def test_one_axle_spelt_tires_spells_the_others_so() -> None:
    """What is written anew into a file that says `tires` once, and nowhere `tyres`, says it too;
    into one that says both, as it stands there."""
    axles = {"front": {"tyres": {"count": 2}}, "rear": {"tyres": {"count": 2}}}
    once = {"vehicle": {"front": {"tires": {"count": 2}}, "rear": {}}}
    found = spelt_like({"vehicle": axles}, once)
    assert all("tires" in found["vehicle"][end] for end in axles)
    both = {"vehicle": {"front": {"tires": {"count": 2}}, "rear": {"tyres": {"count": 2}}}}
    found = spelt_like({"vehicle": axles}, both)
    assert [next(iter(found["vehicle"][end])) for end in axles] == ["tires", "tyres"]


def test_both_spellings_at_once_are_a_fault() -> None:
    """A table with both names line and key."""
    text = f"{BARE}[trailer.axles.tyres]\ncount = 2\n[trailer.axles.tires]\ncount = 2\n"
    with pytest.raises(FileFaultError, match=r"trailer\.axles\.tires.*expected tyres or tires"):
        parse_rig(text, "rig.toml")


def test_a_fault_names_the_key_as_it_is_spelt() -> None:
    """A wrong value under `tires` is told with that word and its own line."""
    text = f'{BARE}[trailer.axles]\ncount = 1\n[trailer.axles.tires]\npressure = "50"\n'
    with pytest.raises(FileFaultError, match=r"line 10, trailer\.axles\.tires\.pressure"):
        parse_rig(text, "rig.toml")


def test_what_is_written_keeps_the_spelling_of_the_file() -> None:
    """The page works on one spelling and saves the file's own; a new table follows it too."""
    state = State(data=tomllib.loads(AMERICAN))
    assert "tyres" in state.data["trailer"]["axles"]
    new = put(state.data, ["trailer", "axles", "tires", "pressure"], "60 psi")
    text = merged(AMERICAN, new)
    assert "tyres" not in text
    assert parse_rig(text).trailer.axles.tyres.pressure is not None
    own = put(tomllib.loads(BARE), ["trailer", "axles", "tyres"], {"count": 2})
    assert "tyres" in merged(BARE, own)


def test_a_country_says_its_region_and_cannot_contradict_it() -> None:
    """`country = "GB"` alone is a rig of Europe; beside another region it is a fault."""
    text = BARE.replace("format = 1", 'format = 1\ncountry = "GB"')
    assert parse_rig(text).region == "europe"
    wrong = text.replace("[vehicle]", 'region = "north-america"\n[vehicle]')
    with pytest.raises(FileFaultError, match=r"region.*expected europe, where GB lies"):
        parse_rig(wrong, "rig.toml")
    with pytest.raises(FileFaultError, match="line 2, country"):
        parse_rig(text.replace("GB", "UK"), "rig.toml")


def test_a_file_without_country_has_none(tmp_path: Path) -> None:
    """Nothing is assumed of a country that nobody stated."""
    del tmp_path
    rig: Rig = parse_rig(BARE)
    assert rig.country is None
    assert rig.region is None
