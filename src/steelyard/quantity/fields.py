"""Pydantic field types for quantities, so that a model field says its dimension and range."""

import re
from dataclasses import dataclass, replace
from typing import Annotated, Any, Final

from pydantic import BeforeValidator, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

from steelyard.fault import Fault, quoted, sentence
from steelyard.quantity.parse import QuantityError, parse
from steelyard.quantity.show import shown
from steelyard.quantity.units import EXAMPLES, NOUNS, UNITS, Dimension
from steelyard.quantity.value import KINDS, Level, N, Value


@dataclass(frozen=True, slots=True)
class Of:
    """Marks a field as a quantity of one dimension, at least `low` and at most `high` (SI).

    exact: one number without a spread, as a plate states it.
    """

    dimension: Dimension
    low: float = float("-inf")
    high: float = float("inf")
    strict: bool = False
    exact: bool = False

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self._validate,
            serialization=core_schema.plain_serializer_function_ser_schema(written),
            metadata={"quantity": self.dimension},
        )

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return json_schema(self.dimension, exact=self.exact)

    def _validate(self, raw: Any) -> Value:
        try:
            found = parse(raw, self.dimension)
        except QuantityError as error:
            raise refused(error.faults[0]) from None
        if not self.inside(found.value):
            raise refused(self._range(found))
        if self.exact and found.sd:
            due, hint = "one number, as it is rated", "a spread would count for nothing"
            raise refused(Fault(due=due, found=quoted(found.text), hint=hint))
        return found

    def inside(self, si: Any) -> Any:
        """Whether a number (SI), or each of an array, is in the range."""
        above = si > self.low if self.strict else si >= self.low
        return above & (si <= self.high)

    def _range(self, found: Value) -> Fault:
        both = dict.fromkeys(shown(self.high, self.dimension, one) for one in ("metric", "us"))
        due = f"of at most {' or '.join(both)}"
        if found.value <= self.low:
            due = "above zero" if self.strict else "at least zero"
            due = due if self.low == 0 else "not as far below zero"
        return Fault(due=f"{NOUNS[self.dimension]} {due}", found=quoted(found.text))


def refused(fault: Fault) -> PydanticCustomError:
    """What a model's validator raises, so that the fault is found again as it was."""
    why = sentence(replace(fault, path=()))
    return PydanticCustomError("fault", "{why}", {"why": why, "fault": fault})


def json_schema(dimension: Dimension, *, exact: bool = False) -> dict[str, Any]:
    """JSON schema of one quantity: a string, or a table that also says spread and basis."""
    units = ", ".join(UNITS[dimension])
    spread = "no spread, as it is rated" if exact else "a spread may follow after +-"
    text = {
        "type": "string",
        "description": f"{NOUNS[dimension]} with its unit ({units}), such as {EXAMPLES[dimension]};"
        f" {spread}",
    }
    table = {
        "type": "object",
        "additionalProperties": False,
        "required": ["value"],
        "properties": {
            "value": text,
            "spread": {"type": "string", "description": "half-width of the 95 % interval"},
            "basis": {"enum": ["stated", "weighed", "measured", "assumed"]},
            "includes": {"type": "array", "items": {"type": "string"}},
            "kind": {"enum": list(KINDS)},
            "sure": {"type": "boolean", "description": "right, though it is asked about"},
        },
    }
    return {"anyOf": [text, table], "x-dimension": dimension}


def written(value: Value) -> Any:
    """A Value as it stands in a rig file again: its text, or a table when more was said."""
    extra: dict[str, Any] = {}
    if value.basis != "stated":
        extra["basis"] = value.basis
    if value.includes is not None:
        extra["includes"] = list(value.includes)
    if value.kind is not None:
        extra["kind"] = value.kind
    if value.sure:
        extra["sure"] = True
    return {"value": value.text, **extra} if extra else value.text


