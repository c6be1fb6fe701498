"""The stages of a trip: who and what is aboard at each, and what flows between them."""

from steelyard.travel.flows import (
    Flow,
    StagePlan,
    TripError,
    chosen_stages,
    crewed,
    flows,
    plan_stages,
    travelled,
    unfollowed,
)

__all__ = [
    "Flow",
    "StagePlan",
    "TripError",
    "chosen_stages",
    "crewed",
    "flows",
    "plan_stages",
    "travelled",
    "unfollowed",
]
