"""Weighings to be kept, for tests of the logbook."""

from dataclasses import replace

from steelyard.logbook.records import LoggedReading, Weighing
from steelyard.quantity import Scale

READINGS = 12
PARAMETERS = 80
LINEAR: Scale = "linear"


def made(note: str) -> Weighing:
    """A weighing of twelve readings and 80 parameters, told apart by its note."""
    reading = LoggedReading(
        pass_name="coupled",
        kind="platform",
        name="steer",
        value_si=1400.0,
        sd_si=9.0,
        unit="kg",
        text="1400 kg",
        predicted_si=1401.0,
        standardised=-0.1,
    )
    return Weighing(
        rig_name="camper",
        rig_hash="a1",
        taken="2025-04-02 09:30",
        place="Fuel stop",
        note=note,
        readings=tuple(replace(reading, name=f"axle {n}") for n in range(READINGS)),
        names=tuple(f"p{n}" for n in range(PARAMETERS)),
        scales=tuple(LINEAR for _ in range(PARAMETERS)),
        mean=tuple(float(n) for n in range(PARAMETERS)),
        cov=tuple(tuple(float(i == j) for j in range(PARAMETERS)) for i in range(PARAMETERS)),
        trailer_kg=3000.0,
        trailer_sd_kg=10.0,
        tongue_kg=360.0,
        tongue_sd_kg=8.0,
        share=0.12,
        share_sd=0.003,
        chance=0.41,
        ticket_text="t" * 2000,
        rig_text="r" * 4000,
        version="0.1.0",
    )
