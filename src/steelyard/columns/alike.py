"""Which rigs are alike but for their numbers, so that one call answers for all of them; and very
many candidates of which hardly any is ever made whole.
"""

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final, Literal, TypeVar, overload

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel

from steelyard.estimate import Array
from steelyard.quantity import F, Floats, Level, Value, parted
from steelyard.rig import Rig

ONE_BY_ONE: Final = frozenset(
    {"tyres", "share", "helper_rate", "helper_gap", "stop_rate", "stop_gap", "distribution_from"}
)
"""What limits and statics read as a plain number: rigs that differ in it are not alike."""
Path = tuple[str, ...]
Which = Literal["value", "sd"]


def kind_of(fact: Any) -> Hashable:
    """What is the same for all facts alike to this one."""
    return _kind(fact, [])


def _kind(fact: Any, found: list[float | None], *, exact: bool = False) -> Hashable:
    """What must be the same for two facts to be alike: what is stated, on whose word, all words;
    every stated number and its sd in order into `found`."""
    if fact is None or type(fact) in _PLAIN:
        return fact  # type: ignore[no-any-return]
    if type(fact) is Value:
        found += (fact.value, fact.sd)
        said = (fact.kind, fact.includes, fact.basis, fact.sure, fact.sd is None, parted(fact.text))
        return (*said, fact.value, fact.sd) if exact else said
    if isinstance(fact, BaseModel):
        return tuple(
            [
                (name, _kind(part, found, exact=exact or name in ONE_BY_ONE))
                for name, part in fact.__dict__.items()
                if part is not None and name != "title"
            ]
        )
    if isinstance(fact, dict):
        return tuple([(name, _kind(part, found, exact=exact)) for name, part in fact.items()])
    return tuple([_kind(part, [], exact=True) for part in fact])


