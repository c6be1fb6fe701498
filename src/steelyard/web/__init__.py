"""The local web page: the rig drawn to scale, its load, weighings and trip, in a browser.

No physics and no limits here: every number on the page is the library's.
"""

from steelyard.web.guard import Gate
from steelyard.web.server import create_app
from steelyard.web.sessions import Start

__all__ = ["Gate", "Start", "create_app"]
