"""The HTTP API against its own description, by the OpenAPI 3.1 standard, fuzzed."""

import tempfile
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, settings
from starlette.testclient import TestClient
from tests.conftest import STUDYING

from steelyard.files.demo import demo_rigs
from steelyard.web import Gate, Start, create_app
from steelyard.web.guard import LOCAL

pytestmark = pytest.mark.usefixtures("few_draws")

NAME = "perihelion-camper.toml"
HERE = "http://127.0.0.1:8765"
KEPT = tempfile.TemporaryDirectory()
APP = create_app(
    Start(text=demo_rigs()[NAME], name=NAME, logbook=Path(KEPT.name) / "logbook.sqlite"),
    Gate(hosts=LOCAL | {"testserver"}),
    8765,
)
# `find` looks for seconds each time: it is asked below, a few times.
schema = schemathesis.openapi.from_asgi("/api/openapi.json", APP).exclude(operation_id=["find"])
schema.config.phases.coverage.enabled = STUDYING
# A body that breaks its form by being too long may be refused before it is read.
_rejected = schema.config.checks.negative_data_rejection
_rejected.expected_statuses = [*_rejected.expected_statuses, "413"]


@schema.parametrize()
@settings(
    max_examples=200 if STUDYING else 12, suppress_health_check=list(HealthCheck), deadline=None
)
def test_every_call_answers_as_described(case: "schemathesis.Case[Any]") -> None:
    """Whatever is asked, the answer is one that the description has; never a server error."""
    case.call_and_validate()


def test_finding_places_answers_in_a_sentence() -> None:
    """The one long call, asked with nonsense and once in earnest."""
    client = TestClient(APP, base_url=HERE)
    assert client.post("/api/find", json={"seconds": -1}).status_code == 422
    assert client.post("/api/find", json={"keep": ["moon"]}).status_code == 409
    said = client.post("/api/find", json={"seconds": 5})
    assert said.status_code == 200
    assert "everything has a place" in said.json()["said"]
