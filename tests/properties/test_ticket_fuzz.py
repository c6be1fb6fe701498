"""Whatever is in a ticket, it is answered with a reconciliation or sentences, never a traceback."""

import warnings
from functools import cache
from typing import Any

import numpy as np
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st
from tests import weighings

from steelyard.files import FileFaultError
from steelyard.files.tickets import ARRANGEMENTS, FENDERS, OTHERS, PADS, parse_ticket
from steelyard.rig import Rig
from steelyard.weighing import Ticket, TicketError, reconcile

PIECES = st.sampled_from(
    [
        "", '"', "=", "[", "]", "\n", "\r", ",", "5", "-", "nan", "inf", '"0 lb"', '"1e9 lb"', "{}",
        "[[x]]", "true", '"5 ft"', "é", "\x00", '"±"', '"+-"', "[passes.b]", "ticket = 1", "bars",
        '"100 %"', '"trailer-alone"', '"all"', "\ufeff", ";",
    ]
)  # fmt: skip
WEIGHTS = st.sampled_from(
    ["1 lb", "300 kg", "1500 kg", "3000 lb", "9000 kg +- 0 kg", "5 t", "1e-6 kg"]
)
LENGTHS = st.sampled_from(["0.01 m", "0.3 m", "35 in", "5 m", "9.9 m", "0.9 m +- 0 m"])
CELLS = st.one_of(WEIGHTS, LENGTHS, PIECES, st.text(max_size=8))

TOML = """ticket = 1
date = "2026-05-03"
[scales.pads]
graduation = "20 lb"
[passes.off]
bars = "off"
stage = "leave"
tanks = {fresh = "50 %"}
readings = [
  {kind = "platform", axles = ["front"], weight = "2800 lb", scale = "pads"},
  {kind = "hitch-scale", cell = "shank", weight = "980 lb"},
]
[passes.alone]
arrangement = "vehicle-alone"
added = {two = {weight = "330 lb", station = "16 ft"}}
readings = [{kind = "fender-height", at = "rear", height = "35 in", settled = "loading"}]
"""


@cache
def rig() -> Rig:
    """The camper."""
    return weighings.rig("camper")


def answers(text: str, name: str) -> None:
    """Read and reconcile a ticket; every fault is in sentences, every answer is finite."""
    sentences: tuple[str, ...] = ()
    try:
        reconciles(parse_ticket(text, name))
    except FileFaultError as error:
        sentences = error.sentences
    except TicketError as error:
        sentences = (f"{name}, {error}",)
    else:
        return
    assert sentences
    assert all(name in sentence for sentence in sentences)


