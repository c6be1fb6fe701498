"""Steelyard."""