_PLAIN: Final = (str, float, int, bool)


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """Every stated number of G alike facts by its path: values and spreads, (G, paths) each."""

    paths: tuple[Path, ...]
    value: Array
    sd: Array

    def some(self, members: Iterable[int] | NDArray[np.intp]) -> "Numbers":
        """Those of some of the facts."""
        index = np.asarray(members, dtype=np.intp)
        return Numbers(paths=self.paths, value=self.value[index], sd=self.sd[index])

    def within(self, fact: Any) -> "Numbers":
        """Those that stand in a fact, all others of its numbers as it has them."""
        there = dict(stated(fact))
        G, place = len(self.value), {path: number for number, path in enumerate(self.paths)}
        value, sd = (np.empty((G, len(there))) for _ in range(2))
        for column, (path, one) in enumerate(there.items()):
            own = place.get(path)
            value[:, column] = one.value if own is None else self.value[:, own]
            sd[:, column] = np.nan if one.sd is None else one.sd
            if own is not None:
                sd[:, column] = self.sd[:, own]
        return Numbers(paths=tuple(there), value=value, sd=sd)

    def differing(self, which: Which = "value") -> dict[Path, Array]:
        """Those that are not the same for all, (G,) each."""
        table = self.value if which == "value" else self.sd
        moves = np.ptp(table, axis=0) > 0
        return {self.paths[place]: table[:, place] for place in np.flatnonzero(moves)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Alike:
    """Facts that are alike: which of many they are, (G,), and their numbers."""

    members: NDArray[np.intp]
    numbers: Numbers

    def among(self, some: NDArray[np.intp]) -> "Alike":
        """Those of them that are among some."""
        index = np.flatnonzero(np.isin(self.members, some))
        return Alike(members=self.members[index], numbers=self.numbers.some(index))

    def parts(self, size: int) -> Iterator["Alike"]:
        """So many of them at a time."""
        for start in range(0, len(self.members), size):
            index = np.arange(len(self.members))[start : start + size]
            yield Alike(members=self.members[index], numbers=self.numbers.some(index))


def alike(facts: Iterable[Any]) -> tuple[Alike, ...]:
    """Facts in groups that are alike but for their numbers."""
    groups: dict[Hashable, tuple[Any, list[int], list[list[float | None]]]] = {}
    for number, fact in enumerate(facts):
        row: list[float | None] = []
        _, members, rows = groups.setdefault(_kind(fact, row), (fact, [], []))
        members.append(number)
        rows.append(row)
    return tuple(_alike(*group) for group in groups.values())


def _alike(first: Any, members: list[int], rows: list[list[float | None]]) -> Alike:
    paths = tuple(path for path, _ in stated(first))
    table = np.array(rows, dtype=float).reshape(len(rows), -1)
    own = Numbers(paths=paths, value=table[:, ::2], sd=table[:, 1::2])
    return Alike(members=np.array(members), numbers=own)


def stated(fact: Any, path: Path = ()) -> Iterator[tuple[Path, Value]]:
    """Every stated number of a fact in order, with its path."""
    if type(fact) is Value:
        yield path, fact
    elif isinstance(fact, BaseModel | dict):
        parts = fact if isinstance(fact, dict) else fact.__dict__
        for name, part in parts.items():
            if part is not None and type(part) not in _PLAIN:
                yield from stated(part, (*path, name))


def with_numbers(rig: Rig[F], found: Mapping[Path, F], which: Which = "value") -> Rig[F]:
    """The rig with arrays where its numbers differ: limits read them as they read one number."""
    whole: Rig[F] = _with_numbers(rig, found, which)
    return whole


def _with_numbers(fact: Any, found: Mapping[Path, Floats], which: Which) -> Any:
    if not found:
        return fact
    if isinstance(fact, Value):
        return replace(fact, **{which: found[()]})  # type: ignore[arg-type]
    inner: dict[str, dict[Path, Floats]] = {}
    for path, values in found.items():
        inner.setdefault(path[0], {})[path[1:]] = values
    if isinstance(fact, Mapping):
        return {**fact, **{n: _with_numbers(fact[n], part, which) for n, part in inner.items()}}
    changed = {n: _with_numbers(getattr(fact, n), part, which) for n, part in inner.items()}
    if isinstance(fact, Level):
        return replace(fact, **changed)
    return fact.model_copy(update=changed)


T = TypeVar("T")
U = TypeVar("U")


class Many(Sequence[T]):
    """Things by number, each made only where it is asked for; which of them are alike is known.

    names: of each; groups: which are alike, numbers by the paths of what is made; None for nobody
    knows.
    """

    def __init__(
        self,
        names: Sequence[str],
        make: Callable[[int], T],
        groups: tuple[Alike, ...] | None = None,
    ) -> None:
        self.names, self.groups, self._make = names, groups, make

    def __len__(self) -> int:
        return len(self.names)

    @overload
    def __getitem__(self, number: int) -> T: ...

    @overload
    def __getitem__(self, number: slice) -> list[T]: ...

    def __getitem__(self, number: int | slice) -> T | list[T]:
        if isinstance(number, slice):
            return [self._make(one) for one in range(*number.indices(len(self)))]
        return self._make(range(len(self))[number])

    def called(self, names: Sequence[str]) -> "Many[T]":
        """The same by other names."""
        return Many(names, self._make, self.groups)

    def among(self, some: NDArray[np.intp]) -> "Many[T]":
        """The same where only some of them count."""
        groups = self.groups and tuple(one.among(some) for one in self.groups)
        return Many(self.names, self._make, groups)

    def kinds(self) -> Iterator[T]:
        """One of each group, or all where nobody knows."""
        if self.groups is None:
            return iter(self)
        return (self._make(int(one.members[0])) for one in self.groups)

    def items(self) -> Iterator[tuple[str, T]]:
        """Each made, with its name."""
        return zip(self.names, self, strict=True)

    def each(self, way: Callable[[T, str], U]) -> "Many[U]":
        """What a function makes of each, with its name; what was alike still is."""
        return Many(self.names, lambda k: way(self._make(k), self.names[k]), self.groups)
