"""The stages of a trip: who and what is aboard at each."""

from steelyard.trip.stages import StagePlan, plan_stages

__all__ = ["StagePlan", "plan_stages"]
