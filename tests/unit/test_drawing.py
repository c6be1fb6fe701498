"""The pictures say what the numbers say, each thing at its place, and no label hides another.

Widths of letters are those of DejaVu Sans 2.37, the widest of the usual fonts: advances of its
`hmtx` table, 2048 to the em, in tests/data/dejavu_sans_widths.csv.
"""

import csv
import tomllib
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from tests.trades import COUNTRIES, text_of

import steelyard.files
from steelyard import Rig, assess
from steelyard.assessment import Assessment
from steelyard.drawing.cargo import cargo_picture
from steelyard.drawing.damping import damping_curve
from steelyard.drawing.difference import difference_picture
from steelyard.drawing.paper import printable
from steelyard.drawing.plan import plan_picture
from steelyard.drawing.rig import rig_picture
from steelyard.drawing.share import shares_picture
from steelyard.drawing.sway import trace_picture
from steelyard.drawing.trip import trip_curve, trip_picture
from steelyard.files import parse_rig, read_rig
from steelyard.quantity import POUND, System
from steelyard.swaying.chart import CargoChart
from steelyard.swaying.stage_sway import sway
from steelyard.swaying.time.simulate import Trace
from steelyard.words.assessed import weight_spread
from steelyard.words.trade import speaking, trade_of

SVG = "{http://www.w3.org/2000/svg}"
DEMO = Path(steelyard.files.__file__).parent / "demo"
US: System = "us"
HOSTILE = '<script>alert("&")</script>\x07'


def _demo(name: str) -> Rig:
    return read_rig(DEMO / f"perihelion-{name}.toml")


def _crowded() -> Rig:
    """Sixty things in seven places, some with long names, five people, two tanks."""
    places: dict[str, dict[str, str]] = {
        f"place {i}": {"station": f"{5 + 3.2 * i} ft", "length": "3 ft"} for i in range(6)
    }
    places["bed"] = {"on": "vehicle", "station": "152 in", "length": "5 ft 6 in"}
    seats = ("driver", "passenger", "second-left", "second-right", "second-middle")
    return Rig.model_validate(
        {
            "vehicle": {"class": "half-ton-crew-cab", "rear": {"gawr": "4150 lb"}},
            "trailer": {
                "style": "front-living",
                "empty": {"weight": "5400 lb"},
                "box_start": "3 ft 4 in",
                "box_length": "22 ft",
                "axles": {"count": 2, "station": "15 ft 2 in"},
                "tanks": {
                    "fresh": {"content": "fresh", "capacity": "40 gal", "station": "13 ft"},
                    "grey": {"content": "grey", "capacity": "30 gal", "station": "12 ft"},
                },
            },
            "places": places,
            "items": {
                f"thing number {i}": {
                    "weight": f"{8 + 37 * i % 90} lb",
                    "place": list(places)[i % 7],
                    "title": f"предмет {i} с очень длинным названием" if i % 9 == 0 else None,
                }
                for i in range(60)
            },
            "people": {f"person {seat}": {"seat": seat} for seat in seats},
        }
    )


def _fifth_wheel() -> Rig:
    return Rig.model_validate(
        {
            "vehicle": {"class": "one-ton-dual-rear-wheel", "rear": {"gawr": "9900 lb"}},
            "trailer": {"style": "fifth-wheel", "gvwr": "14000 lb"},
            "hitch": {"ball": {"rating_tongue": "5000 lb"}},
            "places": {"bedroom": {"station": "4 ft"}, "bed": {"on": "vehicle", "station": "3 m"}},
            "items": {
                "clothes": {"weight": "120 lb", "place": "bedroom"},
                "tools": {"weight": "150 lb", "place": "bed"},
            },
        }
    )


def _three_axles() -> Rig:
    """Three axles near each other, and names wider than what they name."""
    return Rig.model_validate(
        {
            "vehicle": {"class": "one-ton-dual-rear-wheel", "rear": {"gawr": "9900 lb"}},
            "trailer": {
                "style": "enclosed-cargo",
                "empty": {"weight": "6500 lb"},
                "box_start": "4 ft",
                "box_length": "32 ft",
                "axles": {"count": 3, "station": "19 ft"},
            },
            "places": {
                "nose": {"station": "7 ft", "title": "the very nose of the trailer, left"},
                "tail": {"station": "33 ft"},
            },
            "items": {
                "dome": {"weight": "1900 lb", "place": "nose"},
                "mounts": {
                    "weight": "900 lb",
                    "place": "tail",
                    "title": "mounts and weights",
                },
            },
        }
    )


