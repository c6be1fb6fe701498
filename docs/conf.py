"""The site: Sphinx reads the pages here and the docstrings; `make docs` builds it."""

import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent / "src")]

from steelyard import __version__  # noqa: E402

project = "Steelyard"
author = "the Steelyard authors"
version = release = __version__
extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "sphinx.ext.autosummary",
    "sphinx.ext.doctest",
    "sphinx_click",
    "runs",
]
exclude_patterns = ["_run", "decisions/README.md"]
smartquotes = False  # two dashes begin an option
html_theme = "furo"
html_title = "Steelyard"
html_static_path: list[str] = []
html_show_sourcelink = False
html_copy_source = False
html_theme_options = {
    "light_css_variables": {"font-stack": "system-ui, sans-serif"},
    "dark_css_variables": {"font-stack": "system-ui, sans-serif"},
}
myst_enable_extensions = ["colon_fence", "deflist"]
myst_heading_anchors = 3
autodoc_member_order = "bysource"
autodoc_typehints = "description"
autodoc_type_aliases = {"RigLike": "RigLike", "Weighed": "Weighed", "Number": "Number"}
suppress_warnings = ["myst.header"]
doctest_global_setup = f"""
import os
from pathlib import Path
from runs import prepared
os.chdir(prepared(Path({str(HERE)!r}) / "_run" / "python"))
"""
