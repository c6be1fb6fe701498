"""The rigs of Perihelion Outreach, an invented volunteer astronomy club."""

from pathlib import Path

_ORDER = ("perihelion-camper", "perihelion-observatory", "perihelion-tractor")


def demo_rigs() -> dict[str, str]:
    """File name to text of every example rig, the camper first."""
    folder = Path(__file__).parent
    return {f"{name}.toml": (folder / f"{name}.toml").read_text("utf-8") for name in _ORDER}


def demo_tickets() -> dict[str, str]:
    """File name to text of the example tickets."""
    name = "camper-at-the-fuel-stop.toml"
    return {name: (Path(__file__).parent / name).read_text("utf-8")}


def demo_tables() -> dict[str, str]:
    """File name to text of the tables of trailers and vehicles to choose among."""
    names = ("perihelion-candidates.csv", "perihelion-vehicles.csv")
    return {name: (Path(__file__).parent / name).read_text("utf-8") for name in names}