def reconciles(ticket: Ticket) -> None:
    """A ticket that fits its rig is reconciled, without a warning, into finite numbers."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = reconcile(rig(), ticket)
    assert 0 <= found.chance <= 1
    assert np.all(np.isfinite(found.posterior.mean))
    assert np.all(np.isfinite(found.posterior.sd))
    assert found.degrees == len(found.readings)


@given(st.text(max_size=300))
def test_any_text(text: str) -> None:
    """Text that is no TOML, no CSV or no ticket is told in sentences that name the file."""
    answers(text, "fuzz.toml")
    answers("ticket = 1\n" + text, "fuzz.toml")
    answers(text, "fuzz.csv")
    answers("arrangement," + text, "fuzz.csv")


@settings(max_examples=150)
@given(st.data())
def test_a_good_ticket_with_a_piece_changed(data: st.DataObject) -> None:
    """A good ticket with a stretch replaced by anything is used or told, and never crashes."""
    start = data.draw(st.integers(0, len(TOML)))
    end = data.draw(st.integers(start, min(start + 30, len(TOML))))
    answers(TOML[:start] + data.draw(PIECES) + TOML[end:], "fuzz.toml")


@settings(max_examples=150)
@given(
    st.lists(st.sampled_from([*PADS, *FENDERS, *OTHERS, "ball height"]), min_size=1, max_size=4),
    st.lists(
        st.tuples(st.sampled_from([*ARRANGEMENTS, "upside down"]), st.lists(CELLS, max_size=5)),
        min_size=1,
        max_size=3,
    ),
)
def test_csv_of_any_cells(columns: list[str], rows: list[tuple[str, list[str]]]) -> None:
    """A CSV ticket of known columns and any cells is used or told."""
    lines = [",".join(["arrangement", *columns]), *(",".join([w, *cells]) for w, cells in rows)]
    answers("\n".join(lines), "fuzz.csv")


AXLES = st.sampled_from(["front", "rear", "trailer", "trailer-1", "trailer-2", "trailer-3", "all"])
READINGS: st.SearchStrategy[dict[str, Any]] = st.one_of(
    st.fixed_dictionaries(
        {
            "kind": st.just("platform"),
            "axles": st.lists(AXLES, min_size=1, max_size=3),
            "weight": WEIGHTS,
        }
    ),
    st.fixed_dictionaries(
        {
            "kind": st.just("wheel"),
            "axle": AXLES,
            "side": st.sampled_from(["left", "right"]),
            "weight": WEIGHTS,
        }
    ),
    st.fixed_dictionaries(
        {
            "kind": st.just("hitch-scale"),
            "cell": st.sampled_from(["ball", "shank"]),
            "weight": WEIGHTS,
        }
    ),
    st.fixed_dictionaries(
        {
            "kind": st.just("tongue-scale"),
            "station": st.sampled_from(["0 m", "1.5 ft", "-1 m", "5 m", "90 m"]),
            "weight": WEIGHTS,
        }
    ),
    st.fixed_dictionaries(
        {
            "kind": st.just("lever"),
            "station": st.just("0 m"),
            "support_to_tongue": LENGTHS,
            "tongue_to_scale": LENGTHS,
            "weight": WEIGHTS,
        }
    ),
    st.fixed_dictionaries(
        {
            "kind": st.just("fender-height"),
            "at": st.sampled_from(["front", "rear"]),
            "height": LENGTHS,
            "settled": st.sampled_from(["bounced", "loading", "unloading"]),
        }
    ),
    st.fixed_dictionaries({"kind": st.just("ball-height"), "height": LENGTHS}),
    st.fixed_dictionaries(
        {
            "kind": st.just("tank-gauge"),
            "tank": st.sampled_from(["fresh", "grey", "black"]),
            "level": st.sampled_from(["0 %", "33 %", "100 %"]),
        }
    ),
)
PASSES = st.dictionaries(
    st.sampled_from(["a", "b", "a b", "ticket 1"]),
    st.fixed_dictionaries(
        {
            "arrangement": st.sampled_from(["coupled", "vehicle-alone", "trailer-alone"]),
            "bars": st.sampled_from(["on", "off"]),
            "readings": st.lists(READINGS, min_size=1, max_size=4),
        },
        optional={
            "stage": st.sampled_from(["leave", "home", "away"]),
            "grade": st.sampled_from(["0.05 rad", "-3 deg"]),
            "people": st.just([]),
            "items": st.sampled_from([[], ["bikes"]]),
            "off_parts": st.just(["ball mount"]),
            "tanks": st.just({"fresh": "full"}),
            "added": st.just({"b c": {"weight": "160 kg", "station": "4.9 m"}}),
            "coupler_height": st.sampled_from(["0.2 m", "0.8 m"]),
            "support_station": st.sampled_from(["0 m", "1 m"]),
        },
    ),
    min_size=1,
    max_size=3,
)


@settings(max_examples=40)
@given(PASSES)
def test_any_passes(passes: dict[str, Any]) -> None:
    """Readings of every kind with any numbers in any arrangement are used or told."""
    answers(tomlkit.dumps({"ticket": 1, "passes": passes}), "fuzz.toml")
