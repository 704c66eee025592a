"""A rate is changed by two mentors, its effect seen first, and everything taken out as files, in a real browser."""

import re
from pathlib import Path
from zipfile import ZipFile

from playwright.sync_api import Page, expect

from tests.browser.looks import looks_right
from tests.browser.people import sign_in
from tests.browser.test_fault_sheet import open_sheet

CAUSE = "Foreign body in cylinder or port"
PAGES = ("/knowledge/", "/knowledge/?q=wheels", "/knowledge/findings/wheels_stiff/", "/knowledge/changes/")


def test_a_mentor_proposes_a_rate_sees_its_effect_another_accepts_and_it_is_taken_out(
    desk: Page, phone: Page, own_server: str, tmp_path: Path
) -> None:
    sign_in(desk, own_server, "mentor")
    open_sheet(desk, own_server)
    desk.get_by_role("link", name="What would tell two of them apart").click()
    expect(desk.get_by_role("heading", name="Where they show differently")).to_be_visible()
    looks_right(desk)

    desk.goto(f"{own_server}/knowledge/")
    desk.get_by_label("Find").fill("foreign body")
    desk.get_by_role("button", name="Find").click()
    desk.get_by_role("link", name=CAUSE, exact=True).click()
    looks_right(desk)
    desk.get_by_role("button", name="Propose a change").click()
    desk.get_by_label("Idle for two years or more").fill("1.5")
    desk.get_by_role("button", name="Save the draft").click()
    expect(desk.locator(".error-summary")).to_contain_text("expected a probability strictly between 0 and 1")
    looks_right(desk)
    desk.get_by_role("link", name="Numbers and words").click()
    looks_right(desk)
    desk.get_by_label("Idle for two years or more").fill("0.4")
    desk.get_by_role("button", name="Save the draft").click()
    desk.get_by_role("button", name="See its effect on open sheets").click()
    expect(desk.locator("#effects")).to_contain_text(CAUSE)
    desk.get_by_label("Why").fill("A nut or a rag in three of the last four we opened.")
    desk.get_by_role("button", name="Send to another mentor").click()
    expect(desk.get_by_text("It waits for another mentor")).to_be_visible()

    sign_in(phone, own_server, "mentor2", then="/knowledge/changes/")
    phone.get_by_role("link", name=re.compile(CAUSE)).click()
    expect(phone.locator("table").first).to_contain_text("very common, 40")
    looks_right(phone)
    phone.get_by_role("button", name="Accept").click()
    expect(phone.locator(".messages")).to_contain_text("Accepted.")
    for address in PAGES:
        phone.goto(own_server + address)
        looks_right(phone)
    phone.goto(f"{own_server}/knowledge/")
    with phone.expect_download() as download:
        phone.get_by_role("link", name="All of it as files (ZIP)").click()
    download.value.save_as(tmp_path / "files.zip")
    with ZipFile(tmp_path / "files.zip") as archive:
        assert "idle_for_years = 0.4" in archive.read("cylinders/causes.toml").decode()
