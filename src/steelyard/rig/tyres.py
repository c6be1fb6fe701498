"""Tyres and wheels of one axle."""

from typing import Annotated

from pydantic import Field

from steelyard.quantity import N, Pressure, Rate, RatedPressure, Rating, Speed
from steelyard.rig.base import Fact
from steelyard.rig.kinds import TyreKind


class TyreRow(Fact):
    """One row of the tyre maker's load table."""

    pressure: RatedPressure
    load: Rating = Field(description="load of one tyre at this pressure")


class Tyres(Fact[N]):
    """The tyres of one axle, all alike."""

    count: Annotated[int, Field(strict=True, ge=1, le=8)] | None = Field(
        default=None, description="tyres on the axle; 2, or 4 with dual wheels"
    )
    kind: TyreKind | None = Field(default=None, description="load standard, from the sidewall")
    extra_load: bool | None = Field(
        default=None,
        description="whether a passenger tyre is extra load (reinforced), which takes more"
        " pressure for its load",
    )
    size: str | None = Field(default=None, description="as on the sidewall, for the reader only")
    load_index: Annotated[int, Field(strict=True, ge=0, le=200)] | None = Field(
        default=None, description="single load index, the number before the speed letter"
    )
    dual_load_index: Annotated[int, Field(strict=True, ge=0, le=200)] | None = Field(
        default=None, description="load index where tyres run in pairs"
    )
    speed_symbol: str | None = Field(default=None, description="the letter after the load index")
    max_load: Rating[N] | None = Field(
        default=None, description="maximum load of one tyre, single, from the sidewall"
    )
    max_load_dual: Rating[N] | None = Field(
        default=None, description="maximum load of one tyre in a pair, from the sidewall"
    )
    max_pressure: RatedPressure[N] | None = Field(
        default=None,
        description="greatest pressure, from the sidewall; the maximum load holds at it, but for"
        " passenger tyres",
    )
    pressure: Pressure[N] | None = Field(default=None, description="pressure as driven, cold")
    placard_pressure: RatedPressure[N] | None = Field(
        default=None, description="pressure on the vehicle's or trailer's own placard"
    )
    table: tuple[TyreRow, ...] = Field(default=(), description="rows of the maker's load table")
    wheel_rating: Rating[N] | None = Field(
        default=None, description="maximum load of one wheel, stamped on the wheel"
    )
    rate: Rate[N] | None = Field(default=None, description="vertical rate of one tyre")
    speed_rating: Speed[N] | None = Field(default=None, description="speed limit on the sidewall")
