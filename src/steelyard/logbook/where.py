"""Where the logbook lies unless another place is named."""

import os
from pathlib import Path
from typing import Final

from platformdirs import user_data_path

VARIABLE: Final = "STEELYARD_LOGBOOK"


def default_path() -> Path:
    """The file named by STEELYARD_LOGBOOK, else one in the platform's folder for a user's data."""
    named = os.environ.get(VARIABLE)
    folder = user_data_path("steelyard", appauthor=False)
    return Path(named).expanduser() if named else folder / "logbook.sqlite"
