"""What the owner's own rigs, weighed before, say of a typical value."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Own:
    """A typical value of the owner's with one sd, plain or SI, and how many rigs it rests on."""

    value: float
    sd: float
    rigs: int


Owned = Mapping[str, Mapping[str, Own]]
"""By trailer style or vehicle class, then by the name of the relation."""
