"""A person's ways through the page. Expected numbers are the library's, asked apart from the page.

The page must show what the library says; what the library says is checked in tests/validation.
"""

import json
from pathlib import Path

import numpy as np
from playwright.sync_api import Page, expect
from tests.browser.conftest import Served, Watched, grave

from steelyard import assess, read_rig
from steelyard.files.demo import demo_tickets
from steelyard.files.tickets import parse_ticket
from steelyard.statics.prior import prior
from steelyard.stowing.arrange import arranged, now
from steelyard.swaying.time.simulate import run
from steelyard.swaying.time.standard_runs import USUAL, machine_at
from steelyard.travel import crewed
from steelyard.web import Gate
from steelyard.web.guard import LOCAL
from steelyard.weighing.reconcile import reconcile
from steelyard.words.assessed import share_spread, weight_spread

PASSES = {
    "bars-on": {"platform:front": "3200", "platform:rear": "3540", "platform:trailer": "5360"},
    "bars-off": {
        "platform:front": "3060",
        "platform:rear": "3780",
        "platform:trailer": "5260",
        "hitch-scale:shank": "680",
    },
    "vehicle-alone": {
        "platform:front": "3340",
        "platform:rear": "2820",
        "fender-height:rear": "37.6",
    },
}
"""The demo's ticket, as a person types it."""
BIKES = '.chip[data-item="bikes"]'


def expected(path: Path, **moves: str) -> tuple[str, str]:
    """Ball and share at the worst stage, with these items moved, as the library gives them."""
    rig = read_rig(path)
    stage = assess(arranged(rig, {**now(rig), **moves})).worst_stage
    return weight_spread(stage.tongue.weight_kg, "us"), share_spread(stage.tongue.share)


def shows(page: Page, words: tuple[str, str]) -> None:
    """The sentence says the ball and the share."""
    for one in words:
        expect(page.locator(".sentence")).to_contain_text(one)


def test_an_item_is_dragged_in_the_drawing_by_mouse(served: Served, desk: Watched) -> None:
    """A drag from place to place in the drawing gives the library's number; undo gives it back."""
    page = desk.open(served.address)
    shows(page, expected(served.path))
    item = page.locator('.picture .item[data-item="bikes"]').first
    item.scroll_into_view_if_needed()
    start = item.bounding_box()
    place = page.locator('.picture .place[data-place="galley"]').first.bounding_box()
    assert start
    assert place
    page.mouse.move(start["x"] + start["width"] / 2, start["y"] + start["height"] / 2)
    page.mouse.down()
    page.mouse.move(place["x"] + place["width"] / 2, place["y"] + 12, steps=8)
    expect(page.locator("#ghost")).to_contain_text("on the ball")
    page.mouse.up()
    shows(page, expected(served.path, bikes="galley"))
    page.keyboard.press("Control+z")
    shows(page, expected(served.path))
    desk.clean(served.address)


def test_an_item_is_moved_by_finger(served: Served, phone: Watched) -> None:
    """Tap the item, tap the place, at 390 px; nothing is wider than the screen."""
    page = phone.open(served.address)
    page.locator(BIKES).tap()
    page.locator('.place-name[data-place="bedroom"]').tap()
    shows(page, expected(served.path, bikes="bedroom"))
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= 390
    phone.clean(served.address)


def test_an_item_is_moved_by_keyboard_alone(served: Served, desk: Watched) -> None:
    """Enter picks up, Enter on a place puts down; Alt and an arrow moves one place on."""
    page = desk.open(served.address)
    page.locator(BIKES).focus()
    page.keyboard.press("Enter")
    expect(page.locator(BIKES)).to_have_attribute("aria-pressed", "true")
    page.locator('.place-name[data-place="bedroom"]').focus()
    page.keyboard.press("Enter")
    shows(page, expected(served.path, bikes="bedroom"))
    expect(page.locator(BIKES)).to_be_focused()
    page.keyboard.press("Alt+ArrowRight")
    shows(page, expected(served.path, bikes="galley"))
    desk.clean(served.address)


def test_a_plan_is_found_applied_and_undone(served: Served, desk: Watched) -> None:
    """Find places, do only what mends, undo; find again, apply, undo: the sentence says what the
    library says at each."""
    page = desk.open(served.address)
    page.locator('[data-open="plan"]').first.click()
    page.locator("#part-plan").get_by_role("button", name="Find places").click()
    only = page.get_by_role("button", name="Do only that")
    expect(only).to_be_visible(timeout=60_000)
    only.click()
    expect(page.locator("#said")).to_contain_text("moved")
    data = page.request.get(served.address + "api/rig").json()
    shows(page, expected(served.path, **{k: v["place"] for k, v in data["items"].items()}))
    expect(page.locator("#part-headline h1")).to_have_text("within")
    page.get_by_role("button", name="Undo").click()
    shows(page, expected(served.path))
    page.locator("#part-plan").get_by_role("button", name="Find places").click()
    apply = page.get_by_role("button", name="Apply the plan")
    expect(apply).to_be_visible(timeout=60_000)
    apply.click()
    expect(page.locator("#said")).to_contain_text("moved")
    moved = page.request.get(served.address + "api/rig").json()
    places = {name: item["place"] for name, item in moved["items"].items()}
    assert places != now(read_rig(served.path))
    shows(page, expected(served.path, **places))
    page.get_by_role("button", name="Undo").click()
    shows(page, expected(served.path))
    desk.clean(served.address)