def _gooseneck() -> Rig:
    return Rig.model_validate(
        {
            "region": "europe",
            "vehicle": {"class": "three-quarter-ton", "rear": {"gawr": "2900 kg"}},
            "trailer": {"style": "gooseneck", "gvwr": "6300 kg"},
            "places": {"deck": {"station": "5 m", "length": "4 m"}},
            "items": {"tractor": {"weight": "1700 kg", "place": "deck"}},
        }
    )


def _tail_heavy() -> Rig:
    """A stone behind the axle lifts the ball: a negative tongue weight."""
    return Rig.model_validate(
        {
            "region": "europe",
            "vehicle": {"class": "car", "weight": "1500 kg"},
            "trailer": {
                "style": "open-utility",
                "empty": {"weight": "350 kg", "tongue_weight": "40 kg"},
                "box_start": "1.2 m",
                "box_length": "3 m",
                "axles": {"count": 1, "station": "2.6 m"},
            },
            "places": {"rear": {"station": "3.9 m"}},
            "items": {"stone": {"weight": "420 kg", "place": "rear"}},
        }
    )


def _unknown() -> Rig:
    return Rig.model_validate(
        {
            "vehicle": {"class": "mid-size-suv"},
            "trailer": {"style": "small-single-axle", "gvwr": "3500 lb"},
        }
    )


OPEN = """format = 1
name = "hardly known"
region = "australia-new-zealand"
[vehicle]
class = "mid-size-suv"
gvwr = "2980 kg"
[trailer]
style = "front-living"
gvwr = "2750 kg"
empty = { weight = "2180 kg", tongue_weight = "190 kg" }
axles = { station = "4.35 m" }
[trailer.tanks.rear]
content = "fresh"
capacity = "95 L"
station = "5.3 m"
[places.tunnel]
station = "1.6 m"
[items.tools]
weight = "60 kg"
place = "tunnel"
[stages.home]
tanks = { rear = "full" }
[stages.camp]
tanks = { rear = "20 %" }
"""
"""A share that spreads as wide as its band, at two stages."""
RIGS: dict[str, Callable[[], Rig]] = {
    "hardly known": lambda: parse_rig(OPEN),
    "camper": lambda: _demo("camper"),
    "observatory": lambda: _demo("observatory"),
    "tractor": lambda: _demo("tractor"),
    "crowded": _crowded,
    "fifth wheel": _fifth_wheel,
    "gooseneck": _gooseneck,
    "three axles": _three_axles,
    "tail heavy": _tail_heavy,
    "unknown": _unknown,
}


@cache
def _assessed(name: str) -> Assessment:
    return assess(RIGS[name](), draws=1024)


def _pictures(found: Assessment) -> Iterator[str]:
    for stage in found.stages:
        for wide in (True, False):
            yield rig_picture(found, stage.key, US, wide=wide)
            yield plan_picture(found, stage.key, US, wide=wide)
            yield trip_curve(found, US, chosen=stage.key, wide=wide)
    yield trip_picture(found, "metric")


@dataclass(frozen=True, kw_only=True)
class Placed:
    """An element with how far its groups moved it down."""

    element: ET.Element
    down: float

    def at(self, key: str) -> float:
        """A number of the element."""
        return float(self.element.get(key, "0"))


def _all(root: ET.Element, tag: str, down: float = 0.0) -> Iterator[Placed]:
    for child in root:
        moved = child.get("transform")
        here = down + (float(moved.split()[1].rstrip(")")) if moved else 0.0)
        if child.tag == SVG + tag:
            yield Placed(element=child, down=here)
        yield from _all(child, tag, here)


def _item_blocks(root: ET.Element) -> dict[str, ET.Element]:
    groups = root.iter(SVG + "g")
    return {g.get("data-item", ""): g for g in groups if g.get("class") == "item"}


