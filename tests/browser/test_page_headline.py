"""The first screen on a phone: one tap from the verdict to the field that settles it."""

import re

from playwright.sync_api import Page, expect
from tests.browser.conftest import Served, Watched

from steelyard import read_rig
from steelyard.assessment import assess
from steelyard.weighing.reconcile import reconcile
from steelyard.weighing.ticket import Ticket
from steelyard.words.assessed import weight_spread
from steelyard.words.headline import headline, pressing


def test_a_tongue_weight_is_one_tap_away(served: Served, phone: Watched) -> None:
    """One tap on the thing to do, a number, Enter: ball and verdict are the library's of that one
    reading; headline, picture and every load stand on the first screen."""
    page = phone.open(served.address)
    before = headline(assess(read_rig(served.path)), "us")
    expect(page.locator(".headline h1")).to_have_text(before.word)
    on_the_first_screen(page)
    page.locator(".headline .do").tap()
    expect(page.locator("input:focus")).to_have_attribute("inputmode", "decimal")
    page.keyboard.type("655")
    page.keyboard.press("Enter")
    stage = page.locator("#weigh-stage").input_value()
    one = {"kind": "tongue-scale", "weight": "655 lb", "station": "0 in"}
    passed = {"arrangement": "trailer-alone", "stage": stage, "readings": [one]}
    ticket = Ticket.model_validate({"passes": {"trailer alone": passed}})
    rig = read_rig(served.path)
    found = assess(rig, estimate=reconcile(rig, ticket).posterior)
    expect(page.locator(".headline h1")).to_have_text(headline(found, "us").word)
    ball = weight_spread(found.worst_stage.tongue.weight_kg, "us")
    expect(page.locator(".sentence")).to_contain_text(ball)
    phone.clean(served.address)


def on_the_first_screen(page: Page) -> None:
    """The words of the last load end above the foot."""
    foot = page.locator(".athand .tools").bounding_box()
    last = page.locator(".picture text", has_text="trailer axle 2").last.bounding_box()
    assert foot
    assert last
    assert last["y"] + last["height"] < foot["y"]


def test_however_many_limits_press_the_loads_stand_on_the_first_screen(
    served: Served, phone: Watched
) -> None:
    """Ratings lowered all round: the gravest is told, the rest are counted, and a tongue weight is
    one tap away though the thing to do is another."""
    text = served.path.read_text("utf-8")
    for keys, rating in (("(?:rating|distributing)(?:_tongue)?", "700"), ("gawr", "2600")):
        text = re.sub(rf'\b({keys}) = "[^"]*"', rf'\1 = "{rating} lb"', text)
    served.path.write_text(re.sub('gvwr = "7[^"]*"', 'gvwr = "5400 lb"', text), "utf-8")
    served.stop()
    found = [one.verdict for one in pressing(assess(read_rig(served.path)).worst_stage)]
    assert found.count("exceeded") >= 5
    page = phone.open(served.start().address)
    expect(page.locator(".picture text", has_text="more, below: ")).to_be_visible()
    on_the_first_screen(page)
    page.get_by_role("button", name="Weigh the tongue").tap()
    expect(page.locator("input:focus")).to_have_attribute("inputmode", "decimal")
    phone.clean(served.address)


def test_a_place_grows_and_a_message_goes(served: Served, phone: Watched) -> None:
    """A tapped place shows its things large enough for a finger (44 px); one of them moved says so
    above the drawing, covering nothing, and the words go when tapped."""
    page = phone.open(served.address)
    page.locator('.picture .place[data-place="rear-room"]').tap()
    chip = page.locator('.grown .chip[data-item="bikes"]')
    box = chip.bounding_box()
    assert box
    assert box["height"] >= 44
    chip.tap()
    page.locator('.picture .place[data-place="galley"]').tap()
    said = page.locator("#said")
    expect(said).to_contain_text("on the ball")
    words, drawing = said.bounding_box(), page.locator(".picture svg").first.bounding_box()
    assert words
    assert drawing
    assert words["y"] + words["height"] <= drawing["y"] + 1
    said.tap()
    expect(said).to_be_empty()
    page.locator(".grown .shut").tap()
    expect(page.locator(".grown")).to_have_count(0)
    phone.clean(served.address)
