"""A card's photo opens its rig; what is no card is told in a sentence."""

from io import BytesIO
from pathlib import Path

import pypdfium2 as pdfium
import pytest
from PIL import Image
from starlette.testclient import TestClient

from steelyard.cards import as_pdf, card
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.web import Start, create_app
from steelyard.web.photo import MOST

HERE = "http://127.0.0.1:8765"
AT = "/api/card/text"


@pytest.fixture
def client(tmp_path: Path) -> TestClient:
    """A client of the page on the demo."""
    path = tmp_path / "rig.toml"
    path.write_text(demo_rigs()["perihelion-camper.toml"], "utf-8")
    return TestClient(create_app(Start.at(path), None, 8765), base_url=HERE)


def test_a_photo_of_a_card_gives_its_rig(client: TestClient) -> None:
    """The back, turned and grey at 200 dpi as a camera has it, gives an equal rig."""
    rig = parse_rig(demo_rigs()["perihelion-tractor.toml"])
    page = pdfium.PdfDocument(as_pdf(card(rig)))[1].render(scale=200 / 72).to_pil()
    photo = BytesIO()
    page.convert("L").rotate(8, expand=True, fillcolor=170).save(photo, "JPEG", quality=85)
    answer = client.post(AT, content=photo.getvalue())
    assert answer.status_code == 200
    assert parse_rig(answer.json()["text"]) == rig


def test_what_is_no_card_is_told(client: TestClient) -> None:
    """A picture without codes, a poem, nothing, and 60 MB: a sentence each, and nothing changed."""
    before = client.get("/api/rig").json()
    blank = BytesIO()
    Image.new("L", (400, 300), 200).save(blank, "PNG")
    for sent, status in (
        (blank.getvalue(), 409),
        (b"Shall I compare thee", 409),
        (b"x" * (MOST + 1), 413),
    ):
        answer = client.post(AT, content=sent)
        assert answer.status_code == status
        assert answer.json()["fault"].endswith(".")
        assert "\n" not in answer.json()["fault"]
        assert "Error" not in answer.json()["fault"]
    assert client.post(AT, content=b"").status_code in (409, 422)
    assert client.get("/api/rig").json() == before


def test_the_card_is_named_after_the_rig(client: TestClient) -> None:
    """The file's name is the rig's; owner and adviser are asked for by name."""
    answer = client.get("/api/card.pdf", params={"owner": "Milo Reyes", "adviser": "Ada Brandt"})
    assert answer.status_code == 200
    assert answer.headers["content-disposition"].endswith("perihelion-camper-card.pdf")
    page = client.get("/api/card.html", params={"owner": "Milo <i>"}).text
    assert "Milo &lt;i&gt;" in page
