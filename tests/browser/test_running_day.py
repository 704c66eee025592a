"""The secretary before a running day: planned, what can run with its papers, engines and people, and afterwards."""

from datetime import date, timedelta

from playwright.sync_api import Page, expect

from tests.browser.looks import looks_right
from tests.browser.people import sign_in


def test_a_running_day_is_planned_filled_and_found_in_the_papers(phone: Page, desk: Page, own_server: str) -> None:
    when = date.today() + timedelta(days=21)
    sign_in(desk, own_server, "secretary", then="/running-days/")
    desk.get_by_text("Plan a running day").click()
    desk.get_by_label("Date").fill((date.today() - timedelta(days=1)).isoformat())
    desk.get_by_role("button", name="Put it in the calendar").click()
    expect(desk.get_by_role("alert")).to_contain_text("This day has gone by")
    desk.get_by_label("Date").fill(when.isoformat())
    desk.get_by_label("What it is").fill("Santa run")
    desk.get_by_role("button", name="Put it in the calendar").click()
    looks_right(desk)

    sign_in(phone, own_server, "owner", then="/engines/1/papers/")
    phone.get_by_label("What paper").select_option("insurance")
    phone.get_by_label("Passed or issued on").fill((date.today() - timedelta(days=300)).isoformat())
    phone.get_by_label("Good until").fill((date.today() + timedelta(days=12)).isoformat())
    phone.get_by_label("Inspector or office").fill("The insurer")
    phone.get_by_role("button", name="Record it").click()
    expect(phone.get_by_text("Recorded.", exact=True)).to_be_visible()
    phone.goto(f"{own_server}/running-days/1/")
    expect(phone.locator("#what-runs")).to_contain_text("insurance renewed: good until")
    phone.get_by_role("button", name="I come").click()
    expect(phone.locator("#people")).to_contain_text("comes")
    looks_right(phone)

    desk.get_by_role("link", name="Santa run").first.click()
    desk.get_by_text("Allocate an engine").click()
    desk.get_by_label("Engine").select_option(label="Wren")
    desk.get_by_role("button", name="Allocate it").click()
    expect(desk.get_by_text("It can run only if")).to_be_visible()
    looks_right(desk)
    desk.goto(f"{own_server}/papers/")
    expect(desk.get_by_role("link", name="12 days left")).to_be_visible()
    looks_right(desk)
    desk.get_by_role("link", name="register of all papers").click()
    looks_right(desk)
    with desk.expect_download() as taken:
        desk.get_by_role("link", name="The whole list as a table").click()
    assert "The insurer" in taken.value.path().read_text(encoding="utf-8")
