"""The page's doors: hosts, origins, sizes, the access code, hostile names."""

from pathlib import Path

import pytest
import zxingcpp
from pypdfium2 import PdfDocument
from starlette.requests import Request
from starlette.responses import Response
from starlette.testclient import TestClient
from starlette.types import Message, Receive, Scope, Send
from starlette.websockets import WebSocketDisconnect
from tests.loops import apart

from steelyard.cards import unpacked
from steelyard.files import parse_rig
from steelyard.files.demo import demo_rigs
from steelyard.web import Gate, Start, create_app, guard
from steelyard.web.guard import LARGEST, PAUSE, SENDERS, TRIES, Guard
from steelyard.web.photo import ADDRESS

pytestmark = pytest.mark.usefixtures("few_draws")

HERE = "http://127.0.0.1:8765"
LIVE = "ws://127.0.0.1:8765/live"
HOSTILE = "<img src=x onerror=alert(1)>\"'&"


def asker(path: Path, gate: Gate | None = None, text: str | None = None) -> TestClient:
    """A client of the page on a copy of the demo."""
    rig = path / "perihelion-camper.toml"
    rig.write_text(text or demo_rigs()[rig.name], "utf-8")
    return TestClient(create_app(Start.at(rig), gate, 8765), base_url=HERE)


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> tuple[TestClient, TestClient]:
    """An open page and one with a code, for requests that change nothing."""
    gates = (None, Gate(code="ABCD2345"))
    free, shut = (asker(tmp_path_factory.mktemp("page"), gate) for gate in gates)
    return free, shut


def test_a_stranger_host_is_refused(tmp_path: Path) -> None:
    """A name that another site points at this machine gets nothing (DNS rebinding)."""
    client = asker(tmp_path)
    assert client.get("/").status_code == 200
    assert client.get("/", headers={"host": "evil.example:8765"}).status_code == 421


def test_another_page_may_not_ask(tmp_path: Path) -> None:
    """A request that another origin made is refused, by POST and on the live line."""
    client = asker(tmp_path)
    client.get("/")
    ask = {"item": "bikes", "to": "bedroom"}
    other = {"origin": "http://evil.example"}
    assert client.post("/api/move", json=ask, headers=other).status_code == 403
    with pytest.raises(WebSocketDisconnect) as why, client.websocket_connect(LIVE, headers=other):
        pass
    assert why.value.code == 4403
    with client.websocket_connect(LIVE, headers={"origin": HERE}):
        pass
    own = client.post("/api/move", json=ask, headers={"origin": HERE})
    assert own.status_code == 200
    assert "on the ball" in own.json()["said"]


def test_too_much_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """More than the largest request is refused, said or unsaid."""
    monkeypatch.setattr(guard, "BODY", 0.5)
    client = asker(tmp_path)
    assert client.post("/api/take", content=b"x" * (LARGEST + 1)).status_code == 413

    def unsaid() -> object:
        for _ in range(30):
            yield b"x" * 100_000

    client = TestClient(client.app, base_url=HERE, raise_server_exceptions=False)
    assert client.post("/api/take", content=unsaid()).status_code >= 400  # type: ignore[arg-type]


@pytest.mark.parametrize("length", [b"60000000", None])
def test_a_refused_sender_is_heard_out(length: bytes | None) -> None:
    """A connection closed on 60 MB still being sent loses the answer: all of it is read first, its
    length told or not."""
    left, answers = [b"x" * 1_000_000] * 60, []

    async def receive() -> Message:
        body = left.pop() if left else b""
        return {"type": "http.request", "body": body, "more_body": bool(left)}

    async def send(message: Message) -> None:
        assert not left
        answers.append(message)

    async def reads(scope: Scope, receive: Receive, send: Send) -> None:
        await Response(await Request(scope, receive).body())(scope, receive, send)

    head = [(b"host", b"127.0.0.1"), *([(b"content-length", length)] if length else [])]
    scope = {"type": "http", "method": "POST", "path": f"/api{ADDRESS}", "headers": head}
    apart(Guard(reads, Gate())(scope, receive, send))
    assert answers[0]["status"] == 413
    assert b"at most 50 MB" in answers[1]["body"]


def test_the_code_opens_and_guessing_slows_the_guesser_alone(tmp_path: Path) -> None:
    """Without the code nothing is answered; after several wrong ones their sender waits, even with
    the right one, and nobody else does. The code is taken from a body, never from an address; a
    form of more than the page's is a wrong one."""
    client = asker(tmp_path, Gate(code="ABCD2345"))
    assert client.get("/api/rig").status_code == 401
    assert "Access code" in client.get("/").text
    with pytest.raises(WebSocketDisconnect) as why, client.websocket_connect(LIVE):
        pass
    assert why.value.code == 4401
    client.get("/enter?code=ABCD2345")
    assert client.get("/api/rig").status_code == 401
    assert client.post("/enter", data={"code": "abcd2345"}).status_code == 200
    assert client.get("/api/rig").status_code == 200
    guesser = TestClient(client.app, base_url=HERE, client=("192.0.2.7", 1))
    crowded = {**dict.fromkeys("abcdefghi", "1"), "code": "ABCD2345"}
    assert guesser.post("/enter", data=crowded).status_code == 401
    for _ in range(TRIES - 2):
        assert guesser.post("/enter", data={"code": "WRONG"}).status_code == 401
    assert guesser.post("/enter", data={"code": "WRONG"}).status_code == 429
    late = guesser.post("/enter", data={"code": "ABCD2345"})
    assert late.status_code == 429
    assert 0 < int(late.headers["retry-after"]) <= PAUSE
    other = TestClient(client.app, base_url=HERE, client=("192.0.2.8", 1))
    assert other.post("/enter", data={"code": "ABCD2345"}).status_code == 200


