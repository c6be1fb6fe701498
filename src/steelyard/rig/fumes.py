"""Things with fuel in them, or fumes about them, told by what they are called.

They ride outside and never with people: carbon monoxide, vapour and fire (common practice, from
memory). A rig file may say otherwise of one thing (`outside_only = false`), such as of a battery
pack that is called a generator.
"""

import re
from collections.abc import Iterator
from typing import Final

from steelyard.rig.load import Item
from steelyard.rig.rig import Rig

_CALLED: Final = re.compile(
    r"\b(generators?|gensets?|fuels?|petrol|gasoline|diesel|kerosene|paraffin|jerry ?cans?|"
    r"gas (?:cans?|bottles?|cylinders?|tanks?)|gas(?=\s*$)|propane|butane|lpg|"
    r"barbecues?|barbeques?|bbqs?|grills?|charcoal|(?:camp|camping|gas) stoves?)\b"
)


def fumes(name: str, item: Item) -> str:
    """The word by which a thing has fuel or fumes; empty for any other."""
    called = re.sub(r"[-_]", " ", f"{name} {item.title or ''}".lower())
    found = _CALLED.search(called)
    return found.group(1) if found else ""


def outside(name: str, item: Item) -> bool:
    """Whether a thing rides outside only: as the file says, else by what it is."""
    return bool(fumes(name, item)) if item.outside_only is None else item.outside_only


def assumed_outside(rig: Rig) -> Iterator[tuple[str, str]]:
    """Things whose file does not say, by name, with the word they are told by."""
    for name, item in rig.items.items():
        word = fumes(name, item)
        if item.outside_only is None and word:
            yield name, word
