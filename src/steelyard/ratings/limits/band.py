"""The tongue band of the region and trailer type."""

from collections.abc import Iterator

import numpy as np

from steelyard.quantity import Floats
from steelyard.ratings.check import Check
from steelyard.ratings.rulebook import load_rulebook
from steelyard.scene import Scene
from steelyard.typical.shipped_tables import trailer_style


def tongue_band(scene: Scene[Floats]) -> Iterator[Check]:
    """Tongue share, bars off, inside the band; a band reports under as well as over."""
    rule = load_rulebook(scene.region).band(band_name(scene))
    yield Check(
        kind="band",
        name="tongue-band",
        at="tongue-band",
        title="tongue share",
        value=scene.loads.share,
        low=np.asarray(rule.value["low"]),
        high=np.asarray(rule.value["high"]),
        measure="share",
        source=f"{rule.title}: {rule.source}",
        rule=rule,
        due="",
        chain=False,
        advice=False,
    )


def band_name(scene: Scene[Floats]) -> str:
    """Which band holds: by how it is coupled, else by the trailer's style."""
    if scene.rig.hitch.kind in ("fifth-wheel", "gooseneck"):
        return "fifth-wheel"
    return str(trailer_style(scene.rig.trailer.style)["band"])