def test_wrong_codes_from_many_addresses_take_no_memory_without_end(tmp_path: Path) -> None:
    """Of senders without end only the latest are remembered."""
    del tmp_path
    gate = Gate(code="ABCD2345")
    for number in range(SENDERS + 50):
        gate.enter("WRONG", f"sender {number}")
    assert len(gate._tries) == SENDERS


@pytest.mark.parametrize(
    ("header", "value", "status"),
    [
        ("host", "[", 400),
        ("host", "127.0.0.1:http", 400),
        ("host", "127.0.0.1:99999999", 400),
        ("host", "a@127.0.0.1:8765", 400),
        ("host", "127.0.0.1/..", 400),
        ("host", "127.0.0.1.", 421),
        ("origin", HERE.replace("127", "["), 403),
        ("origin", "null", 403),
        ("origin", f"{HERE}/x", 403),
        ("origin", HERE.replace("http", "https"), 403),
        ("content-length", "\u00b2", 413),
        ("content-length", "9" * 5000, 413),
    ],
)
def test_odd_headers_get_a_sentence(
    pages: tuple[TestClient, TestClient], header: str, value: str, status: int
) -> None:
    """Whatever stands in them, never a traceback (which this client would raise)."""
    client = pages[0]
    head = {header.encode(): value.encode("latin-1")}
    answer = client.request("POST", "/api/undo", content=b"{}", headers=head)
    assert answer.status_code == status
    assert answer.json()["fault"].endswith(".")


@pytest.mark.parametrize(
    "found",
    [
        'other=a b c; [=]; {"a": 1}; =; ;;',
        "a\u00e9=\u00e9; steelyard-8765=\u00e9; steelyard-pass=\u00e9",
        'steelyard-8765="\\"; expires=x; path',
        "steelyard-8765=" + "../" * 20,
        "steelyard-8765=short; steelyard-8765=",
    ],
)
def test_cookies_of_other_programs_do_no_harm(
    pages: tuple[TestClient, TestClient], found: str
) -> None:
    """Cookies know no ports: another program's come along, and are not taken for our own."""
    head = {b"cookie": found.encode("latin-1")}
    free, shut = (
        TestClient(page.app, base_url=HERE).get("/api/rig", headers=head) for page in pages
    )
    assert (free.status_code, shut.status_code) == (200, 401)
    given = free.headers["set-cookie"].partition("=")[2].partition(";")[0]
    assert len(given) == 32
    assert given not in found


def test_a_good_secret_is_found_among_bad_cookies(tmp_path: Path) -> None:
    """What another program sets does not take a browser's work from it."""
    client = asker(tmp_path)
    client.post("/api/move", json={"item": "bikes", "to": "bedroom"})
    own = f"steelyard-8765={client.cookies['steelyard-8765']}"
    fresh = TestClient(client.app, base_url=HERE)
    rig = fresh.get("/api/rig", headers={"cookie": f"b[a]d=x y; {own}; {{}}"}).json()
    assert rig["items"]["bikes"]["place"] == "bedroom"


def test_names_are_text_and_never_markup(tmp_path: Path) -> None:
    """A title with markup in it stands on the page as written."""
    text = demo_rigs()["perihelion-camper.toml"]
    text = text.replace('name = "Perihelion camper"', f"name = '''{HOSTILE}'''")
    client = asker(tmp_path, text=text)
    ask = {"path": ["items", "bikes", "title"], "value": HOSTILE}
    assert client.post("/api/set", json=ask).status_code == 200
    for page in (client.get("/walk").text, client.get("/").text):
        title = page[page.index("<title>") : page.index("</title>")]
        assert "&lt;img src=x" in title, "two rigs open side by side are told by their tabs"
        assert "<img" not in page
    assert "&lt;img src=x" in page


def test_each_browser_has_its_own_work(tmp_path: Path) -> None:
    """What one browser moves another does not see."""
    one = asker(tmp_path)
    two = TestClient(one.app, base_url=HERE)
    one.post("/api/move", json={"item": "bikes", "to": "bedroom"})
    assert one.get("/api/rig").json()["items"]["bikes"]["place"] == "bedroom"
    assert two.get("/api/rig").json()["items"]["bikes"]["place"] == "rear-room"


def test_a_refused_act_changes_nothing(tmp_path: Path) -> None:
    """A fault is one sentence with status 409 or 422, and the work is as it was."""
    client = asker(tmp_path)
    before = client.get("/api/rig").json()
    wrong = client.post("/api/weight", json={"item": "bikes", "weight": "92"})
    assert wrong.status_code == 409
    assert "items.bikes.weight" in wrong.json()["fault"]
    assert client.post("/api/move", json={"item": "bikes", "to": "moon"}).status_code == 409
    assert client.post("/api/move", json={"item": "bikes"}).status_code == 422
    assert client.get("/api/rig").json() == before


def test_the_card_holds_the_rig_as_it_is_here(tmp_path: Path) -> None:
    """The codes of the card that the page makes give back the rig with what was changed on it."""
    client = asker(tmp_path)
    client.post("/api/move", json={"item": "bikes", "to": "bedroom"})
    sheet = PdfDocument(client.get("/api/card.pdf").content)
    seen = [page.render(scale=300 / 72).to_pil() for page in sheet]
    codes = [code.text for image in seen for code in zxingcpp.read_barcodes(image)]
    own = parse_rig(client.get("/api/rig.toml").text)
    assert parse_rig(unpacked(codes)) == own
    assert own.items["bikes"].place == "bedroom"