@dataclass(frozen=True, slots=True)
class TankLevel:
    """Marks a field as a tank level: `"full"`, `"empty"`, a share or a volume."""

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self._validate,
            serialization=core_schema.plain_serializer_function_ser_schema(_written_level),
        )

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {"anyOf": [{"enum": list(_WORDS)}, json_schema("share"), json_schema("volume")]}

    def _validate(self, raw: Any) -> Level:
        if isinstance(raw, Level):
            return raw
        try:
            return _level(raw)
        except QuantityError:
            due = 'a tank level such as "full", "50 %" or "20 gal"'
            raise refused(Fault(due=due, found=quoted(raw))) from None


_WORDS = {"empty": "0 % +- 0 %", "full": "100 % +- 0 %"}


def _level(raw: Any) -> Level:
    text = raw.get("value") if isinstance(raw, dict) else raw
    if isinstance(text, str) and text.strip() in _WORDS:
        raw = _WORDS[text.strip()]
        text = raw
    if isinstance(text, str) and "%" in text.split("+")[0].split("±")[0]:
        share = parse(raw, "share")
        if not 0.0 <= share.value <= 1.0:
            raise QuantityError(due="a share from 0 to 100 %")
        return Level(share=share, volume=None)
    volume = parse(raw, "volume")
    if volume.value < 0:
        raise QuantityError(due="a volume of at least zero")
    return Level(share=None, volume=volume)


def _written_level(level: Level) -> Any:
    return written(level.stated)


_BY_HUNDRED = re.compile(r"\s*(\d+(?:[.,]\d+)?)\s*[Ll]\s?/\s?100\s?km\s*")


def _distance_a_litre(raw: Any) -> Any:
    """`"12 L/100km"` turned round into kilometres a litre; anything else as it is."""
    match = _BY_HUNDRED.fullmatch(raw) if isinstance(raw, str) else None
    litres = float(match[1].replace(",", ".")) if match else 0.0
    return f"{100 / litres!r} km/L" if litres > 0 else raw


HEAVIEST: Final = 1e5
"""kg: no road vehicle weighs more, draws more or is rated for more."""
Mass = Annotated[Value[N], Of("mass", low=0.0, high=HEAVIEST)]
PositiveMass = Annotated[Value[N], Of("mass", low=0.0, high=HEAVIEST, strict=True)]
Rating = Annotated[Value[N], Of("mass", low=0.0, high=HEAVIEST, strict=True, exact=True)]
Station = Annotated[Value[N], Of("length", low=-100.0, high=100.0)]
Length = Annotated[Value[N], Of("length", low=0.0, high=100.0, strict=True)]
Height = Annotated[Value[N], Of("length", low=0.0, high=10.0)]
Pressure = Annotated[Value[N], Of("pressure", low=0.0, high=2e6, strict=True)]
RatedPressure = Annotated[Value[N], Of("pressure", low=0.0, high=2e6, strict=True, exact=True)]
Force = Annotated[Value[N], Of("force", low=0.0, strict=True)]
Rate = Annotated[Value[N], Of("rate", low=0.0, strict=True)]
Angle = Annotated[Value[N], Of("angle", low=-0.6, high=0.6)]
PresetAngle = Annotated[Value[N], Of("angle", low=-0.2, high=0.2)]
Share = Annotated[Value[N], Of("share", low=0.0, high=1.0)]
Volume = Annotated[Value[N], Of("volume", low=0.0, strict=True)]
Speed = Annotated[Value[N], Of("speed", low=0.0, strict=True)]
Power = Annotated[Value[N], Of("power", low=0.0, strict=True)]
Time = Annotated[Value[N], Of("time", low=0.0, high=1e5, strict=True)]
Moment = Annotated[Value[N], Of("moment", low=0.0, high=5e3, strict=True)]
Distance = Annotated[Value[N], Of("length", low=0.0, high=1e7)]
Economy = Annotated[
    Value[N], Of("economy", low=0.0, strict=True), BeforeValidator(_distance_a_litre)
]
FillLevel = Annotated[Level[N], TankLevel()]
