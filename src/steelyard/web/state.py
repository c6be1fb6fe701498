"""What a person works on: a rig as plain data and its readings; and what follows from them."""

import json
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from threading import Lock
from typing import Any, Final, ParamSpec, TypeVar

from steelyard.assessment import Assessment, Spread, assess
from steelyard.estimate import Estimate
from steelyard.files.autosave import digest
from steelyard.files.faults import FileFaultError
from steelyard.files.reader import validated
from steelyard.rig import Owned, Rig, one_spelling
from steelyard.scene import NoBalanceError
from steelyard.trip import TripError, travelled

Data = Mapping[str, Any]
P = ParamSpec("P")
T = TypeVar("T")

NOWHERE: Final = "No rig could stand like this: its loads have no balance."


class AskError(ValueError):
    """Something that cannot be done as asked; one clear sentence."""


@dataclass(frozen=True, kw_only=True)
class State:
    """One moment of the work; every change makes a new one.

    data: the rig file as plain values. ticket: readings as plain values of a ticket, and
    `weighed`, the rig's data as it was when they were taken; `run` names the weighing in the
    logbook. All None before any reading. text: the file that the rig was taken in from, None for
    the bench's own; its comments are kept.
    """

    data: Data
    ticket: Data | None = None
    weighed: Data | None = None
    run: str | None = None
    text: str | None = None

    def __post_init__(self) -> None:
        """One spelling of each key, whatever the file's is."""
        object.__setattr__(self, "data", one_spelling(self.data))

    @staticmethod
    def of(plain: Mapping[str, Any]) -> "State":
        """As it was written; KeyError where it is none."""
        return State(
            data=plain["data"],
            ticket=plain["ticket"],
            weighed=plain["weighed"],
            run=plain.get("run"),
            text=plain.get("text"),
        )

    def written(self) -> str:
        """As text, JSON, to be kept."""
        return json.dumps(
            {
                "data": self.data,
                "ticket": self.ticket,
                "weighed": self.weighed,
                "run": self.run,
                "text": self.text,
            }
        )

    @cached_property
    def name(self) -> str:
        """The digest of what it holds: two states of one name hold the same, in one order."""
        return digest(self.written())

    def same(self, other: "State") -> bool:
        """Whether nothing differs, the order of the stages included."""
        return self == other and list(self.data.get("stages", ())) == list(
            other.data.get("stages", ())
        )

    def believes(self, other: "State") -> bool:
        """Whether rig and readings are the same: what was worked out for one still holds."""
        return self.data == other.data and self.ticket == other.ticket

    def with_data(self, data: Data) -> "State":
        """The same readings on a changed rig."""
        return replace(self, data=data)


class Work:
    """What follows from a state, each part worked out once, when it is first asked for.

    parts: pieces of the page made from it, by what they show. aside: where slow work is done.
    owned: the owner's own typical values.
    """

    def __init__(
        self,
        state: State,
        name: str = "rig file",
        aside: "Callable[..., Any] | None" = None,
        owned: Owned | None = None,
    ) -> None:
        self.state = state
        self.name = name
        self.owned = owned or {}
        self.parts: dict[Hashable, str] = {}
        self._aside = aside

    def apart(self, work: Callable[P, T], *args: P.args, **kwargs: P.kwargs) -> T:
        """What `work` returns or raises, worked out where it keeps nobody waiting."""
        found: T = (
            work(*args, **kwargs) if self._aside is None else self._aside(work, *args, **kwargs)
        )
        return found

    @cached_property
    def rig(self) -> Rig:
        """The rig; AskError where the data is none."""
        return rig_of(self.state.data, self.name).owning(self.owned)

    @cached_property
    def reconciled(self) -> Any:
        """The readings reconciled with the rig as it was weighed; None without readings."""
        from steelyard.web.readings import reconciled

        return reconciled(self.state, self.name, self.owned)

    @cached_property
    def estimate(self) -> Estimate | None:
        """The belief sharpened by the readings and carried to the rig as it is now."""
        return self.carried.estimate if self.carried is not None else None

    @cached_property
    def carried(self) -> Any:
        """What became of the readings' belief on the rig as it is now; None without readings."""
        if self.reconciled is None:
            return None
        from steelyard.weighing import carried

        old = rig_of(self.state.weighed or self.state.data, self.name).owning(self.owned)
        return carried(old, self.reconciled.posterior, self.rig)

    @cached_property
    def unweighed(self) -> Assessment:
        """The rig as it is now without its readings."""
        if self.reconciled is None:
            return self.found
        try:
            return assess(self.rig)
        except (NoBalanceError, ValueError) as error:
            raise AskError(str(error)) from None
        except ArithmeticError:
            raise AskError(NOWHERE) from None

    @cached_property
    def foretold(self) -> Any:
        """What the rig file alone lets one expect of each reading; () without readings."""
        if self.reconciled is None:
            return ()
        from steelyard.weighing import expected

        return expected(self.reconciled.weighed)

    @cached_property
    def dampings(self) -> tuple[Spread, ...]:
        """Damping ratio of a swing at the rig's own speed, a stage each; AskError where none is."""
        from steelyard.web.swaying import dampings

        return dampings(self)

    @cached_property
    def found(self) -> Assessment:
        """All stages assessed in one batch."""
        try:
            return assess(self.rig, estimate=self.estimate)
        except (NoBalanceError, ValueError) as error:
            raise AskError(str(error)) from None
        except ArithmeticError:
            raise AskError(NOWHERE) from None


class Works:
    """What follows from the states looked at last, shared by all who look at the same state."""

    MOST: Final = 128

    def __init__(
        self, aside: "Callable[..., Any] | None" = None, owned: Owned | None = None
    ) -> None:
        self._aside, self._owned, self._lock = aside, owned, Lock()
        self._works: OrderedDict[tuple[str, str], Work] = OrderedDict()

    def of(self, state: State, name: str) -> Work:
        """The one Work of a state in a file of this name."""
        with self._lock:
            found = self._works.pop((state.name, name), None)
            found = found or Work(state, name, self._aside, self._owned)
            self._works[state.name, name] = found
            while len(self._works) > self.MOST:
                self._works.popitem(last=False)
            return found


def rig_of(data: Data, name: str) -> Rig:
    """The rig in plain data; AskError with one sentence a fault."""
    try:
        return travelled(validated(Rig, data, "", name))
    except FileFaultError as error:
        raise AskError(str(error)) from None
    except TripError as error:
        raise AskError(f"{name}, {error}") from None