def test_three_passes_are_weighed_on_a_phone(served: Served, phone: Watched) -> None:
    """Ten readings typed one by one give what their ticket gives the library."""
    page = phone.open(served.address)
    page.locator('[data-open="weigh"]').first.tap()
    page.locator("#weigh-passes > summary").tap()
    page.locator("#weigh-stage").select_option("leaving-home")
    for name, readings in PASSES.items():
        page.locator(f"#weigh-{name}").tap()
        expect(page.locator(f"#weigh-{name}")).to_have_attribute("aria-pressed", "true")
        page.locator("#weigh-step").select_option("20 lb")
        step = page.locator('form[data-what="platform:front"] input[name="step"]')
        expect(step).to_have_value("20 lb")
        for what, value in readings.items():
            form = page.locator(f'form[data-do="read"][data-what="{what}"]').first
            if not form.is_visible():
                page.locator("#weigh-others > summary").tap()
            form.locator('input[name="value"]').fill(value)
            form.locator("button").first.tap()
            expect(page.locator(f'form[data-what="{what}"][data-read]')).to_have_count(1)
    expect(page.locator("#weigh-agreement")).to_contain_text("The readings agree")
    expect(page.locator("#weigh-book")).to_contain_text("In the logbook")
    rig = read_rig(served.path)
    ticket = parse_ticket(demo_tickets()["camper-at-the-fuel-stop.toml"], "ticket.toml")
    stage = assess(rig, weighed=reconcile(rig, ticket).posterior).worst_stage
    shows(page, (weight_spread(stage.tongue.weight_kg, "us"), share_spread(stage.tongue.share)))
    phone.clean(served.address)


def test_a_gust_is_run_and_advice_seen_moved(served: Served, desk: Watched) -> None:
    """Press gust and the swing is drawn; press a piece of advice and the rig is moved by it."""
    page = desk.open(served.address)
    page.locator('[data-open="sway"]').first.click()
    page.get_by_role("button", name="side gust").click(timeout=20_000)
    expect(page.locator("#part-sway svg.trace-picture, #part-sway #trace-picture")).to_have_count(1)
    expect(page.locator("#said")).to_contain_text("swings")
    see = page.get_by_role("button", name="See bikes moved").first
    to = json.loads(see.get_attribute("data-ask") or "")["to"]
    see.click()
    shows(page, expected(served.path, bikes=to))
    desk.clean(served.address)


def test_a_run_is_made_at_the_speed_asked(served: Served, desk: Watched) -> None:
    """Asked at 75 mph, the gust blows at 75 mph; of another stage nothing is shown."""
    page = desk.open(served.address)
    page.locator('[data-open="sway"]').first.click()
    page.locator('select[data-choice="speed"]').select_option("75 mph")
    runs = page.get_by_role("group", name="Run the rig through")
    expect(runs).to_contain_text("At 75 mph")
    runs.get_by_role("button", name="side gust").click()
    rig = read_rig(served.path)
    v, key = prior(crewed(rig)).estimate.at_mean(), assess(rig).worst_stage.key
    trace = run(machine_at(rig, v, key), 75 * 0.44704, USUAL["gust"]())
    most = float(np.degrees(np.max(np.abs(trace.of("angle")))))
    expect(page.locator("#said")).to_contain_text(f"swings {most:.1f}°")
    expect(page.locator(".trace-picture")).to_have_count(1)
    page.locator("[data-stage-pick]").select_option("back-home")
    expect(page.locator(".trace-picture")).to_have_count(0)
    desk.clean(served.address)


def test_two_loadings_are_held_against_each_other(served: Served, desk: Watched) -> None:
    """Lay one aside, move the bikes: the bikes are why, by the ledger's pounds."""
    page = desk.open(served.address)
    page.locator('[data-open="explain"]').first.click()
    page.get_by_role("button", name="Lay this loading aside").click(timeout=20_000)
    page.locator('.chip[data-item="bikes"]').click()
    page.locator('.place-name[data-place="bedroom"]').click()
    row = page.locator("#part-explain tbody tr", has_text="bikes").first
    rig = read_rig(served.path)
    before = assess(rig)
    key = assess(arranged(rig, {**now(rig), "bikes": "bedroom"})).worst_stage.key
    after = assess(arranged(rig, {**now(rig), "bikes": "bedroom"}))
    forces = [
        next(e.tongue_kg for e in s.ledger.entries if e.name == "bikes")
        for found in (before, after)
        for s in found.stages
        if s.key == key
    ]
    pounds = (forces[1] - forces[0]) / 0.45359237
    expect(row).to_contain_text(f"+{pounds:.1f} lb")
    desk.clean(served.address)


