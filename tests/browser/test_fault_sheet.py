"""A member's evening with a fault sheet, and a mentor's answer to it, in a real browser."""

import re

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.looks import looks_right
from tests.browser.people import sign_in

PIPIT = "/engines/2/"
BORE = "Iron piston or rings rusted to the bore (left side)"


def open_sheet(page: Page, server: str) -> None:
    """A sheet with the complaint named: the wheels will not turn."""
    page.goto(server + PIPIT)
    page.get_by_role("link", name="Something is wrong: open a sheet").click()
    page.get_by_label("What is wrong, in your own words").fill("The wheels will not turn\nStood for fourteen years.")
    page.get_by_role("button", name="Open the sheet").click()
    page.get_by_role("link", name="Wheels stiff to turn by hand").click()
    page.get_by_role("button", name="Will not turn").click()
    expect(page.get_by_role("cell", name=re.compile("Wheels stiff to turn by hand: will not turn"))).to_be_visible()


def record(page: Page, check: str, answer: str, *, box: str = "") -> None:
    """Write down a check that was done without being asked for."""
    page.get_by_role("link", name="Something else was done").click()
    page.get_by_label("In your words").fill(check)
    page.get_by_role("button", name="Find").click()
    page.get_by_role("link", name=check).click()
    if box:
        page.get_by_label("Put into box or place").fill(box)
    page.get_by_role("button", name=answer, exact=True).first.click()
    expect(page.get_by_role("heading", name="The wheels will not turn")).to_be_visible()


def suspects(page: Page) -> list[str]:
    return page.locator(".suspects li strong").all_inner_texts()


def follow_the_advice(page: Page, *, until: str) -> int:
    """Answer what is asked as an engine would whose left piston is rusted to its bore; returns the checks it took."""
    for count in range(12):
        if suspects(page)[0] == until and "very likely" in page.locator(".suspects li .odds").first.inner_text():
            return count
        question = page.locator("#now .question").inner_text()
        page.locator("#now").get_by_role("button", name=_truth(page, question), exact=True).first.click()
        expect(page.locator("#now .question")).not_to_have_text(question)
    raise AssertionError(f"not found in twelve checks; suspected: {suspects(page)}")


def _truth(page: Page, question: str) -> str:
    """The left bore is rusted, nothing else is wrong; what this engine could not tell is left undone."""
    if page.locator("#now").get_by_role("button", name="Found", exact=True).count():
        return "Found" if "bore" in question and "left side" in question else "Not found"
    return "Could not do"


def test_a_member_finds_the_cause_and_gets_a_go_ahead_from_the_mentor(
    phone: Page, own_server: str, chromium: Browser
) -> None:
    sign_in(phone, own_server, "member")
    open_sheet(phone, own_server)
    looks_right(phone)
    before = suspects(phone)

    record(phone, "Turn the wheels with the right side's connecting rod off", "Will not turn", box="3")
    expect(phone.locator(".page-head .state")).to_contain_text("connecting rod (right side)")
    record(phone, "Slide the right side's crosshead and piston by hand", "Free")
    record(phone, "Turn the wheels with all connecting rods off", "Free", box="4")
    record(phone, "Slide the left side's crosshead and piston by hand", "Will not move")
    record(phone, "Look for rust at the left side's cock, gland and rod", "Running rust")
    after = suspects(phone)
    assert after != before
    assert "left side" in after[0]
    # With both rods off the wheels are free: nothing of the wheels and rods is left among the first.
    assert not any("right side" in name or "axle" in name for name in after[:2])
    expect(phone.locator(".suspects li small").first).to_contain_text("That raised it")
    looks_right(phone)

    assert follow_the_advice(phone, until=BORE) <= 8
    sheet = phone.url
    phone.get_by_role("link", name="Something else was done").click()
    phone.get_by_label("In your words").fill("rusted piston")
    phone.get_by_role("button", name="Find").click()
    phone.locator("#action-list").get_by_role("link").filter(has_text="left side").first.click()
    expect(phone.get_by_text("Needs a mentor's go-ahead")).to_be_visible()
    looks_right(phone)
    phone.get_by_label("Why, and how you will do it").fill("Rods and covers off, a slow steady push, wood only.")
    phone.get_by_role("button", name="Ask").click()
    expect(phone.get_by_text("waits for a mentor").first).to_be_visible()

    mentor = chromium.new_context(viewport={"width": 1440, "height": 900}).new_page()
    sign_in(mentor, own_server, "mentor")
    mentor.get_by_role("link", name=re.compile("rusted")).first.click()
    looks_right(mentor)
    words = "Not alone, and stop if it takes more than a hand."
    mentor.get_by_label("Conditions, why not, or your question").fill(words)
    mentor.get_by_role("button", name="Yes, go ahead").click()
    expect(mentor.get_by_text("go-ahead given")).to_be_visible()
    mentor.context.close()

    phone.goto(sheet)
    expect(phone.get_by_text("go-ahead given")).to_be_visible()
    expect(phone.get_by_text("Not alone, and stop if it takes more than a hand.")).to_be_visible()


def test_a_line_can_be_undone_and_stays_readable(phone: Page, own_server: str) -> None:
    sign_in(phone, own_server, "member")
    open_sheet(phone, own_server)
    phone.get_by_role("button", name="Undo").click()
    expect(phone.locator("tr.struck")).to_contain_text("undone at once")
    expect(phone.locator("#now .question")).to_have_text("What does it do, or not do?")


def test_the_sheet_works_without_a_script(desk_without_script: Page, own_server: str) -> None:
    page = desk_without_script
    sign_in(page, own_server, "member")
    open_sheet(page, own_server)
    page.locator("#now").get_by_role("button", name="Could not do").click()
    expect(page.get_by_text("set aside")).to_be_visible()


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_every_page_around_a_sheet_can_be_used(size: str, own_server: str, request: pytest.FixtureRequest) -> None:
    page: Page = request.getfixturevalue(size)
    sign_in(page, own_server, "member")
    open_sheet(page, own_server)
    sheet = page.url
    paths = ["findings/", "findings/?region=cylinders", "findings/tight_at_dead_centres/", "actions/", "state/"]
    for path in [*paths, "history/", "causes/", "findings/wheels_stiff/"]:
        page.goto(sheet + path)
        looks_right(page)
    for path in ["/", "/help/", "/sheets/", PIPIT, f"{PIPIT}off/", f"{PIPIT}soaks/", f"{PIPIT}sheets/new/"]:
        page.goto(own_server + path)
        looks_right(page)
