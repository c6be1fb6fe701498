"""What was found of one rig is given to another only where nothing that it rests on differs."""

import numpy as np
import pytest

from steelyard.files.demo import demo_rigs
from steelyard.files.reader import parse_rig
from steelyard.statics.prior import prior

CAMPER, OTHER = (demo_rigs()[f"perihelion-{name}.toml"] for name in ("camper", "observatory"))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('place = "rear-room"\nstation = "24 ft"', 'place = "galley"'),
        ('weight = "96 lb"', 'weight = "69 lb"'),
        ('station = "6 ft"', 'station = "7 ft"'),
        ('wheelbase = "145 in"', 'wheelbase = "150 in"'),
        ('tongue_weight = "655 lb"', 'tongue_weight = "556 lb"'),
        ('weight = "160 lb"', 'weight = "260 lb"'),
        ("everything_listed = true", "everything_listed = false"),
    ],
)
def test_a_rig_is_believed_alike_whatever_was_asked_before(old: str, new: str) -> None:
    """Asked after its like and after a rig that shares nothing with it, to the last digit."""
    text = CAMPER.replace(old, new) if old in CAMPER else f"{new}\n{CAMPER}"
    assert text != CAMPER
    prior(parse_rig(OTHER, "rig.toml"))
    fresh = prior(parse_rig(text, "rig.toml"))
    prior(parse_rig(CAMPER, "rig.toml"))
    again = prior(parse_rig(text, "rig.toml"))
    assert again.sheet == fresh.sheet
    assert again.estimate.names == fresh.estimate.names
    np.testing.assert_array_equal(again.estimate.mean, fresh.estimate.mean)
    np.testing.assert_array_equal(again.estimate.cov, fresh.estimate.cov)
