"""Results as JSON values: keys are read off the fields."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from steelyard.files.plain import Forms, plain
from steelyard.quantity import reported


@dataclass(frozen=True, slots=True, kw_only=True)
class _Range:
    value: float
    low: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    name: Annotated[str, reported.Key("case")]
    load_kg: _Range
    rise: Annotated[tuple[float, ...], reported.METRE, reported.Key("asked.rise")]
    inner: Annotated[object, reported.UNREPORTED]
    never: float
    grows: bool

    @property
    def verdict(self) -> Annotated[str, reported.Key("verdict")]:
        return "tight"


FOUND = _Found(
    name="uphill",
    load_kg=_Range(value=1000.0, low=float("inf")),
    rise=(0.5, -0.0),
    inner=object(),
    never=float("nan"),
    grows=np.bool_(True),  # type: ignore[arg-type]
)


def test_a_field_says_its_unit_and_its_key() -> None:
    """Keys end in their unit and numbers are the object's own; a dot makes a table; what has no end
    is null."""
    assert plain(FOUND) == {
        "case": "uphill",
        "load_kg": {"value": 1000.0, "low": None},
        "asked": {"rise_m": [0.5, 0.0]},
        "never": None,
        "grows": True,
        "verdict": "tight",
    }
    assert str(plain(FOUND)["asked"]["rise_m"][1]) == "0.0"


def test_a_report_may_have_a_form_of_its_own() -> None:
    """A type may stand otherwise in one report."""
    forms: Forms = {_Range: lambda one: one.value}
    assert plain(FOUND, forms)["load_kg"] == 1000.0


def test_arrays_are_lists() -> None:
    """Numbers out of arrays are plain ones, whatever their shape."""
    assert plain(np.array([[1.0, np.inf], [2.0, 3.0]])) == [[1.0, None], [2.0, 3.0]]
    assert plain({"n": np.int64(3)}) == {"n": 3}
