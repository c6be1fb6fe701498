"""Which hitch parts and how high: ball, drop, sizes, jack, spring bars, clearances."""
