"""Go-aheads through four pairs of hands: asked, asked back, allowed; at the elbow; done without; consented to."""

import re
from collections.abc import Callable
from urllib.parse import quote

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.looks import looks_right
from tests.browser.people import sign_in
from tests.cast import PASSWORD

WREN = "/engines/1/"
CODE = "402917"
GLAND, BIG_END = "Free the piston rod rusted in its gland", "New big end brasses or bush"
PISTON, FINISH = "Free the rusted piston", "Finish what was left unfinished, and mark what is missing"

Visitor = Callable[[str], Page]


@pytest.fixture
def visitor(chromium: Browser, own_server: str) -> Visitor:
    """Somebody else with a phone of their own, signed in."""

    def arrive(name: str) -> Page:
        page = chromium.new_context(viewport={"width": 390, "height": 844}).new_page()
        sign_in(page, own_server, name)
        return page

    return arrive


def open_sheet(page: Page, server: str) -> str:
    page.goto(f"{server}{WREN}sheets/new/")
    page.get_by_label("What is wrong, in your own words").fill("The left side will not move")
    page.get_by_role("button", name="Open the sheet").click()
    page.wait_for_url(re.compile(r"/sheets/\d+/$"))
    return page.url


def go_to_step(page: Page, sheet: str, words: str) -> None:
    page.goto(f"{sheet}actions/?q={quote(words)}")
    page.locator("#action-list").get_by_role("link", name=words).first.click()
    page.wait_for_url(re.compile("/actions/[a-z_]+"))


def ask(page: Page, sheet: str, words: str, reason: str) -> None:
    go_to_step(page, sheet, words)
    page.get_by_label("Why, and how you will do it").fill(reason)
    page.get_by_role("button", name="Ask", exact=True).click()
    page.wait_for_url(sheet)


def test_go_aheads_through_four_pairs_of_hands(phone: Page, own_server: str, visitor: Visitor) -> None:
    mentor = visitor("mentor")
    sign_in(phone, own_server, "member")
    sheet = open_sheet(phone, own_server)
    asked_back_and_allowed(phone, sheet, mentor, own_server)
    given_at_the_elbow(phone, sheet, mentor, own_server)
    done_without_and_looked_at(phone, sheet, visitor("mentor2"), own_server)
    consented_to(phone, sheet, visitor("owner"))


def asked_back_and_allowed(phone: Page, sheet: str, mentor: Page, server: str) -> None:
    ask(phone, sheet, GLAND, "Split clamp made, wood only.")
    expect(phone.get_by_text("waits for a mentor").first).to_be_visible()

    mentor.reload()
    mentor.get_by_role("link", name=re.compile("To the desk")).click()
    expect(mentor.get_by_text("Split clamp made, wood only.")).to_be_visible()
    mentor.get_by_text("How it is done, with its cautions").click()
    looks_right(mentor)
    mentor.get_by_label("Conditions, why not, or your question").fill("Is the packing out?")
    mentor.get_by_role("button", name="Ask first").click()
    expect(mentor.get_by_text("it still waits")).to_be_visible()

    phone.goto(server)
    phone.get_by_role("link", name=re.compile("Is the packing out?")).click()
    looks_right(phone)
    phone.get_by_label("Your answer").fill("Out, and the gland clean.")
    phone.get_by_role("button", name="Answer", exact=True).click()
    expect(phone.get_by_text("Out, and the gland clean.")).to_be_visible()

    mentor.goto(f"{server}/desk/")
    expect(mentor.get_by_text("Out, and the gland clean.")).to_be_visible()
    mentor.get_by_label("Conditions, why not, or your question").fill("Not alone.")
    mentor.get_by_text("this evening").click()
    mentor.get_by_role("button", name="Yes, go ahead").click()
    expect(mentor.get_by_text("Nothing waits for you")).to_be_visible()

    phone.goto(sheet)
    expect(phone.get_by_text("Not alone.")).to_be_visible()
    go_to_step(phone, sheet, GLAND)
    phone.get_by_role("button", name=re.compile("^Done")).click()
    expect(phone.locator(".sofar").get_by_text(GLAND)).to_be_visible()
    expect(phone.get_by_text("without go-ahead")).to_have_count(0)


def given_at_the_elbow(phone: Page, sheet: str, mentor: Page, server: str) -> None:
    mentor.goto(f"{server}/me/short-code/")
    looks_right(mentor)
    mentor.get_by_label("Present password").fill(PASSWORD)
    mentor.get_by_label("Six digits").fill(CODE)
    mentor.get_by_label("The same again").fill(CODE)
    mentor.get_by_role("button", name="Set it").click()
    expect(mentor.get_by_text("Your short code is set")).to_be_visible()

    go_to_step(phone, sheet, BIG_END)
    phone.get_by_text("A mentor stands beside you").click()
    looks_right(phone)
    phone.get_by_text("Mungo Askerrigg").click()
    phone.get_by_label("Their short code").fill(CODE)
    phone.get_by_role("button", name="Yes, go ahead").click()
    expect(phone.get_by_text("Mungo Askerrigg says yes")).to_be_visible()
    expect(phone.get_by_role("button", name=re.compile("^Done"))).to_be_visible()


def done_without_and_looked_at(phone: Page, sheet: str, second: Page, server: str) -> None:
    go_to_step(phone, sheet, FINISH)
    phone.get_by_text("It has been done already").click()
    phone.get_by_role("button", name=re.compile("^Done")).click()
    expect(phone.get_by_text("without go-ahead")).to_be_visible()
    second.goto(f"{server}/desk/")
    looks_right(second)
    second.get_by_role("button", name="I have looked").click()
    expect(second.get_by_text("Nothing waits for you")).to_be_visible()
    phone.goto(sheet)
    expect(phone.get_by_text("Philippa Oxenhope has looked at it")).to_be_visible()


def consented_to(phone: Page, sheet: str, owner: Page) -> None:
    go_to_step(phone, sheet, PISTON)
    phone.get_by_label("Why it is to be done, for the owner").fill("It has not moved in thirty years.")
    phone.get_by_role("button", name="Ask the owner").click()
    expect(phone.get_by_text("waits for the owner")).to_be_visible()
    owner.reload()
    owner.get_by_role("link", name=re.compile("cannot be undone")).click()
    looks_right(owner)
    owner.get_by_role("button", name="I consent", exact=True).click()
    expect(owner.get_by_text("Anneli Thwaite is told")).to_be_visible()
    phone.goto(sheet)
    expect(phone.get_by_text("waits for the owner")).to_have_count(0)
