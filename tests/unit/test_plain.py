"""Results as JSON values: units and keys are read off the fields."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np
import pytest

from steelyard.files.plain import Forms, plain
from steelyard.quantity import reported


@dataclass(frozen=True, slots=True, kw_only=True)
class _Range:
    value: float
    low: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    name: Annotated[str, reported.Key("case")]
    load: Annotated[_Range, reported.LOAD]
    rise: Annotated[tuple[float, ...], reported.METRE, reported.Key("asked.rise")]
    inner: Annotated[object, reported.UNREPORTED]
    never: float
    grows: bool

    @property
    def verdict(self) -> Annotated[str, reported.Key("verdict")]:
        return "tight"


FOUND = _Found(
    name="uphill",
    load=_Range(value=9806.65, low=float("inf")),
    rise=(0.5, -0.0),
    inner=object(),
    never=float("nan"),
    grows=np.bool_(True),  # type: ignore[arg-type]
)


def test_a_field_says_its_unit_and_its_key() -> None:
    """A load, N, is told as the mass that weighs as much at standard gravity, 9.80665 m/s2 (ISO
    80000-3); keys end in their unit; a dot makes a table; what has no end is null."""
    assert plain(FOUND) == {
        "case": "uphill",
        "load_kg": {"value": pytest.approx(1000.0, rel=1e-15), "low": None},
        "asked": {"rise_m": [0.5, 0.0]},
        "never": None,
        "grows": True,
        "verdict": "tight",
    }
    assert str(plain(FOUND)["asked"]["rise_m"][1]) == "0.0"


def test_a_report_may_have_a_form_of_its_own() -> None:
    """A type that one report writes otherwise is given with the size of its unit."""
    forms: Forms = {_Range: lambda one, size: one.value / size}
    assert plain(FOUND, forms)["load_kg"] == pytest.approx(1000.0, rel=1e-15)


def test_arrays_are_lists() -> None:
    """Numbers out of arrays are plain ones, whatever their shape."""
    assert plain(np.array([[1.0, np.inf], [2.0, 3.0]]), size=2.0) == [[0.5, None], [1.0, 1.5]]
    assert plain({"n": np.int64(3)}) == {"n": 3}
