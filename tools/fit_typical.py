"""Fits the typical values that rest on published rows, and writes them into the tables.

    python -m tools.fit_typical            fit the rows of role `fit`, write the tables
    python -m tools.fit_typical --check    the rows held out against the tables, as a table
    python -m tools.fit_typical --check DIR    the same against another copy of the tables

Rows: tests/data/published_trailers.csv and published_vehicles.csv, makers by letter. What the
figures mean and what was assumed: docs/typical-trailers.md, docs/typical-vehicles.md.
"""

import csv
import math
import re
import sys
import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Literal

import numpy as np
from tools.hierarchy import Fit, fit

from steelyard.quantity import parse

ROOT: Final = Path(__file__).parents[1]
ROWS: Final = ROOT / "tests" / "data"
TABLES: Final = ROOT / "src" / "steelyard" / "typical" / "data"
DRIVER: Final = 77.0
"""kg in a vehicle measured with its driver aboard: a 170 lb dummy or person (assumed)."""
BUMPER: Final = 0.1
"""m of an overall length that is neither tongue nor box (assumed)."""
TYRES_OVER_AXLE: Final = 1.1
"""Rated load of an axle's tyres over the axle's rating (assumed)."""

GARAGES: Final = {"toy-hauler", "fifth-wheel-toy-hauler"}
"""Styles whose weight sits elsewhere by design: their means are not drawn to the other plans'."""