@pytest.mark.parametrize("name", RIGS)
def test_an_item_stands_at_its_ledger_station(name: str) -> None:
    """Middle of block and of beam column, read back by the ruler, are the ledger's station."""
    found = _assessed(name)
    stage = found.stages[0]
    for wide in (True, False):
        root = ET.fromstring(rig_picture(found, stage.key, US, wide=wide))
        scale = float(root.get("data-scale", "nan"))
        blocks, columns = _item_blocks(root), _columns(root)
        items = [e for e in stage.ledger.entries if e.name in found.rig.items]
        heaps = {g.get("data-place"): g for g in root.iter(SVG + "g") if g.get("class") == "heap"}
        for place, heap in heaps.items():
            inside = [entry for entry in items if entry.place == place]
            kg = sum(entry.kg for entry in inside)
            middle = sum(entry.kg * entry.station for entry in inside) / kg
            zero = _zero(root, inside[0].body)
            assert (_middle(heap.find(SVG + "rect")) - zero) / scale == pytest.approx(
                middle, abs=0.02 / scale
            )
        items = [entry for entry in items if entry.place not in heaps]
        assert set(blocks) == {entry.name for entry in items}
        for entry in items:
            zero = _zero(root, entry.body)
            rect = blocks[entry.name].find(SVG + "rect")
            assert rect is not None
            assert (_middle(rect) - zero) / scale == pytest.approx(entry.station, abs=0.02 / scale)
            if entry.name in columns:
                station = (_middle(columns[entry.name].element) - zero) / scale
                assert station == pytest.approx(entry.station, abs=0.02 / scale)


def _zero(root: ET.Element, body: str) -> float:
    """x of the ball, or of the front axle."""
    return float(root.get(f"data-{'ball' if body == 'trailer' else 'front'}", "nan"))


def _middle(rect: ET.Element | None) -> float:
    assert rect is not None
    return float(rect.get("x", "nan")) + float(rect.get("width", "nan")) / 2


def _columns(root: ET.Element) -> dict[str, Placed]:
    rects = [p for p in _all(root, "rect") if p.element.get("class") == "lever-column"]
    return {p.element.get("data-item") or f"row: {p.element.get('data-row')}": p for p in rects}


@pytest.mark.parametrize("name", RIGS)
def test_loads_hang_on_one_scale_with_their_ratings(name: str) -> None:
    """Column, spread and notch of every axle and of the ball have one number of newtons a unit."""
    found = _assessed(name)
    stage = found.stages[0]
    root = ET.fromstring(rig_picture(found, stage.key, US))
    loads = {axle.name: axle.weight_kg for axle in stage.axles} | {"ball": stage.tongue.weight_kg}
    hung = {g.get("data-load"): g for g in root.iter(SVG + "g") if g.get("class") == "column"}
    assert set(hung) == set(loads)
    unit = _height(hung["front"], "load") / loads["front"].value
    for key, load in loads.items():
        assert _height(hung[key], "load") == pytest.approx(abs(load.value) * unit, abs=0.02)
        band = _height(hung[key], "spread")
        assert band == pytest.approx((load.high - load.low) * unit, abs=0.02)
    for key, rating in (("front", "vehicle.front.gawr"), ("rear", "vehicle.rear.gawr")):
        limit = next(x for x in stage.limits if x.name == rating)
        notch = [e for e in hung[key] if e.get("class") == "rating"]
        assert len(notch) == (limit.verdict != "unknown")
        for line in notch:
            assert float(line.get("y1", "nan")) == pytest.approx(limit.rating * unit, abs=0.02)


@pytest.mark.parametrize("name", ["camper", "tractor"])
def test_the_longest_bar_of_the_plan_has_the_room_there_is(name: str) -> None:
    """From its base to the farthest of loads, their spreads and ratings: 64 units, and no more."""
    found = _assessed(name)
    root = ET.fromstring(plan_picture(found, found.stages[0].key, US))
    ends = [
        (one.at("y"), one.at("y") + one.at("height"), one.element.get("class"))
        for one in _all(root, "rect")
    ]
    ends += [(one.at("y1"), one.at("y1"), one.element.get("class")) for one in _all(root, "line")]
    loads = [(top, foot) for top, foot, kind in ends if kind == "load"]
    up, down = min(foot for _, foot in loads), max(top for top, _ in loads)
    drawn = [(top, foot) for top, foot, kind in ends if kind in ("load", "spread", "rating")]
    reach = max(max(up - top, foot - down) for top, foot in drawn)
    assert reach == pytest.approx(64.0, abs=0.02)


