"""Pressures on the card against published load-inflation rows.

Sources: LT235/85R16 load range E, single, a tyre maker's table in a 1990 specification sheet;
ST225/75R15, Tire and Rim Association rows as quoted by others (65 psi row seen, the rest from
memory); 49 CFR 571.120 S5.1.2 for passenger tyres on a trailer.
"""

from dataclasses import replace

import pytest

from steelyard.assessment import Assessment, AxleLoad, Spread, assess
from steelyard.cards.tyres import Pressure, pressures, to_run
from steelyard.rig import Rig

LB = 0.45359237
PSI = LB * 9.80665 / 0.0254**2
G = 9.80665
LOADS = (1700, 1870, 2030, 2205, 2335, 2485, 2623, 2765, 2905, 3042)
LT = list(zip(range(35, 85, 5), LOADS, strict=True))
ST = [(50, 2150), (65, 2540), (80, 2830)]
TABLE = [{"pressure": f"{p} psi", "load": f"{w} lb"} for p, w in LT]
ROUNDED = 1.0
"""psi: what rounding up to a whole psi may add."""


def _found(klass: str = "three-quarter-ton", **tyres: object) -> Assessment:
    return assess(
        Rig.model_validate(
            {
                "vehicle": {"class": klass, "front": {"tyres": tyres}},
                "trailer": {
                    "style": "enclosed-cargo",
                    "gvwr": "7000 lb",
                    "axles": {"tyres": tyres},
                },
            }
        )
    )


def _asked(
    found: Assessment, lb: float, axle: str = "front", sides: tuple[str, ...] = ("left", "right")
) -> Pressure:
    """What an axle asks for with at most so many lb on a tyre of its heavier sides, half of it on
    the others."""
    kg = lb * LB
    most = Spread(value=0.8 * kg, best=0.8 * kg, sd=0.1 * kg, low=0.6 * kg, high=kg)
    half = Spread(value=kg / 2, best=kg / 2, sd=0.0, low=kg / 2, high=kg / 2)

    def loaded(one: AxleLoad) -> AxleLoad:
        left, right = (most if side in sides else half for side in ("left", "right"))
        return replace(one, left_kg=left, right_kg=right) if one.name == axle else one

    stages = tuple(replace(s, axles=tuple(map(loaded, s.axles))) for s in found.stages)
    return next(p for p in pressures(replace(found, stages=stages), "us") if p.title == axle)


def _psi(asked: Pressure) -> float:
    assert asked.pressure is not None
    return asked.pressure / PSI


def test_law_gives_the_published_pressures() -> None:
    """LT235/85R16: from 80 psi and 3,042 lb alone, every row's pressure within 1.2 % and 1 psi."""
    found = _found(kind="lt", max_load="3042 lb", max_pressure="80 psi")
    for psi, lb in LT:
        assert -0.012 * psi <= _psi(_asked(found, lb)) - psi <= 0.012 * psi + ROUNDED


@pytest.mark.parametrize("side", ["left", "right"])
def test_the_heavier_side_asks(side: str) -> None:
    """Whichever it is, by the most it may bear: 2,205 lb ask for the 50 psi of their row."""
    found = _found(kind="lt", max_load="3042 lb", max_pressure="80 psi", table=TABLE)
    assert _psi(_asked(found, 2205, sides=(side,))) == pytest.approx(50, abs=1e-6)


def test_rows_in_the_file_are_used_as_they_stand() -> None:
    """The same rows stated in the file: each load gives back its own pressure."""
    found = _found(kind="lt", max_load="3042 lb", max_pressure="80 psi", table=TABLE)
    for psi, lb in LT:
        assert _psi(_asked(found, lb)) == pytest.approx(psi, abs=1e-6)


def test_trailer_tyres_err_on_the_safe_side() -> None:
    """ST225/75R15: never less pressure than the published row for that load asks for."""
    found = _found(kind="st", max_load="2830 lb", max_pressure="80 psi")
    for psi, lb in ST:
        assert _psi(_asked(found, lb, "trailer 1")) >= psi - 1e-6


def test_passenger_tyres_on_a_trailer_carry_a_tenth_less() -> None:
    """49 CFR 571.120 S5.1.2: load over 1.10 takes the full pressure, more has none."""
    found = _found(kind="p-metric", max_load="1874 lb", max_pressure="35 psi")
    assert _psi(_asked(found, 1874 / 1.1, "trailer 1")) == pytest.approx(35)
    assert _asked(found, 1874 / 1.09, "trailer 1").pressure is None


@pytest.mark.parametrize("klass", ["car", "small-car"])
def test_passenger_tyres_on_a_passenger_car_carry_all_of_it(klass: str) -> None:
    """49 CFR 571.110 has no such division for a car, of whatever size: the whole 1,874 lb."""
    found = _found(klass, kind="p-metric", max_load="1874 lb", max_pressure="35 psi")
    assert _psi(_asked(found, 1874)) == pytest.approx(35)


def test_bounds_hold() -> None:
    """Never above the sidewall, never below the placard; unknown stays unknown, and is said."""
    base = {"kind": "lt", "max_load": "3042 lb", "max_pressure": "80 psi"}
    assert _psi(_asked(_found(**base, placard_pressure="55 psi"), 1700)) == pytest.approx(55)
    assert _asked(_found(**base), 3043).pressure is None
    assert _asked(_found(**base, wheel_rating="2000 lb"), 2100).pressure is None
    assert _asked(_found(**base, placard_pressure="85 psi"), 1700).pressure is None
    unknown = _asked(_found(kind="lt", max_load="3042 lb"), 1700)
    assert unknown.pressure is None
    assert "sidewall" in unknown.why
    assert to_run(unknown, "us")[0] == "?"
    enough = _asked(_found(**base, pressure="60 psi"), 1700)
    assert to_run(enough, "us") == ("60", "as now: enough")
    low = _asked(_found(**base, pressure="30 psi"), 1870)
    assert to_run(low, "us") == ("≥ 40", "too low now: raise")