Row = Mapping[str, str]
Folder = Literal["trailers", "vehicles"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """One fitted quantity: its keys in a table, what a row says of it (None if nothing), its unit.

    `log`: fitted as a logarithm, so that scatter is relative. `pooled`: whether one style lends
    another its mean. `between`: sd between makers where the rows are one maker's and it
    is assumed, in the unit or, for `log`, relative.
    """

    folder: Folder
    keys: tuple[str, ...]
    of: Callable[[Row], float | None]
    unit: str
    digits: int
    log: bool
    pooled: bool
    between: float | None


def _number(row: Row, key: str) -> float | None:
    return float(row[key]) if row[key] else None


def _ratio(over: str, under: str, times: float = 1.0) -> Callable[[Row], float | None]:
    def of(row: Row) -> float | None:
        a, b = _number(row, over), _number(row, under)
        return None if a is None or b is None else times * a / b

    return of


def _mass_per_length(row: Row) -> float | None:
    weight, length = _number(row, "empty_kg"), _number(row, "overall_length_m")
    if weight is None or length is None:
        return None
    start = parse(read("trailers", row["style"])["values"]["box_start"]["value"], "length").value
    return weight / (length - max(start, 0.0) - BUMPER)


def _unladen(row: Row) -> float | None:
    weight = _number(row, "weight_kg")
    return weight if weight is None or row["driver"] == "no" else weight - DRIVER


def _quantity(
    folder: Folder,
    keys: str,
    of: Callable[[Row], float | None],
    unit: str = "",
    digits: int = 3,
    *,
    log: bool = False,
    between: float | None = None,
) -> Quantity:
    pooled = folder == "trailers"
    split = tuple(keys.split())
    return Quantity(
        folder=folder, keys=split, of=of, unit=unit, digits=digits, log=log, pooled=pooled,
        between=between,
    )  # fmt: skip


QUANTITIES: Final = (
    _quantity("trailers", "tongue_share", _ratio("empty_tongue_kg", "empty_kg")),
    _quantity("trailers", "empty_share_of_gvwr", _ratio("empty_kg", "gvwr_kg")),
    _quantity("trailers", "mass_per_box_length", _mass_per_length, digits=0, log=True),
    _quantity("vehicles", "weight", _unladen, "kg", 0, log=True),
    _quantity("vehicles", "cg_height", lambda r: _number(r, "cg_height_m"), "m"),
    _quantity("vehicles", "front.track rear.track", lambda r: _number(r, "track_m"), "m", log=True),
    _quantity("vehicles", "weight_share_of_gvwr", _ratio("weight_kg", "gvwr_kg"), between=0.035),
    _quantity("vehicles", "front_tyre_share", _ratio("front_gawr_kg", "gvwr_kg", TYRES_OVER_AXLE),
              between=0.03),
    _quantity("vehicles", "rear_tyre_share", _ratio("rear_gawr_kg", "gvwr_kg", TYRES_OVER_AXLE),
              between=0.03),
)  # fmt: skip


def read(folder: str, style: str, tables: Path = TABLES) -> dict[str, Any]:
    """The table of one style or class."""
    return tomllib.loads((tables / folder / f"{style}.toml").read_text(encoding="utf-8"))


def rows(folder: Folder, role: str) -> list[Row]:
    """Published rows of one role, `fit` or `hold-out`; a class is called style like the rest."""
    with (ROWS / f"published_{folder}.csv").open(encoding="utf-8", newline="") as file:
        found = list(csv.DictReader(file))
    return [{**row, "style": row.get("style") or row["class"]} for row in found
            if row["role"] == role]  # fmt: skip


def seen(quantity: Quantity, role: str) -> list[tuple[str, str, float]]:
    """Style, maker (within its kind; a vehicle's within its class) and value of each row."""
    found = []
    for row in rows(quantity.folder, role):
        value = quantity.of(row)
        if value is not None:
            maker = row["maker"] if quantity.pooled else f"{row['style']} {row['maker']}"
            found.append((row["style"], maker, value))
    return found


def kinds(quantity: Quantity, styles: Sequence[str]) -> list[list[str]]:
    """Styles that are fitted together: trailers by their coupling, vehicles all at once."""
    if not quantity.pooled:
        return [sorted(set(styles))]
    by: dict[str, set[str]] = {}
    for style in styles:
        by.setdefault(read("trailers", style)["hitch"], set()).add(style)
    return [sorted(group) for group in by.values()]


def fitted(quantity: Quantity) -> Mapping[str, Fit]:
    """The fit of every style that has rows."""
    data = seen(quantity, "fit")
    found: dict[str, Fit] = {}
    for group in kinds(quantity, [style for style, _, _ in data]):
        styles, makers, values = zip(*[row for row in data if row[0] in group], strict=True)
        y = [math.log(value) for value in values] if quantity.log else list(values)
        alone = GARAGES if quantity.pooled else set(styles)
        found.update(fit(y, styles, makers, alone=alone, between=quantity.between))
    return found


def entry(quantity: Quantity, one: Fit) -> str:
    """The table's entry: value, half-widths of one more row and of the mean, rows and makers."""
    value = math.exp(one.middle) if quantity.log else one.middle
    widths = [one.half_width, one.mean_half_width]
    if quantity.log:
        widths = [value * width for width in widths]
    numbers = [f"{number:.{quantity.digits}f}" for number in (value, *widths)]
    if quantity.unit:
        numbers = [f'"{number} {quantity.unit}"' for number in numbers]
    kind = "trailers" if quantity.folder == "trailers" else "vehicles"
    makers = f"{one.makers} makers" if one.makers > 1 else "one maker, others assumed to differ"
    page = f"docs/typical-{quantity.folder}.md"
    source = f"fit to {one.rows} published {kind} of {makers}, between makers counted ({page})"
    return (
        f"{{ value = {numbers[0]}, spread = {numbers[1]}, mean_spread = {numbers[2]}, "
        f'rows = {one.rows}, makers = {one.makers}, source = "{source}" }}'
    )


def heavier(rows: Sequence[Row], style: str) -> str:
    """How the mass per metre of a style's box grows with its weight: heavy trailers are denser.

    The slope of one logarithm on the other within styles, least squares over all of the coupling;
    the value is that of the style's mean weight.
    """
    hitch = read("trailers", style)["hitch"]
    found: dict[str, list[tuple[float, float]]] = {}
    for row in rows:
        density = _mass_per_length(row)
        if density is not None and read("trailers", row["style"])["hitch"] == hitch:
            pair = math.log(float(row["empty_kg"])), math.log(density)
            found.setdefault(row["style"], []).append(pair)
    centred = [x - x.mean(axis=0) for x in map(np.array, found.values())]
    x, y = np.concatenate(centred).T
    at = math.exp(float(np.mean([weight for weight, _ in found[style]])))
    return f'at = "{at:.0f} kg", power = {float(x @ y / (x @ x)):.2f}, '


def write(quantity: Quantity) -> None:
    """Puts a quantity's fits into the tables of its styles."""
    for style, one in fitted(quantity).items():
        path = TABLES / quantity.folder / f"{style}.toml"
        text = path.read_text(encoding="utf-8")
        for key in quantity.keys:
            name = f'"{key}"' if "." in key else key
            line = rf"(?m)^{re.escape(name)} = \{{.*\}}$"
            more = heavier(rows("trailers", "fit"), style) if key == "mass_per_box_length" else ""
            told = entry(quantity, one).replace("mean_spread", f"{more}mean_spread")
            text, count = re.subn(line, f"{name} = {told}", text)
            if count != 1:
                raise SystemExit(f"{path.name}: expected one line of {name}, found {count}")
        path.write_text(text, encoding="utf-8")


def band(quantity: Quantity, style: str, key: str, tables: Path = TABLES) -> tuple[float, float]:
    """Value less and plus its spread, as the table has it, in SI."""
    table = read(quantity.folder, style, tables)
    found = {**table["relations"], **table["values"]}[key]
    dimension: Any = {"kg": "mass", "m": "length"}.get(quantity.unit)
    numbers = [found["value"], found["spread"]]
    if dimension:
        numbers = [parse(number, dimension).value for number in numbers]
    return numbers[0] - numbers[1], numbers[0] + numbers[1]


def winkler(low: float, high: float, x: float) -> float:
    """Interval score at 95 %: width, and 40 times by how far it misses (Winkler 1972)."""
    return high - low + 40 * max(low - x, x - high, 0.0)


def checked(tables: Path) -> Iterator[tuple[str, str, int, int, float]]:
    """Quantity, style, rows held out, how many inside, mean interval score over the value."""
    for quantity in QUANTITIES:
        data = seen(quantity, "hold-out")
        for style in sorted({style for style, _, _ in data}):
            there = (tables / quantity.folder / f"{style}.toml").exists()
            own = style if there else STAND_IN[style]
            low, high = band(quantity, own, quantity.keys[0], tables)
            values = [value for name, _, value in data if name == style]
            inside = sum(low <= value <= high for value in values)
            score = sum(winkler(low, high, value) / value for value in values) / len(values)
            yield quantity.keys[0], style, len(values), inside, score


STAND_IN: Final = {
    "toy-hauler": "rear-living", "rear-bath": "rear-living", "middle-kitchen": "rear-living",
    "fifth-wheel-toy-hauler": "fifth-wheel", "small-suv": "mid-size-suv",
    "minivan": "mid-size-suv", "small-car": "car",
}  # fmt: skip
"""What stood for a style in tables that lack it."""


def main() -> None:
    """Fits and writes, or checks."""
    if sys.argv[1:2] == ["--check"]:
        tables = Path(sys.argv[2]) if len(sys.argv) > 2 else TABLES
        print("| quantity | style or class | held out | inside | interval score over value |")
        print("|---|---|---|---|---|")
        for name, style, n, inside, score in checked(tables):
            print(f"| {name} | {style} | {n} | {inside} | {score:.3f} |")
        return
    for quantity in QUANTITIES:
        write(quantity)


if __name__ == "__main__":
    main()