@pytest.mark.parametrize("name", RIGS)
def test_every_axle_has_its_load_in_words(name: str) -> None:
    """Each axle's own load with its spread is written, as often as there are axles with it."""
    found = _assessed(name)
    stage = found.stages[0]
    for wide in (True, False):
        root = ET.fromstring(rig_picture(found, stage.key, US, wide=wide))
        said = [placed.element.text for placed in _all(root, "text")]
        due = Counter(weight_spread(axle.weight_kg, US) for axle in stage.axles)
        assert all(said.count(text.replace("-", "−")) >= n for text, n in due.items())


def _height(group: ET.Element, kind: str) -> float:
    rect = next(e for e in group if e.get("class") == kind)
    return float(rect.get("height", "nan"))


@pytest.mark.parametrize("name", RIGS)
def test_the_columns_add_up_to_the_tongue_weight(name: str) -> None:
    """Columns above the beam less those below, in newtons a unit of height, are the ledger's total.

    Rows under a twentieth of a pound are not drawn; a column is at least one unit high.
    """
    found = _assessed(name)
    for stage in found.stages:
        drawn = list(_columns(ET.fromstring(rig_picture(found, stage.key, US))).values())
        slack = 0.05 * POUND * len(stage.ledger.entries)
        said = sum(p.at("data-kg") for p in drawn)
        assert said == pytest.approx(stage.ledger.total_kg, abs=slack)
        tallest = max(drawn, key=lambda p: p.at("height"))
        unit = abs(tallest.at("data-kg")) / tallest.at("height")
        signed = sum(p.at("height") * (1 if p.at("y") < 0 else -1) for p in drawn)
        assert signed * unit == pytest.approx(stage.ledger.total_kg, abs=slack + unit * len(drawn))


def test_hostile_words_stay_words() -> None:
    """Markup and unprintable signs in names and titles become text, and nothing of them is lost."""
    plain = _demo("camper")
    bikes = plain.items["bikes"].model_copy(update={"title": HOSTILE})
    room = plain.places["rear-room"].model_copy(update={"title": HOSTILE})
    home = plain.stages["leaving-home"].model_copy(update={"title": HOSTILE})
    rig = plain.model_copy(
        update={
            "name": HOSTILE,
            "items": {**plain.items, "bikes": bikes},
            "places": {**plain.places, "rear-room": room},
            "stages": {**plain.stages, "leaving-home": home},
        }
    )
    for picture in _pictures(assess(rig, draws=16)):
        root = ET.fromstring(picture)
        assert not list(root.iter(SVG + "script"))
    root = ET.fromstring(rig_picture(assess(rig, draws=16), "leaving-home", US))
    label = _item_blocks(root)["bikes"].get("aria-label", "")
    assert label.startswith('<script>alert("&")</script>')


def test_a_pile_stays_on_the_paper() -> None:
    """Forty things in twelve places that reach into each other: every block can be seen."""
    data = tomllib.loads((DEMO / "perihelion-camper.toml").read_text("utf-8"))
    for i in range(7):
        data["places"][f"p{i}"] = {"station": f"{4 + 3 * i} ft", "length": "3 ft"}
    for i in range(33):
        item = {"weight": f"{10 + 3 * i} lb", "place": f"p{i % 7}"}
        data["items"][f"thing-{i}"] = item | ({} if i % 4 else {"title": "A long name of it"})
    blocks = _item_blocks(ET.fromstring(rig_picture(assess(Rig(**data)), "first-night", US)))
    tops = [float(r.get("y", "nan")) for g in blocks.values() for r in g.iter(SVG + "rect")]
    assert len(tops) == 40
    assert min(tops) >= 0


