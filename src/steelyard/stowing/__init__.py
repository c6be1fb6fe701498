"""Stowing: where everything should ride, for the whole trip, and what stays home if it can't."""
