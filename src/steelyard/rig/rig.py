"""The rig: vehicle, hitch, trailer and what rides, as read from stickers and tape measure."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, get_args

from pydantic import PrivateAttr, ValidationError, model_validator

from steelyard.fault import Fault, FaultError, quoted, require
from steelyard.quantity import N, refused
from steelyard.rig.checks import first_fault
from steelyard.rig.kinds import Country, Region
from steelyard.rig.listing import Listing
from steelyard.rig.spelling import spelt_path
from steelyard.rig.validation import validation_faults


@dataclass(frozen=True, slots=True, kw_only=True)
class Own:
    """A typical value of the owner's with one sd, plain or SI, and how many rigs it rests on."""

    value: float
    sd: float
    rigs: int


Owned = Mapping[str, Mapping[str, Own]]
"""By trailer style or vehicle class, then by the name of the relation."""


_ELSEWHERE: Final[dict[str, Region]] = {
    "US": "north-america",
    "CA": "north-america",
    "AU": "australia-new-zealand",
    "NZ": "australia-new-zealand",
}
REGIONS: Final[Mapping[str, Region]] = {
    country: _ELSEWHERE.get(country, "europe") for country in get_args(Country)
}
"""The region of each country."""


class Rig(Listing[N]):
    """What exists. Holds no physics; a stated value is a `Value` in SI, an unstated one None."""

    _owned: Owned = PrivateAttr(default_factory=dict)

    if not TYPE_CHECKING:  # for whoever builds one in Python; its arguments are typed as fields are

        def __init__(self, **tables: Any) -> None:
            """Refuse as a file is refused: FaultError, not pydantic's own error."""
            try:
                super().__init__(**tables)
            except ValidationError as error:
                raise FaultError(*validation_faults(error, Rig)) from None

        __init__.__pydantic_base_init__ = True  # models are validated without it

    @property
    def owned(self) -> Owned:
        """The owner's own typical values, where there are any."""
        return self._owned

    def own(self, style: str) -> Mapping[str, Own]:
        """The owner's typical values of a trailer style or vehicle class."""
        return self._owned.get(style, {})

    def owning(self, owned: Owned) -> "Rig[N]":
        """The same rig with the owner's own typical values beside it."""
        copy = self.model_copy()
        copy._owned = owned
        return copy

    def replace(self, path: str, value: Any) -> "Rig":
        """The rig with another value at a path of its file, as the file would have it.

        path: such as "items.bikes.weight"; value: text with its unit, a table, None to leave it
        out. FaultError in the sentence that a file gets.

        >>> from steelyard import Rig
        >>> rig = Rig(vehicle={"class": "van"}, trailer={"style": "boat", "gvwr": "2000 kg"})
        >>> rig.replace("trailer.gvwr", "1800 kg").trailer.gvwr.text
        '1800 kg'
        """
        require(path, str, "path", 'a path such as "items.bikes.weight"')
        data = self.model_dump(mode="json", by_alias=True, exclude_unset=True)
        *tables, key = spelt_path(path.split("."))
        table = data
        for name in tables:
            table = table.setdefault(name, {})
            if not isinstance(table, dict):
                raise FaultError(argument=path, due=f"a table at {name}", found=quoted(table))
        if value is None:
            table.pop(key, None)
        else:
            table[key] = value
        try:
            return Rig.model_validate(data).owning(self._owned)
        except ValidationError as error:
            raise FaultError(*validation_faults(error, Rig)) from None

    def __repr__(self) -> str:
        return f"<Rig {self.name}>"

    @model_validator(mode="before")
    @classmethod
    def _region_of_country(cls, data: Any) -> Any:
        """A country says its region."""
        if not isinstance(data, Mapping) or "region" in data:
            return data
        region = REGIONS.get(str(data.get("country")))
        return {**data, "region": region} if region else data

    @model_validator(mode="after")
    def _consistent(self) -> "Rig[N]":
        if self.country is not None and REGIONS[self.country] != self.region:
            due = f"{REGIONS[self.country]}, where {self.country} lies, or none"
            raise refused(Fault(path=("region",), due=due, found=quoted(str(self.region))))
        fault = first_fault(self)
        if fault is not None:
            raise refused(fault)
        return self
