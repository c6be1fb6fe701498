"""Runs in time: disturbances, any articulation, tyres that let go."""
