"""Readings, their reconciliation with the rig, and what to weigh next."""
