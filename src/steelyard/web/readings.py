"""Readings typed on the page, reconciled with the rig as it was when they were taken."""

from typing import TYPE_CHECKING

from steelyard.files.faults import FileFaultError
from steelyard.files.reader import validated
from steelyard.web.state import AskError, State, rig_of
from steelyard.weighing import Ticket, TicketError, reconcile

if TYPE_CHECKING:
    from steelyard.weighing import Reconciled


def reconciled(state: State, name: str) -> "Reconciled | None":
    """The readings of a state against its rig as weighed; None where there are none."""
    if state.ticket is None:
        return None
    rig = rig_of(state.weighed or state.data, name)
    try:
        return reconcile(rig, validated(Ticket, state.ticket, "", "readings"))
    except (FileFaultError, TicketError) as error:
        raise AskError(str(error)) from None
