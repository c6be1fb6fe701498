"""Where the logbook lies unless another place is named."""

import sys
from collections.abc import Mapping
from pathlib import Path

VARIABLE = "STEELYARD_LOGBOOK"


def default_path(environment: Mapping[str, str]) -> Path:
    """The file named by STEELYARD_LOGBOOK, else one in the platform's folder for a user's data.

    That folder is XDG_DATA_HOME, else ~/.local/share (the XDG base directory specification), and
    LOCALAPPDATA on Windows.
    """
    if environment.get(VARIABLE):
        return Path(environment[VARIABLE]).expanduser()
    named = environment.get("LOCALAPPDATA" if sys.platform == "win32" else "XDG_DATA_HOME", "")
    folder = Path(named) if Path(named).is_absolute() else Path.home() / ".local" / "share"
    return folder / "steelyard" / "logbook.sqlite"