WIDTHS = Path(__file__).parents[1] / "data/dejavu_sans_widths.csv"


@cache
def _advances(weight: str) -> dict[str, int]:
    with WIDTHS.open(encoding="utf-8") as file:
        return {chr(int(row["code point"], 16)): int(row[weight]) for row in csv.DictReader(file)}


def _inked(text: str, size: float, weight: str) -> float:
    """Width of a text in a real font that any system may well show it in."""
    advances = _advances(weight)
    return sum(advances.get(letter, 2048) for letter in text) * size / 2048


def _boxes(root: ET.Element) -> Iterator[tuple[str, float, float, float, float]]:
    for placed in _all(root, "text"):
        text = placed.element.text or ""
        if not text.strip():
            continue
        size, bold = placed.at("font-size"), placed.element.get("font-weight") == "700"
        width = _inked(text, size, "bold" if bold else "normal")
        anchor = placed.element.get("text-anchor", "start")
        left = placed.at("x") - {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor] * width
        base = placed.at("y") + placed.down
        yield text, left, base - 0.76 * size, left + width, base + 0.2 * size


@pytest.mark.parametrize("name", RIGS)
def test_no_two_labels_overlap_and_none_leaves_the_paper(name: str) -> None:
    """Text boxes, measured in a font this package knows nothing of, are disjoint and inside."""
    for picture in _pictures(_assessed(name)):
        root = ET.fromstring(picture)
        _, _, wide, high = map(float, root.get("viewBox", "").split())
        boxes = list(_boxes(root))
        for i, (text, left, top, right, low) in enumerate(boxes):
            assert left >= -0.5, text
            assert right <= wide + 0.5, text
            assert top >= -0.5, text
            assert low <= high + 0.5, text
            assert not ("±" in text and "…" in text), text
            for other, a, b, c, d in boxes[i + 1 :]:
                apart = right <= a + 0.5 or c <= left + 0.5 or low <= b + 0.5 or d <= top + 0.5
                assert apart, (text, other)


def test_labels_beside_each_other_do_not_read_as_one() -> None:
    """A fifth wheel of whose axles no rating is known: where two loads say so on one line, more
    than a wide space is between them."""
    text = """format = 1
vehicle = { class = "three-quarter-ton", gvwr = "10000 lb", payload = "3000 lb" }
trailer = { style = "fifth-wheel", gvwr = "12000 lb", empty.weight = "9500 lb" }
places = { bedroom.station = "1 m", lounge.station = "8 m" }
[items]
wardrobe = { weight = "200 lb", place = "bedroom" }
tools = { weight = "300 lb", place = "lounge" }
"""
    found = assess(parse_rig(text))
    boxes = list(_boxes(ET.fromstring(rig_picture(found, found.worst_stage.key, US))))
    told = sorted(
        (top, left, right) for text, left, top, right, _ in boxes if "rating known" in text
    )
    beside = [(a, b) for a, b in pairwise(told) if a[0] == b[0]]
    assert beside
    assert all(b[1] - a[2] > 8.0 for a, b in beside)


@pytest.mark.parametrize("wide", [True, False])
def test_the_sides_are_named_clear_of_the_wheels(*, wide: bool) -> None:
    """Axles at the tail of a short flatbed: no wheel's bar goes through the words beside it."""
    found = _assessed("tractor")
    root = ET.fromstring(plan_picture(found, found.stages[0].key, US, wide=wide))
    drawn = [one for one in _all(root, "rect") if one.element.get("class") in ("load", "spread")]
    bars = [(one.at("x"), one.at("x") + one.at("width")) for one in drawn]
    named = [box for box in _boxes(root) if box[0] in ("curb side", "driver side")][:2]
    assert len(named) == 2
    assert bars
    for _, left, _, right, _ in named:
        assert all(right <= a or b <= left for a, b in bars)


