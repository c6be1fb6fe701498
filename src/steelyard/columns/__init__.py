"""Rigs that are alike but for their numbers, side by side, so that one call answers for all."""
