"""Numbers with units on the command line, read into SI."""

from collections.abc import Callable
from typing import Any, Final

import click

from steelyard.quantity import Dimension, QuantityError, parse


class Quantity(click.ParamType[float]):
    """A quantity of one dimension; `within` says of its SI value whether it will do, and `due` in
    words what would. `bare` is the unit of a number without one."""

    def __init__(
        self,
        dimension: Dimension,
        within: Callable[[float], bool] | None = None,
        due: str = "",
        bare: str = "",
    ) -> None:
        self.name = dimension
        self._dimension, self._within, self._due, self._bare = dimension, within, due, bare

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """SI; a default, which is SI already, as it is."""
        if not isinstance(value, str):
            return float(value)
        text = f"{value} {self._bare}" if self._bare and value[-1:].isdigit() else value
        try:
            found = parse(text, self._dimension).value
        except QuantityError as error:
            self.fail(str(error), param, ctx)
        if self._within is not None and not self._within(found):
            self.fail(f"expected {self._due}, found {value!r}", param, ctx)
        return found


SPEED: Final = Quantity("speed", lambda x: x > 0, "a speed above zero")
