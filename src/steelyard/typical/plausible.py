"""Whether a rating lies where such ratings usually do: one mistyped in another unit does not."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

import numpy as np

from steelyard.fault import Fault, article, quoted
from steelyard.quantity import Dimension, F, Floats, System, holds, parse, unit_of
from steelyard.quantity.show import apart
from steelyard.rig import Rig

ANY: Final = "any"
_OTHER: Final[dict[System, System]] = {"us": "metric", "metric": "us"}
_FILE = Path(__file__).parent / "data" / "plausible.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """Between what a rating usually lies, SI."""

    low: float
    high: float
    dimension: Dimension

    def said(self, first: System, *values: float) -> str:
        """Its edges in both systems of units, the reader's own first, told from the values."""
        own, other = (
            " to ".join(apart(x, self.dimension, system, *values) for x in (self.low, self.high))
            for system in (first, _OTHER[first])
        )
        return f"{own} ({other})"

    def beside(self, first: System, value: float, text: str) -> str:
        """A value as it was written, then in the units that it was not written in."""
        said = [quoted(text)] * (text != "") + [
            apart(value, self.dimension, system, self.low, self.high)
            for system in (first, _OTHER[first])
            if unit_of(self.dimension, system) not in text
        ]
        return f"{said[0]} ({', '.join(said[1:])})" if said[1:] else said[0]


@cache
def _bands() -> dict[str, dict[str, Band]]:
    """Bands by path, then by class, style or `ANY`."""
    with _FILE.open("rb") as file:
        rows = tomllib.load(file)["rating"]
    return {
        path: {kind: _band(edges, row["dimension"]) for kind, edges in row["between"].items()}
        for row in rows
        for path in row["path"]
    }


def banded() -> tuple[str, ...]:
    """Paths of all ratings of which a band is known, dotted, as in the rig file."""
    return tuple(_bands())


def _band(edges: list[str], dimension: Dimension) -> Band:
    low, high = (parse(edge, dimension).value for edge in edges)
    return Band(low=low, high=high, dimension=dimension)


def usual(path: str, kind: str | None = None) -> Band | None:
    """Where a rating of a class or style usually lies; None where nothing is said of it.

    path: as in the rig file, dotted; kind: the vehicle's class or the trailer's style. Without one
    the band reaches from the least of all kinds to the greatest.
    """
    known = _bands().get(path)
    if known is None:
        return None
    one = known.get(kind or ANY) or known.get(ANY)
    if one is not None or kind is not None:
        return one
    every = tuple(known.values())
    low, high = min(band.low for band in every), max(band.high for band in every)
    return Band(low=low, high=high, dimension=every[0].dimension)


def implausible(
    path: str, value: Floats, kind: str | None = None, first: System = "us", text: str = ""
) -> Fault | None:
    """What to ask about a rating (SI) outside the usual of its class or style, else None.

    first: the units that are said first, the reader's own; text: the value as it was written. A
    column of numbers is asked about where all are outside; what was found is then not said.

    >>> implausible("hitch.bars.rating", 1000.0).found
    '2,205 lb (1,000 kg)'
    """
    band = usual(path, kind)
    if band is None or holds((band.low <= value) & (value <= band.high)):
        return None
    of = f" of {article(kind)} {kind}" if kind else ""
    one = () if isinstance(value, np.ndarray) else (value,)
    return Fault(
        path=tuple(path.split(".")),
        due=f"{band.said(first, *one)}, as is usual{of}",
        found="" if isinstance(value, np.ndarray) else band.beside(first, value, text),
        asks=True,
    )


def built_otherwise(rig: Rig[Floats]) -> Band | None:
    """What a vehicle of the class weighs, where GVWR less payload, which is what nobody stated its
    weight to be (49 CFR 567.4), is nothing like it; None too where either is sure."""
    vehicle, usually = rig.vehicle, usual("vehicle.weight", rig.vehicle.klass)
    gross, payload = vehicle.gvwr, vehicle.payload
    if gross is None or payload is None or vehicle.weight is not None or usually is None:
        return None
    built = gross.value - payload.value
    if gross.sure or payload.sure or holds((usually.low <= built) & (built <= usually.high)):
        return None
    return usually


def believed(rig: Rig[F]) -> Rig[F]:
    """The rig without a gross rating or payload that is asked about: what nobody stated is reckoned
    as if it had not been given. DifferError where some of a column are outside the usual."""
    vehicle, trailer = rig.vehicle, rig.trailer
    stated = (
        ("vehicle", "gvwr", vehicle.klass, vehicle.gvwr),
        ("vehicle", "payload", vehicle.klass, vehicle.payload),
        # Without its empty weight a trailer has nothing else to be reckoned from.
        ("trailer", "gvwr", trailer.style, trailer.gvwr if trailer.empty.weight else None),
    )
    for table, key, kind, value in stated:
        band = usual(f"{table}.{key}", kind)
        if value is None or value.sure or band is None:
            continue
        if not holds((band.low <= value.value) & (value.value <= band.high)):
            part = getattr(rig, table).model_copy(update={key: None})
            rig = rig.model_copy(update={table: part})
    if built_otherwise(rig) is not None:
        part = rig.vehicle.model_copy(update={"gvwr": None, "payload": None})
        rig = rig.model_copy(update={"vehicle": part})
    return rig