def test_a_row_stands_at_its_value_between_ticks_that_span_all() -> None:
    """Read back by the ticks' places, dots stand at before and after, whiskers at their ends."""
    before, after = _assessed("camper"), _assessed("crowded")
    after = replace(after, stages=after.stages * len(before.stages))
    root = ET.fromstring(shares_picture("shares", before, after))
    ticks = [p for p in _all(root, "text") if (p.element.text or "").strip("0123456789.−") == ""]
    marks = {float((p.element.text or "").replace("−", "-")): p.at("x") for p in ticks}
    low, high = min(marks), max(marks)
    unit = (marks[high] - marks[low]) / (high - low)
    dots = [low + (p.at("cx") - marks[low]) / unit for p in _all(root, "circle")]
    pairs = zip(before.stages, after.stages, strict=True)
    shares = [stage.tongue.share for pair in pairs for stage in pair]
    assert dots == pytest.approx([100 * share.value for share in shares], abs=0.02)
    assert low <= 100 * min(share.low for share in shares)
    assert high >= 100 * max(share.high for share in shares)
    ends = [low + (p.at("x1") - marks[low]) / unit for p in _all(root, "line")]
    for share in shares:
        assert min(abs(x - 100 * share.low) for x in ends) < 0.02
        assert min(abs(x - 100 * share.high) for x in ends) < 0.02


def test_every_stage_can_be_picked_and_the_worst_is_named() -> None:
    """Each stage is a button; one is pressed; the worst says so in words."""
    found = _assessed("camper")
    root = ET.fromstring(trip_curve(found, US, chosen="back-home", quantity="rear"))
    stages = {g.get("data-stage"): g for g in root.iter(SVG + "g") if g.get("data-stage")}
    assert list(stages) == [stage.key for stage in found.stages]
    pressed = [key for key, g in stages.items() if g.get("aria-pressed") == "true"]
    assert pressed == ["back-home"]
    worst = [key for key, g in stages.items() if "worst" in g.get("aria-label", "")]
    assert worst == [found.worst_stage.key]


def test_whatever_the_page_offers_to_plot_is_drawn() -> None:
    """Ball, whole vehicle and whole trailer, their ratings too, as well as every axle."""
    found = _assessed("camper")
    for quantity in ("share", "ball", "vehicle", "trailer", "front", "trailer 2"):
        root = ET.fromstring(trip_curve(found, US, chosen="back-home", quantity=quantity))
        edges = [one for one in root.iter() if one.get("class") == "wanted"]
        assert (root.get("data-quantity"), len(edges)) == (quantity, 1)


def test_what_is_not_there_is_said() -> None:
    """An unknown stage or quantity, or damping without its numbers, raises one clear sentence."""
    found = _assessed("camper")
    with pytest.raises(ValueError, match=r'expected a stage .* found "moon"'):
        rig_picture(found, "moon", US)
    with pytest.raises(ValueError, match=r'expected a quantity .* found "mood"'):
        trip_curve(found, US, chosen="back-home", quantity="mood")
    with pytest.raises(ValueError, match="one damping ratio for each stage"):
        trip_curve(found, US, chosen="back-home", quantity="damping", damping=[])


def test_differences_add_up() -> None:
    """1000 lb heavier 10 % ahead of the axles is +100 lb; less ballast up front takes 70 of it."""

    more = {"trailer": 100, "ballast": -70, "bikes": 0}
    rows = [(name, x * POUND) for name, x in more.items()]
    picture = difference_picture(rows, US, ("light", "heavy"), wide=True)
    root = ET.fromstring(picture)
    bars = {p.element.get("data-row"): p for p in _all(root, "rect")}
    assert list(bars) == ["trailer", "ballast", "together"]
    kg = {name: p.at("data-kg") for name, p in bars.items()}
    assert kg["trailer"] + kg["ballast"] == pytest.approx(30 * POUND, abs=0.01)
    ratio = bars["ballast"].at("width") / bars["trailer"].at("width")
    assert ratio == pytest.approx(0.7, abs=1e-3)
    assert bars["together"].at("width") / bars["trailer"].at("width") == pytest.approx(
        0.3, abs=1e-3
    )


