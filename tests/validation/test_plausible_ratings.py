"""Which ratings are asked about: published plates never, the same number in the other unit mostly.

Sources: SAE J684 as adopted in COMAR 11.13.08 (couplers and balls of classes 1 to 4, chains, balls
from 1-7/8 in; read); a tyre maker's chart of special trailer tyres, quoted in a boat owners' forum;
a 1990 specification sheet's tyre table; published data sheets of 2025 pickups (GVWR, axle ratings,
wheelbase; makers withheld) and rows of dealers' listings of travel trailers; the rest from memory.
"""

import tomllib
from pathlib import Path

import pytest

import steelyard.typical.plausible as module
from steelyard.quantity import parse
from steelyard.typical.plausible import implausible

PUBLISHED = [
    *(("hitch.coupler.rating_trailer", lb, None) for lb in ("2000 lb", "3500 lb", "10000 lb")),
    *(("hitch.ball.rating_trailer", lb, None) for lb in ("2000 lb", "5000 lb", "30000 lb")),
    *(("hitch.chains.rating_each", lb, None) for lb in ("2000 lb", "3500 lb", "5000 lb")),
    *(("hitch.ball.size", inch, None) for inch in ("1 7/8 in", "2 in", "2 5/16 in", "50 mm")),
    *(("hitch.ball.rating_trailer", each, "2 in ball") for each in ("3500 lb", "3500 kg")),
    ("hitch.ball.rating_trailer", "12000 lb", "2 in ball"),
    ("hitch.ball.rating_trailer", "30000 lb", "2 5/16 in ball"),
    ("hitch.bars.rating", "400 lb", None),
    ("hitch.bars.rating", "2000 lb", None),
    ("hitch.receiver.rating_tongue", "200 lb", None),
    ("hitch.ball.s_value", "75 kg", None),
    ("hitch.ball.d_value", "8.4 kN", None),
    ("trailer.axles.tyres.max_load", "990 lb", None),
    ("trailer.axles.tyres.max_load", "3420 lb", None),
    ("vehicle.rear.tyres.max_load", "3042 lb", None),
    ("trailer.axles.tyres.max_pressure", "35 psi", None),
    ("trailer.axles.tyres.max_pressure", "110 psi", None),
    ("vehicle.gvwr", "6250 lb", "half-ton-crew-cab"),
    ("vehicle.gvwr", "7350 lb", "half-ton-crew-cab"),
    ("vehicle.gvwr", "14000 lb", "one-ton-dual-rear-wheel"),
    ("vehicle.rear.gawr", "1542 kg", "half-ton-crew-cab"),
    ("vehicle.rear.gawr", "4672 kg", "one-ton-dual-rear-wheel"),
    ("vehicle.wheelbase", "3.099 m", "half-ton-crew-cab"),
    ("vehicle.wheelbase", "4.547 m", "three-quarter-ton"),
    ("trailer.gvwr", "3500 lb", "small-single-axle"),
    ("trailer.gvwr", "13000 lb", "rear-living"),
    ("trailer.gvwr", "22500 lb", "fifth-wheel"),
    ("trailer.empty.tongue_weight", "3925 lb", "fifth-wheel"),
]


@pytest.mark.parametrize(("path", "text", "kind"), PUBLISHED)
def test_a_published_rating_is_not_asked_about(path: str, text: str, kind: str | None) -> None:
    """A rating that stands on plates and data sheets of its class is taken as it is."""
    dimension = module.usual(path, kind)
    assert dimension is not None
    assert implausible(path, parse(text, dimension.dimension).value, kind) is None


@pytest.mark.parametrize(
    ("path", "text", "kind", "found"),
    [
        ("trailer.axles.spacing", "36 ft", None, "432 in (10,973 mm)"),
        ("trailer.axles.spacing", "121 in", None, None),
        ("hitch.bars.rating", "1000 kg", None, "2,205 lb (1,000 kg)"),
        ("vehicle.wheelbase", "145 ft", "half-ton-crew-cab", "1,740 in (44,196 mm)"),
        ("vehicle.gvwr", "7200 kg", "half-ton-crew-cab", "15,873 lb (7,200 kg)"),
        ("vehicle.payload", "1790 kg", "half-ton-crew-cab", "3,946 lb (1,790 kg)"),
        ("vehicle.rear.gawr", "4150 kg", "half-ton-crew-cab", "9,149 lb (4,150 kg)"),
        ("trailer.gvwr", "8600 kg", "rear-living", "18,960 lb (8,600 kg)"),
        ("trailer.gvwr", "1500 lb", "centre-axle-caravan", None),
        ("hitch.receiver.rating_tongue", "5000 lb", None, "5,000 lb (2,268 kg)"),
        ("hitch.receiver.rating_tongue", "5000 lb", "hitch in a bed", None),
        ("hitch.ball.size", "50 in", None, "50 in (1,270 mm)"),
        ("hitch.ball.rating_trailer", "8000 kg", "2 in ball", "17,637 lb (8,000 kg)"),
        ("hitch.coupler.rating_trailer", "2000 kg", "1 7/8 in coupler", "4,409 lb (2,000 kg)"),
        ("trailer.axles.tyres.max_pressure", "65 bar", None, "943 psi (6,500 kPa)"),
    ],
)
def test_a_unit_mistaken_is_asked_about(
    path: str, text: str, kind: str | None, found: str | None
) -> None:
    """Kilograms for pounds, feet for inches, bar for psi: asked, naming path and both units; pounds
    for kilograms only where the band is narrow enough (1,500 lb may be a caravan's rating)."""
    band = module.usual(path, kind)
    assert band is not None
    fault = implausible(path, parse(text, band.dimension).value, kind)
    assert (None if fault is None else fault.found) == found
    if fault is not None:
        assert fault.asks
        assert ".".join(str(part) for part in fault.path) == path


def test_a_class_unsaid_is_asked_about_least() -> None:
    """Without a class the band is that of all classes together; a path without a band is free."""
    assert implausible("vehicle.gvwr", parse("16000 lb", "mass").value) is None
    assert implausible("vehicle.gvwr", parse("16000 lb", "mass").value, "small-car") is not None
    assert implausible("vehicle.colour", 1.0) is None


def test_the_ends_of_a_band_are_usual_and_a_thousandth_beyond_is_not() -> None:
    """Of every rating by every class and style; and without one, of all together: from the least of
    them to the greatest."""
    for path in module.banded():
        ends = []
        for kind in module._bands()[path]:
            band = module.usual(path, kind)
            assert band is not None
            ends += [band.low, band.high]
            assert not implausible(path, band.low, kind), (path, kind)
            assert not implausible(path, band.high, kind), (path, kind)
            assert implausible(path, band.low * 0.999, kind), (path, kind)
            assert implausible(path, band.high * 1.001, kind), (path, kind)
        if module.ANY not in module._bands()[path]:
            least, most = min(ends), max(ends)
            asked = [bool(implausible(path, x)) for x in (least, most, least * 0.999, most * 1.001)]
            assert asked == [False, False, True, True], path


def test_every_band_says_where_it_is_from() -> None:
    """Each row has a status and a source, `memory` where it is, and edges that rise."""
    file = Path(module.__file__).parent / "data" / "plausible.toml"
    for row in tomllib.loads(file.read_text(encoding="utf-8"))["rating"]:
        assert row["status"] in ("read", "memory")
        assert row["status"] == "read" or "memory" in row["source"] or "no source" in row["source"]
        for path in row["path"]:
            for kind in row["between"]:
                band = module.usual(path, kind)
                assert band is not None
                assert 0 < band.low < band.high
