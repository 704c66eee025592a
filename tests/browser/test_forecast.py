"""From a defect to a day: what is missing is named and can be given, then the forecast says when and why."""

from playwright.sync_api import Page, expect

from tests.browser.looks import looks_right
from tests.browser.people import sign_in

FORECAST = "/engines/1/forecast/"


def test_an_engine_is_forecast_once_somebody_has_said_what_is_left(phone: Page, desk: Page, own_server: str) -> None:
    sign_in(phone, own_server, "member", then="/engines/1/stop/")
    phone.get_by_label("What is wrong?").fill("The left rod knocks")
    phone.get_by_label("Where?").select_option("motion")
    phone.get_by_role("button", name="Stop the engine").click()
    phone.goto(f"{own_server}{FORECAST}")
    phone.get_by_role("button", name="Work it out").click()
    expect(phone.get_by_text("No day can be given")).to_be_visible()
    looks_right(phone)
    missing = phone.get_by_role("listitem").filter(has_text="nobody has said what is left to do")
    missing.get_by_role("link", name="Write a card").click()
    phone.get_by_label("The card in a few words").fill("Bush the left rod")
    for label, hours in (("Hours at best", "1"), ("Most likely", "3"), ("At worst", "8")):
        phone.get_by_label(label).fill(hours)
    phone.get_by_role("button", name="Write the card").click()

    sign_in(desk, own_server, "secretary", then="/working-sessions/")
    desk.get_by_role("textbox", name="Tuesday, hours").fill("2,5")
    desk.get_by_role("textbox", name="Tuesday, hands").fill("2")
    desk.get_by_label("Days it usually takes").fill("21")
    desk.get_by_role("button", name="Save").click()
    expect(desk.get_by_role("alert")).to_contain_text("a plain number with a point")
    desk.get_by_role("textbox", name="Tuesday, hours").fill("2.5")
    desk.get_by_role("button", name="Save").click()
    looks_right(desk)

    phone.goto(f"{own_server}{FORECAST}")
    expect(phone.get_by_text("something changed since")).to_be_visible()
    phone.get_by_role("button", name="Work it out anew").click()
    expect(phone.get_by_text("An even chance by")).to_be_visible()
    expect(phone.get_by_role("img", name="Fan of return days")).to_be_visible()
    expect(phone.get_by_role("link", name="Bush the left rod")).to_contain_text("in every run")
    looks_right(phone)
