"""Loads from masses and geometry: the lever, the springs, the bars, the wheels, the ledger."""