def test_a_phone_needs_the_code(served: Served, phone: Watched) -> None:
    """With a code the page asks all but its own machine for it, and opens with it: typed, or come
    behind the # of a QR code's address, which is then no longer in the address."""
    served.stop()
    served.gate = Gate(hosts=LOCAL | {"127.0.0.2"}, code="ABCD2345")
    served.start()
    network = served.address.replace("127.0.0.1", "127.0.0.2")
    page = phone.context.new_page()
    page.goto(network)
    page.locator("input[name=code]").fill("WRONG")
    page.get_by_role("button", name="Enter").tap()
    expect(page.get_by_role("alert")).to_contain_text("not the code")
    page.locator("input[name=code]").fill("abcd2345")
    page.get_by_role("button", name="Enter").tap()
    shows(page, expected(served.path))
    expect(page.locator("#network")).to_contain_text("plain HTTP")
    phone.context.clear_cookies()
    page.goto(f"{network}enter#ABCD2345")
    page.wait_for_url(network)
    shows(page, expected(served.path))
    page.go_back()
    assert "ABCD2345" not in page.url


def test_a_restart_loses_nothing(served: Served, desk: Watched) -> None:
    """The server ends and starts again: the work is there, undo too, the file is untouched."""
    before = served.path.read_bytes()
    first = expected(served.path)
    page = desk.open(served.address)
    page.locator(BIKES).click()
    page.locator('.place-name[data-place="bedroom"]').click()
    shows(page, expected(served.path, bikes="bedroom"))
    served.stop()
    expect(page.locator("html[data-live=no]")).to_have_count(1)
    served.start()
    expect(page.locator("html[data-live=yes]")).to_have_count(1, timeout=15_000)
    page.reload()
    shows(page, expected(served.path, bikes="bedroom"))
    assert served.path.read_bytes() == before
    page.get_by_role("button", name="Save into the file").click()
    expect(page.locator("#said")).to_contain_text("Saved")
    assert read_rig(served.path).items["bikes"].place == "bedroom"
    page.get_by_role("button", name="Undo").click()
    shows(page, first)


def test_two_tabs_do_not_fight(served: Served, desk: Watched) -> None:
    """What one tab does the other shows, each at its own stage; a press in the one while the other
    works is still a press."""
    one, two = desk.open(served.address), desk.open(served.address)
    two.locator("[data-stage-pick]").select_option("back-home")
    expect(two.locator("[data-stage-pick]")).to_have_value("back-home")
    one.locator(BIKES).click()
    one.locator('.place-name[data-place="bedroom"]').click()
    shows(one, expected(served.path, bikes="bedroom"))
    rig = read_rig(served.path)
    worst = assess(arranged(rig, {**now(rig), "bikes": "bedroom"})).worst_stage.title
    expect(one.locator("#said")).to_contain_text(f"at “{worst}”")
    expect(two.locator('.place-row[data-place="bedroom"] .chip[data-item="bikes"]')).to_be_visible()
    expect(two.locator("[data-stage-pick]")).to_have_value("back-home")
    chip = two.locator('.chip[data-item="pantry"]')
    chip.hover()
    two.mouse.down()
    one.locator(BIKES).click()
    one.locator('.place-name[data-place="lounge"]').click()
    shows(one, expected(served.path, bikes="lounge"))
    one.wait_for_timeout(500)  # so that the other tab has heard of it too
    two.mouse.up()
    expect(chip).to_have_attribute("aria-pressed", "true")
    undo = two.get_by_role("button", name="Undo")
    undo.click()
    shows(one, expected(served.path, bikes="bedroom"))
    undo.click()
    shows(one, expected(served.path))
    desk.clean(served.address)


def test_accessibility_rules_hold(served: Served, desk: Watched) -> None:
    """No serious or critical finding of axe-core, every section unfolded."""
    page = desk.open(served.address)
    names = page.locator("footer [data-open]").evaluate_all("all => all.map(o => o.dataset.open)")
    for name in names:
        page.evaluate(
            "name => document.querySelector(`footer [data-open='${name}']`).click()", name
        )
        expect(page.locator(f"#section-{name}")).to_be_visible()
        expect(page.locator(f"#part-{name}")).not_to_be_empty(timeout=20_000)
    assert not grave(page, 1280, 390)
