"""What follows from a state, worked out when it is first asked for, and shared."""

from collections import OrderedDict
from collections.abc import Callable, Hashable
from datetime import date, datetime
from functools import cached_property
from threading import Lock
from typing import Any, Final, ParamSpec, TypeVar

from steelyard.assessment import Assessment, Spread, assess
from steelyard.estimate import Estimate
from steelyard.files.changes import AskError, asking
from steelyard.quantity import Z95
from steelyard.rig import Owned, Rig
from steelyard.scene import NoBalanceError
from steelyard.stowing.mend import mend
from steelyard.swaying.stage_sway import sway
from steelyard.web.readings import reconciled
from steelyard.web.state import State, rig_of
from steelyard.weighing.agreement import questions
from steelyard.weighing.carry import carried
from steelyard.words.assessed import asked_line
from steelyard.words.trade import Trade, trade_of

P = ParamSpec("P")
T = TypeVar("T")

NOWHERE: Final = "No rig could stand like this: its loads have no balance."


class Work:
    """What follows from a state, each part worked out once, when it is first asked for.

    parts: pieces of the page made from it, by what they show. aside: where slow work is done.
    owned: the owner's own typical values. beside: gives the work of another state, shared with
    whoever looks at that.
    """

    def __init__(
        self,
        state: State,
        name: str = "rig file",
        aside: "Callable[..., Any] | None" = None,
        owned: Owned | None = None,
        beside: "Callable[[State, str], Work] | None" = None,
    ) -> None:
        self.state = state
        self.name = name
        self.owned = owned or {}
        self.parts: dict[Hashable, str] = {}
        self._aside = aside
        self._beside = beside or (lambda state, name: Work(state, name, aside, owned))

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
    def trade(self) -> Trade:
        """What things are called on the rig."""
        return trade_of(self.rig)

    @cached_property
    def reconciled(self) -> Any:
        """The readings reconciled with the rig as it was weighed; None without readings."""
        return reconciled(self.state, self.name, self.owned)

    @cached_property
    def asked(self) -> tuple[str, ...]:
        """Whether the readings are of this rig and this time, where that is doubtful."""
        if self.reconciled is None:
            return ()
        weighed = self.reconciled.weighed
        return tuple(map(asked_line, questions(weighed.ticket, weighed.rig, today())))

    @property
    def doubt(self) -> str:
        """Why the readings are no ground for a verdict; empty where they are."""
        if self.reconciled is not None and not self.reconciled.agrees:
            return "The readings do not agree with each other"
        if self.slips:
            return "Whether the readings are written down as they were read is asked"
        return "Whether the readings are of this rig and day is asked" if self.asked else ""

    @cached_property
    def slips(self) -> tuple[str, ...]:
        """Slips without which readings that do not agree would; () without readings."""
        return () if self.reconciled is None else tuple(map(asked_line, self.reconciled.slips))

    @cached_property
    def estimate(self) -> Estimate | None:
        """The belief sharpened by the readings and carried to the rig as it is now."""
        return self.carried.estimate if self.carried is not None else None

    @cached_property
    def carried(self) -> Any:
        """What became of the readings' belief on the rig as it is now; None without readings."""
        if self.reconciled is None:
            return None
        then = self.state.weighed or self.state.data
        same = then == self.state.data
        old = self.rig if same else rig_of(then, self.name).owning(self.owned)
        return carried(old, self.reconciled.posterior, self.rig)

    @cached_property
    def unweighed(self) -> Assessment:
        """The rig as it is now without its readings."""
        bare = State(data=self.state.data)
        return self.found if self.reconciled is None else self._beside(bare, self.name).found

    @cached_property
    def foretold(self) -> Any:
        """What the rig file alone lets one expect of each reading; () without readings."""
        if self.reconciled is None:
            return ()
        from steelyard.weighing.expect import expected

        return expected(self.reconciled.weighed)

    @cached_property
    def mended(self) -> Any:
        """One move or two that mend what is wrong now; None where there is nothing to move or no so
        few moves do."""
        return self.apart(mend, self.rig, self.estimate)

    @cached_property
    def dampings(self) -> tuple[Spread, ...]:
        """Damping ratio of a swing at the rig's own speed, a stage each, its spread from the draws;
        AskError where none is."""
        with asking(ValueError):
            found = self.apart(sway, self.rig, self.estimate, speeds=())
        return tuple(
            Spread(
                value=float(one.at_damping.value),
                best=float(one.at_damping.best),
                sd=float(one.at_damping.high - one.at_damping.low) / (2 * Z95),
                low=float(one.at_damping.low),
                high=float(one.at_damping.high),
            )
            for one in found
        )

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
        self._aside, self.owned, self._lock = aside, owned or {}, Lock()
        self._works: OrderedDict[tuple[str, str], Work] = OrderedDict()

    def of(self, state: State, name: str) -> Work:
        """The one Work of a state in a file of this name."""
        with self._lock:
            found = self._works.pop((state.name, name), None)
            found = found or Work(state, name, self._aside, self.owned, self.of)
            self._works[state.name, name] = found
            while len(self._works) > self.MOST:
                self._works.popitem(last=False)
            return found


def today() -> date:
    """The day at this place."""
    return datetime.now().astimezone().date()
