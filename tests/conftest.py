"""Set-up shared by all tests: the same examples on every run, long studies only when asked for."""

import os
import tempfile

import pytest
from hypothesis import settings

# As the command line has it: a second BLAS thread only waits, and takes a core from others.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# No test reads or writes the logbook and the learned values of whoever runs it.
os.environ["XDG_DATA_HOME"] = tempfile.mkdtemp(prefix="steelyard-tests-")
STUDYING = os.environ.get("STEELYARD_STUDY") == "1"

# Derandomized: a failure on one machine is the same failure on every other.
settings.register_profile("ci", derandomize=True, database=None, deadline=None, print_blob=True)
settings.register_profile("study", parent=settings.get_profile("ci"), max_examples=2000)
settings.load_profile("study" if STUDYING else "ci")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Skip the tests marked `study` unless STEELYARD_STUDY=1."""
    if STUDYING:
        return
    skip = pytest.mark.skip(reason="a long study: run by `make study`")
    for item in items:
        if item.get_closest_marker("study"):
            item.add_marker(skip)
