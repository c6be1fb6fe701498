"""Set-up shared by all tests: the same examples on every run, long studies only when asked for."""

import gc
import os
import tempfile
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings

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


def pytest_collection_finish() -> None:
    """What was collected lives to the end: the collector of rubbish need not go through it."""
    gc.freeze()


@pytest.fixture(scope="module")
def few_draws() -> Iterator[None]:
    """Rigs are opened with 256 draws where 4,096 are asked for: for words and forms, which are the
    same of any number of them."""
    from steelyard.scene import opening

    real: Any = opening._opening
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(opening, "_opening", lambda *x: real(*x[:4], min(x[4], 256), *x[5:]))
        yield