def test_a_contour_lies_where_the_damping_is() -> None:
    """Damping that falls evenly along the trailer has its zero on one upright line."""
    stations, speeds = np.linspace(1.0, 5.0, 9), np.linspace(15.0, 35.0, 5)
    damping = np.broadcast_to(0.2 * (3.1 - stations), (5, 9))
    chart = CargoChart(
        stations=stations, speeds=speeds, damping=damping, share=0.1 * np.ones(9), kg=200.0,
        now=3.0, now_sd=0.1,
    )  # fmt: skip
    root = ET.fromstring(cargo_picture(chart, "metric"))
    zero = next(p for p in _all(root, "path") if p.element.get("stroke-width") == "2.6")
    d = zero.element.get("d", "").replace("M", " ").replace("L", " ").split()
    left, right = 70.0, 1256.0
    assert [float(x) for x in d[::2]] == pytest.approx(
        [left + (right - left) * 2.1 / 4.0] * len(d[::2]), abs=0.11
    )
    told = [p.element.text for p in _all(root, "text") if str(p.element.text).endswith("0 %")]
    assert told == ["10.0 %"], "a share that is alike everywhere stands once"


def test_curves_are_well_formed_and_print_in_plain_colours() -> None:
    """Damping and trace are XML at both widths, and `printable` leaves no CSS variable."""
    rig = _demo("tractor")
    swayed = sway(rig, samples=32)[0]
    times = np.linspace(0.0, 8.0, 801)
    states = np.zeros((12, 801))
    trace = Trace(times=times, states=states)
    for wide in (True, False):
        for picture in (damping_curve(swayed, US, wide=wide), trace_picture(trace, wide=wide)):
            assert "var(--" in picture
            plain = printable(picture, font="Some Sans")
            assert "var(" not in plain
            assert 'font-family="Some Sans"' in plain
            ET.fromstring(plain)


@pytest.mark.parametrize("wide", [True, False])
@pytest.mark.parametrize("words", COUNTRIES)
def test_what_presses_is_never_cut(words: str, wide: bool) -> None:
    """A limit without a column of its own stands beside one, in whole and with its rating, however
    long its country's name for it is."""
    rig = parse_rig(text_of(words, "ball").replace('gvwr = "3200 kg"', 'gvwr = "2700 kg"'))
    found = assess(rig, draws=256)
    with speaking(trade_of(rig)):
        picture = rig_picture(found, found.worst_stage.key, US, wide=wide)
    lines = [one.text or "" for one in ET.fromstring(picture).iter(SVG + "text")]
    pressing = [one for one in lines if one.startswith(("▲", "‡", "◐"))]
    assert pressing
    assert not [one for one in lines if one.endswith("…")]


GRAVEL = """format = 1
[vehicle]
class = "small-car"
[trailer]
style = "open-utility"
gvwr = "1500 lb"
[places.bed]
station = "7 ft"
length = "8 ft"
[items.gravel]
weight = "700 lb"
place = "bed"
"""


def test_what_is_large_is_named_and_what_is_there_is_whole() -> None:
    """The two largest columns have their names, with something small on top of one; nothing is
    named as none; a place that reaches behind its trailer is not cut."""
    found = assess(parse_rig(GRAVEL), draws=256)
    root = ET.fromstring(rig_picture(found, found.stages[0].key, US))
    said = [placed.element.text for placed in _all(root, "text")]
    by_size = sorted(_columns(root).values(), key=lambda one: -abs(one.at("data-kg")))
    assert {one.element.get("data-row") for one in by_size[:2]} == {"gravel", "trailer itself"}
    assert {"gravel", "trailer itself"} <= set(said)
    assert not {"+0", "−0", "0"} & set(said)
    (bed,) = (one for one in _all(root, "rect") if one.element.get("data-place") == "bed")
    assert bed.at("x") + bed.at("width") <= 1280.0


@pytest.mark.parametrize("wide", [True, False])
def test_the_bands_word_keeps_off_the_points_numbers(*, wide: bool) -> None:
    """With two stages it stands between them, however high their spreads reach."""
    root = ET.fromstring(trip_curve(_assessed("hardly known"), US, chosen="home", wide=wide))
    (word,) = (box for box in _boxes(root) if box[0] == "wanted")
    first, last = sorted((b for b in _boxes(root) if b[0].endswith(" %")), key=lambda b: b[1])[-2:]
    assert first[3] < word[1]
    assert word[3] < last[1]
