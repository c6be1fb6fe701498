"""Very many candidates of which hardly any is ever made whole."""

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar, overload

import numpy as np
from numpy.typing import NDArray

from steelyard.columns.alike import Alike

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
