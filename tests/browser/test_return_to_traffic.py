"""Danger seen, boiler stopped, lifted by the inspector only, and back in traffic by mentor and secretary."""

from datetime import timedelta

from django.utils import timezone
from playwright.sync_api import Page, expect

from tests.browser.looks import looks_right
from tests.browser.people import sign_in

PIPIT = "/engines/2/"
DANGER = "Level in the glass does not move when blown through"


def _see(page: Page, level: str) -> None:
    """Found by its words, and how much of it."""
    page.get_by_role("link", name="Something else was seen").or_(page.get_by_role("link", name="Find it")).click()
    page.get_by_label("What was seen").or_(page.get_by_label("In your words")).first.fill("glass does not move")
    page.get_by_role("button", name="Find").click()
    page.get_by_role("link", name=DANGER).first.click()
    page.get_by_role("button", name=level).click()


def _record_paper(page: Page, kind: str) -> None:
    today = timezone.localdate()
    page.get_by_label("What paper").select_option(label=kind)
    page.get_by_label("Passed or issued on").fill(str(today))
    page.get_by_label("Good until").fill(str(today + timedelta(days=400)))
    page.get_by_role("button", name="Record it").click()
    expect(page.locator("#papers-desk strong", has_text=kind)).to_be_visible()


def test_a_danger_stops_the_boiler_and_only_inspector_mentor_and_secretary_bring_it_back(
    phone: Page, desk: Page, own_server: str
) -> None:
    sign_in(phone, own_server, "member", then=f"{PIPIT}sheets/new/")
    phone.get_by_label("What is wrong, in your own words").fill("The glass looks odd")
    phone.get_by_role("button", name="Open the sheet").click()
    _see(phone, "Does not move")
    stop = phone.get_by_role("alert").first
    expect(stop).to_contain_text("until the club's inspector lifts it")
    expect(phone.get_by_text("Put no water in: no pump, no injector.")).to_be_visible()
    first, ranking = stop.bounding_box(), phone.get_by_role("heading", name="Why we think so").bounding_box()
    assert first is not None
    assert ranking is not None
    assert first["y"] < ranking["y"]
    looks_right(phone)

    stop.get_by_role("link", name="The stop").click()
    at_stop = phone.url
    sign_in(desk, own_server, "mentor")
    desk.goto(at_stop)
    looks_right(desk)
    expect(desk.get_by_role("link", name="Lift the stop")).to_have_count(0)
    desk.goto(f"{own_server}{PIPIT}return/")
    expect(desk.locator("main")).to_contain_text("Every stop on the boiler lifted by the inspector")
    expect(desk.get_by_role("button", name="Sign it fit for traffic")).to_have_count(0)

    _seen_again_and_lifted(phone, own_server)
    desk.reload()
    expect(desk.locator(".conditions")).not_to_contain_text("missing")
    looks_right(desk)
    desk.get_by_label("What you looked at and tried").fill("Blown through, both feeds tried, two laps.")
    desk.get_by_role("button", name="Sign it fit for traffic").click()
    expect(desk.locator("main")).to_contain_text("The secretary is told")
    _recorded(desk, own_server)


def _seen_again_and_lifted(page: Page, server: str) -> None:
    """The member looks again; the inspector lifts the stop and records the papers."""
    page.go_back()
    _see(page, "Smartly")
    expect(page.get_by_role("alert").first).to_contain_text("looked at again and gone")
    page.get_by_role("button", name="Sign out").click()
    sign_in(page, server, "inspector")
    page.get_by_role("link", name=DANGER).click()
    page.get_by_role("link", name="Lift the stop").click()
    page.get_by_label("What was found and done, and why it may go back").fill("Passage rodded, proved in steam.")
    looks_right(page)
    page.get_by_role("button", name="Lift the stop").click()
    page.goto(f"{server}{PIPIT}papers/")
    for kind in ("Hydraulic test of the boiler", "Steam test of the boiler"):
        _record_paper(page, kind)


def _recorded(page: Page, server: str) -> None:
    page.get_by_role("button", name="Sign out").click()
    sign_in(page, server, "secretary", then=f"{PIPIT}return/")
    page.get_by_role("button", name="Record the return").click()
    expect(page.locator(".page-head .status")).to_have_text("in traffic")
