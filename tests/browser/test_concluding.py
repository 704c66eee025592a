"""From "it is gone" to a signed conclusion and back: member, mentor and second mentor, each in their own browser."""

import re

from playwright.sync_api import Browser, Page, expect

from tests.browser.looks import looks_right
from tests.browser.people import sign_in
from tests.browser.test_fault_sheet import open_sheet, record

CAUSE = "Dried oil in axleboxes, rod bearings and motion pins"


def of(chromium: Browser, server: str, name: str) -> Page:
    page = chromium.new_context(viewport={"width": 1440, "height": 900}).new_page()
    sign_in(page, server, name)
    return page


def test_a_member_proposes_a_mentor_closes_another_signs_and_opens_it_again(
    phone: Page, own_server: str, chromium: Browser
) -> None:
    sign_in(phone, own_server, "member")
    open_sheet(phone, own_server)
    sheet = phone.url
    record(phone, "Flush the old oil out of boxes, rods and pins, and oil afresh", "Done, and it came right")
    phone.locator("#now").get_by_role("button", name="Free", exact=True).click()
    expect(phone.get_by_role("cell", name=re.compile("Wheels stiff to turn by hand: free"))).to_be_visible()
    phone.get_by_role("link", name="Say what it was").click()
    expect(phone.get_by_label(f"{CAUSE}: how it is known")).to_have_value("cause.cured")
    looks_right(phone)
    phone.get_by_label("What it was and what was done").fill("Black and hard as varnish.")
    phone.get_by_role("button", name="Propose it").click()
    expect(phone.get_by_text("Proposed. The mentors are told.")).to_be_visible()

    mentor = of(chromium, own_server, "mentor")
    mentor.get_by_role("link", name="To the desk").click()
    mentor.get_by_role("link", name=re.compile("close it")).click()
    expect(mentor.get_by_text("Black and hard as varnish.")).to_be_visible()
    looks_right(mentor)
    mentor.get_by_role("button", name="Close the sheet").click()
    expect(mentor.get_by_text("Closed: the cause was found.")).to_be_visible()
    looks_right(mentor)
    mentor.get_by_role("link", name="Sign off or open again").click()
    expect(mentor.get_by_role("button", name="Sign it off")).to_have_count(0)

    other = of(chromium, own_server, "mentor2")
    other.goto(sheet)
    other.get_by_role("link", name="Sign off or open again").click()
    looks_right(other)
    other.get_by_label("In your words").fill("Turned it myself.")
    other.get_by_role("button", name="Sign it off").click()
    expect(other.get_by_text("signed off by Philippa Oxenhope")).to_be_visible()

    phone.goto(sheet)
    expect(phone.get_by_role("link", name="Something else was seen")).to_have_count(0)
    looks_right(phone)

    other.get_by_role("link", name="The conclusion").click()
    other.get_by_text("It does not hold: open the sheet again").click()
    other.get_by_label("Why is it opened again?").fill("Stiff again on Sunday, and not from the oil.")
    other.get_by_role("button", name="Open it again").click()
    expect(other.get_by_text("Concluded before (1)")).to_be_visible()
    phone.goto(sheet)
    expect(phone.get_by_role("link", name="Something else was seen")).to_be_visible()
    for address in ("how-well/", "how-well/rates/", "sheets/?show=closed"):
        phone.goto(f"{own_server}/{address}")
        looks_right(phone)
    for page in (mentor, other):
        page.context.close()
