"""The stages of a trip: who and what is aboard at each."""

from steelyard.trip.stages import StagePlan, crewed, plan_stages

__all__ = ["StagePlan", "crewed", "plan_stages"]
