"""The door and the pages about people, in a real browser."""

import pytest
from playwright.sync_api import Page, expect

from tests.browser.looks import looks_right
from tests.browser.people import sign_in
from tests.cast import NAMES

PAGES = ["/people/", "/people/2/", "/people/2/offices/", "/people/2/left/", "/people/2/slip/", "/people/invite/"]
PAGES += ["/me/", "/me/password/", "/club/", "/nowhere/"]


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_pages_about_people_can_be_used(size: str, server: str, request: pytest.FixtureRequest) -> None:
    page: Page = request.getfixturevalue(size)
    page.goto(f"{server}/sign-in/")
    looks_right(page)
    sign_in(page, server, "administrator", then=PAGES[0])
    for address in PAGES:
        page.goto(server + address)
        looks_right(page)


def test_the_dark_look_can_be_used_and_stays(phone: Page, server: str) -> None:
    sign_in(phone, server, "member", then="/people/")
    phone.get_by_role("button", name="workshop (dark)").click()
    looks_right(phone)
    phone.reload()
    expect(phone.locator("html")).to_have_attribute("data-look", "workshop")


def test_a_wrong_password_is_said_where_the_eye_and_the_reader_are(phone: Page, server: str) -> None:
    phone.goto(f"{server}/sign-in/")
    phone.get_by_label("Sign-in name").fill("member")
    phone.get_by_label("Password").fill("wrong")
    phone.get_by_role("button", name="Sign in").click()
    expect(phone.locator(".error-summary")).to_be_focused()
    expect(phone.get_by_label("Sign-in name")).to_have_value("member")
    looks_right(phone)


def test_names_are_found_without_loading_the_page(desk: Page, server: str) -> None:
    sign_in(desk, server, "member", then="/people/")
    desk.evaluate("document.body.dataset.stayed = 'yes'")
    desk.get_by_label("Name").fill(NAMES["mentor"])
    desk.get_by_role("button", name="Find").click()
    expect(desk.locator("#people-list")).not_to_contain_text(NAMES["secretary"])
    expect(desk.get_by_role("status")).to_have_text("1 found")
    expect(desk.locator("body")).to_have_attribute("data-stayed", "yes")


def test_two_administrators_editing_the_club_see_both_versions(desk: Page, own_server: str) -> None:
    sign_in(desk, own_server, "administrator", then="/club/")
    other = desk.context.new_page()
    other.goto(f"{own_server}/club/")
    other.get_by_label("Name of the club").fill("Early Engineers")
    other.get_by_role("button", name="Save").click()
    expect(other.locator(".messages")).to_have_text("Saved.")
    desk.get_by_label("Name of the club").fill("Late Engineers")
    desk.get_by_role("button", name="Save").click()
    expect(desk.get_by_text("Somebody else saved this")).to_be_focused()
    expect(desk.get_by_role("cell", name="Early Engineers")).to_be_visible()
    expect(desk.get_by_label("Name of the club")).to_have_value("Late Engineers")
    looks_right(desk)
    desk.get_by_role("button", name="Save").click()
    expect(desk.locator(".messages")).to_have_text("Saved.")


def test_an_invitation_leads_from_the_secretary_to_a_new_member(desk: Page, own_server: str) -> None:
    sign_in(desk, own_server, "secretary", then="/people/invite/")
    desk.get_by_label("Who is to join").fill("Ada Newcome")
    desk.get_by_role("button", name="Make the invitation").click()
    looks_right(desk)
    address = desk.locator("main strong").inner_text()
    desk.get_by_role("button", name="Sign out").click()
    desk.goto(address)
    looks_right(desk)
    desk.get_by_label("Sign-in name").fill("ada")
    desk.get_by_label("New password").fill("three old kettles")
    desk.get_by_label("The same again").fill("three old kettles")
    desk.get_by_role("button", name="Join").click()
    expect(desk.get_by_role("link", name="Ada Newcome")).to_be_visible()


def test_signing_in_and_saving_work_without_a_script(desk_without_script: Page, own_server: str) -> None:
    page = desk_without_script
    sign_in(page, own_server, "administrator", then="/club/")
    page.get_by_label("Name of the club").fill("Plain Engineers")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_text("Saved.")).to_be_visible()
    expect(page.get_by_role("link", name="Plain Engineers")).to_be_visible()


def test_a_session_that_ended_meanwhile_leads_to_the_door(desk: Page, server: str) -> None:
    sign_in(desk, server, "mate", then="/people/")
    desk.context.clear_cookies()
    desk.get_by_label("Name").fill(NAMES["mentor"])
    desk.get_by_role("button", name="Find").click()
    expect(desk.get_by_role("heading", name="Sign in")).to_be_visible()
