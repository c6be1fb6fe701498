"""Which rigs are alike but for their numbers, so that one call answers for all of them."""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal

import numpy as np
from pydantic import BaseModel

from steelyard.estimate import Array
from steelyard.quantity import Level, Value

ONE_BY_ONE: Final = frozenset(
    {"tyres", "share", "helper_rate", "helper_gap", "stop_rate", "stop_gap", "distribution_from"}
)
"""What limits and statics read as a plain number: rigs that differ in it are not alike."""
Path = tuple[str, ...]
Which = Literal["value", "sd"]


def kind_of(fact: Any, *, exact: bool = False) -> Hashable:
    """What must be the same for two facts to be alike: what is stated, on whose word, all words."""
    if fact is None or type(fact) in _PLAIN:
        return fact  # type: ignore[no-any-return]
    if type(fact) is Value:
        said = (fact.kind, fact.includes, fact.basis, fact.sd is None)
        return (*said, fact.value, fact.sd) if exact else said
    if isinstance(fact, BaseModel):
        return tuple(
            [
                (name, kind_of(part, exact=exact or name in ONE_BY_ONE))
                for name, part in fact.__dict__.items()
                if part is not None and name != "title"
            ]
        )
    if isinstance(fact, dict):
        return tuple([(name, kind_of(part, exact=exact)) for name, part in fact.items()])
    return tuple([kind_of(part, exact=True) for part in fact])


_PLAIN: Final = (str, float, int, bool)


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """Every stated number of G alike facts by its path: values and spreads, (G, paths) each."""

    paths: tuple[Path, ...]
    value: Array
    sd: Array

    def some(self, members: Iterable[int]) -> "Numbers":
        """Those of some of the facts."""
        index = list(members)
        return Numbers(paths=self.paths, value=self.value[index], sd=self.sd[index])

    def differing(self, which: Which = "value") -> dict[Path, Array]:
        """Those that are not the same for all, (G,) each."""
        table = self.value if which == "value" else self.sd
        moves = np.ptp(table, axis=0) > 0
        return {self.paths[place]: table[:, place] for place in np.flatnonzero(moves)}


def numbers(facts: Sequence[Any]) -> Numbers:
    """The stated numbers of alike facts, side by side."""
    paths: list[Path] = []
    _walk(facts[0], (), paths, [])
    rows = np.empty((len(facts), 2 * len(paths)))
    for row, fact in zip(rows, facts, strict=True):
        found: list[float | None] = []
        _walk(fact, (), None, found)
        row[:] = found
    return Numbers(paths=tuple(paths), value=rows[:, ::2], sd=rows[:, 1::2])


def _walk(fact: Any, path: Path, paths: list[Path] | None, found: list[float | None]) -> None:
    """Every stated number and its sd in order, and its path where asked."""
    if type(fact) is Value:
        found += (fact.value, fact.sd)
        if paths is not None:
            paths.append(path)
    elif isinstance(fact, BaseModel):
        for name, part in fact.__dict__.items():
            if part is not None and type(part) not in _PLAIN:
                _walk(part, path if paths is None else (*path, name), paths, found)
    elif isinstance(fact, dict):
        for name, part in fact.items():
            _walk(part, path if paths is None else (*path, name), paths, found)


def with_numbers(fact: Any, found: Mapping[Path, Array | float], which: Which = "value") -> Any:
    """The fact with arrays where its numbers differ: limits read them as they read one number."""
    if not found:
        return fact
    if isinstance(fact, Value):
        return replace(fact, **{which: found[()]})  # type: ignore[arg-type]
    inner: dict[str, dict[Path, Array | float]] = {}
    for path, values in found.items():
        inner.setdefault(path[0], {})[path[1:]] = values
    if isinstance(fact, Mapping):
        return {**fact, **{n: with_numbers(fact[n], part, which) for n, part in inner.items()}}
    changed = {n: with_numbers(getattr(fact, n), part, which) for n, part in inner.items()}
    if isinstance(fact, Level):
        return replace(fact, **changed)
    return fact.model_copy(update=changed)
