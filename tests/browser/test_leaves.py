"""Taking in, what happened, and what is printed and left on an engine, in a real browser."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.looks import looks_right
from tests.browser.people import sign_in

WREN, PIPIT = "/engines/1", "/engines/2"
PAGES = [
    "/search/?q=gland", "/timeline/", "/people/1/timeline/", f"{PIPIT}/", f"{PIPIT}/timeline/", f"{PIPIT}/taking-in/",
    f"{PIPIT}/taking-in/write/", f"{PIPIT}/bench-pack/", f"{PIPIT}/tonight/", f"{PIPIT}/oil-chart/",
    f"{PIPIT}/fastenings/",
]  # fmt: skip


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_bench_search_timeline_and_leaves_can_be_used(size: str, server: str, request: pytest.FixtureRequest) -> None:
    page: Page = request.getfixturevalue(size)
    sign_in(page, server, "member")
    looks_right(page)
    for address in PAGES:
        page.goto(server + address)
        looks_right(page)


def test_a_timeline_is_filtered_without_loading_the_page(desk: Page, server: str) -> None:
    sign_in(desk, server, "member", then=f"{PIPIT}/timeline/")
    expect(desk.locator("#timeline")).to_contain_text("Before it came.")
    desk.evaluate("document.body.dataset.stayed = 'yes'")
    desk.get_by_label("Kind").select_option(label="Tags")
    expect(desk.locator("#timeline")).not_to_contain_text("Before it came.")
    expect(desk.locator("body")).to_have_attribute("data-stayed", "yes")


def test_an_engine_is_taken_in_and_signed_by_both_without_script(desk_without_script: Page, own_server: str) -> None:
    page = desk_without_script
    sign_in(page, own_server, "member", then=f"{WREN}/taking-in/")
    page.get_by_role("link", name="Begin the sheet").click()
    page.get_by_role("group", name="Signs of frost").get_by_label("found", exact=True).check()
    page.get_by_label("Signs of frost: where, how much").fill("left pump body split")
    page.get_by_label("Number stamped on the boiler").fill("QD 117")
    page.get_by_label("Boiler number in the papers").fill("QD 171")
    page.get_by_label("Weight (optional)").fill("26 lb")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("alert")).to_contain_text("The boiler is not the one in its papers.")
    page.get_by_role("link", name="Read and sign").click()
    page.get_by_role("button", name="I took it in").click()
    page.get_by_role("link", name="Read and sign").click()
    page.get_by_label("Your name").fill("Aldous Pell")
    page.get_by_role("button", name="I brought it").click()
    expect(page.locator("main")).to_contain_text("this sheet stays as it is")
    expect(page.locator(".title-block")).to_contain_text("Aldous Pell")
    expect(page.get_by_role("link", name="Go on writing")).to_have_count(0)
