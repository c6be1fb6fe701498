"""What one tyre may bear and how fast it may run, as it is fitted, by what its sidewall says."""

from steelyard.ratings import tyres as tables
from steelyard.rig import Tyres


def rated_load(tyres: Tyres, *, dual: bool) -> float | None:
    """Most one tyre carries, kg: the least of what sidewall and load index say; None unsaid."""
    stated = tyres.max_load_dual if dual else tyres.max_load
    index = tyres.dual_load_index if dual else tyres.load_index
    found = [] if stated is None else [stated.value]
    if index is not None and 75 <= index <= 150:
        found.append(float(tables.load_index_mass(index)))
    return min(found, default=None)


def top_speed(tyres: Tyres) -> float | None:
    """Speed it is rated for, m/s; None unsaid."""
    if tyres.speed_rating is not None:
        return tyres.speed_rating.value
    try:
        return tables.speed_symbol(tyres.speed_symbol) if tyres.speed_symbol else None
    except ValueError:
        return None
