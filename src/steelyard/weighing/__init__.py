"""Readings, their reconciliation with the rig, and what to weigh next."""

from steelyard.weighing.advise import Advice, next_readings
from steelyard.weighing.agreement import Agreement
from steelyard.weighing.carry import Carried, carried
from steelyard.weighing.excess import Excess, Given, excesses, given
from steelyard.weighing.expect import Expected, expected
from steelyard.weighing.laid_ticket import JACK
from steelyard.weighing.observe import unobservable
from steelyard.weighing.options import GEAR
from steelyard.weighing.pass_differences import Step, steps
from steelyard.weighing.reconcile import Judged, Reconciled, reconcile
from steelyard.weighing.spans import Spanning, spanning
from steelyard.weighing.ticket import TICKET, Pass, Ticket, TicketError
from steelyard.weighing.weighed_state import AsWeighed, as_weighed

__all__ = [
    "GEAR",
    "JACK",
    "TICKET",
    "Advice",
    "Agreement",
    "AsWeighed",
    "Carried",
    "Excess",
    "Expected",
    "Given",
    "Judged",
    "Pass",
    "Reconciled",
    "Spanning",
    "Step",
    "Ticket",
    "TicketError",
    "as_weighed",
    "carried",
    "excesses",
    "expected",
    "given",
    "next_readings",
    "reconcile",
    "spanning",
    "steps",
    "unobservable",
]
