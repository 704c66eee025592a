"""From the day an engine comes to the day its last part is back on: one journey, held in one hand.

What is typed once in the shop is not typed again on the fault sheet: a rod that lies in a box is off there too, and a
solvent that soaks closes the gate of heat.
"""

import io
import re
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import DESK, PHONE
from tests.browser.listening import Listener
from tests.browser.looks import looks_right
from tests.browser.people import sign_in
from tests.photos.pictures import jpeg

PARTS = {
    "connecting_rod@left": "Left tray",
    "connecting_rod@right": "Right tray",
    "crosshead@left": "Left tray",
    "crosshead@right": "Right tray",
}
WARMED = re.compile("crosshead and piston with the cylinder warmed.*left side", re.IGNORECASE)


@pytest.fixture(scope="module")
def picture(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("pictures") / "as-it-sat.jpg"
    path.write_bytes(jpeg(1000, 750))
    return path


def looks_right_at_both_sizes(page: Page) -> None:
    looks_right(page)
    page.set_viewport_size(DESK)
    looks_right(page)
    page.set_viewport_size(PHONE)


def take_in(page: Page, server: str, picture: Path) -> str:
    """Enter it, photograph it, write down how it came and sign with whoever brought it; gives its address."""
    page.goto(f"{server}/engines/new/")
    page.get_by_label("Name", exact=True).fill("Lapwing")
    page.get_by_label("Kind of engine").select_option("tank locomotive")
    page.get_by_label("Cylinders", exact=True).select_option("two outside cylinders")
    page.get_by_label("How the cylinders are mounted").select_option("fixed cylinders")
    page.get_by_label("I work on this engine").check()
    page.get_by_role("button", name="Enter it").click()
    expect(page.get_by_text("Lapwing is entered")).to_be_visible()
    engine = re.sub(r"configuration/$", "", page.url)
    page.goto(f"{engine}taking-in/")
    page.get_by_role("link", name=re.compile("take it.*left side")).click()
    page.get_by_label("Photos").set_input_files(picture)
    page.get_by_role("button", name="Send").click()
    expect(page.locator(".photo-grid li")).to_have_count(1)
    page.goto(f"{engine}taking-in/write/")
    looks_right(page)
    page.get_by_label("Who brought it").fill("Aldous Pell")
    page.get_by_role("group", name="Fuel left in it").get_by_label("found", exact=True).check()
    page.get_by_role("button", name="Save").click()
    page.get_by_role("link", name="Read and sign").click()
    page.get_by_role("button", name=re.compile("I took it in")).click()
    page.get_by_role("link", name="Read and sign").click()
    page.get_by_label("Your name").fill("Aldous Pell")
    page.get_by_role("button", name="I brought it: sign").click()
    expect(page.get_by_text("signed by both").first).to_be_visible()
    expect(page.locator(".page-head .state")).to_contain_text("7 of 8 views missing")
    looks_right_at_both_sizes(page)
    return engine


def named(part: str) -> re.Pattern[str]:
    """How a part is called on pages and lists, with or without what stands in brackets."""
    component, _, side = part.partition("@")
    return re.compile(rf"{component.replace('_', ' ')}\b.*\b{side} side", re.IGNORECASE)


def strip(page: Page, part: str, box: str, picture: Path) -> None:
    page.get_by_label("Photo, as it sat").set_input_files(picture)
    page.get_by_label("Part", exact=False).first.select_option(value=part)
    page.get_by_label("Box").first.fill(box)
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator(".rows .row-name").filter(has_text=named(part))).to_be_visible()


def part_the_oil_pipe(page: Page, engine: str, picture: Path) -> None:
    page.goto(f"{engine}connections/")
    page.get_by_role("button", name="Oil").click()
    page.get_by_label("Or in your own words").fill("oil pipe, left")
    page.get_by_label("End A, at").fill("lubricator")
    page.get_by_label("End B, at").fill("left chest")
    page.get_by_label(re.compile("no pressure")).check()
    page.get_by_role("button", name="It is parted").click()
    expect(page.get_by_text("Still to make sure of before it is parted").first).to_be_visible()
    page.get_by_label(re.compile("drained")).check()
    page.get_by_label("Photo, both ends").set_input_files(picture)
    page.get_by_role("button", name="It is parted").click()
    expect(page.get_by_text("1A")).to_be_visible()
    looks_right(page)


def labels_read_back(page: Page, engine: str) -> list[str]:
    """Tick everything, ask for the sheet as the form asks for it, and hold it under a decoder."""
    page.goto(f"{engine}labels/")
    for box in page.locator("form [type=checkbox]").all():
        box.check()
    looks_right(page)
    asked = page.locator("form").last.evaluate("(form) => new URLSearchParams(new FormData(form)).toString()")
    response = page.request.get(f"{engine}labels/?{asked}")
    assert response.headers["content-type"] == "application/pdf"
    (sheet,) = pypdfium2.PdfDocument(io.BytesIO(response.body()))
    codes = zxingcpp.read_barcodes(sheet.render(scale=300 / 72).to_pil())
    assert len(codes) == 4  # two boxes, and a pipe with a label at either end
    return sorted({code.text for code in codes})


def scan(chromium: Browser, server: str, address: str) -> None:
    """Somebody else finds the box on the shelf and points a phone at it."""
    context = chromium.new_context(viewport=PHONE, locale="en-GB", timezone_id="Europe/London")
    listener = Listener(context)
    page = context.new_page()
    page.goto(address)
    expect(page.get_by_label("Sign-in name")).to_be_visible()
    expect(page.get_by_text("Connecting rod")).to_have_count(0)
    sign_in(page, server, "mate", then=address.removeprefix(server))
    expect(page.locator(".rows .row-name")).to_have_count(2)
    expect(page.get_by_text("Lapwing")).to_be_visible()
    looks_right(page)
    context.close()
    assert listener.complaints == []


def soak_the_left(page: Page, engine: str) -> None:
    page.goto(f"{engine}soaks/")
    page.get_by_label("Where").select_option("left side")
    page.get_by_label("In what").fill("release oil")
    page.get_by_label("It gives off vapour that burns").check()
    page.get_by_label("Until").fill("2099-01-01T10:00")
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_text("Vapour that burns:")).to_be_visible()
    looks_right(page)


def end_the_soak(page: Page, engine: str) -> None:
    page.goto(f"{engine}soaks/")
    page.get_by_text("Over: wiped off and aired").click()
    page.get_by_role("button", name="It is over").click()
    expect(page.get_by_text("Vapour that burns:")).to_have_count(0)


def open_sheet(page: Page, engine: str) -> str:
    page.goto(engine)
    looks_right_at_both_sizes(page)
    page.get_by_role("link", name="Something is wrong: open a sheet").click()
    page.get_by_label("What is wrong, in your own words").fill("The wheels will not turn")
    page.get_by_role("button", name="Open the sheet").click()
    page.get_by_role("link", name="Wheels stiff to turn by hand").click()
    page.get_by_role("button", name="Will not turn").click()
    expect(page.locator(".suspects li").first).to_be_visible()
    return page.url


def read_how_it_is_warmed(page: Page, sheet: str) -> None:
    page.goto(f"{sheet}actions/?q=warmed")
    page.get_by_role("link", name=WARMED).click()


def refit_in_reverse(page: Page, engine: str) -> None:
    page.goto(f"{engine}refit/")
    looks_right_at_both_sizes(page)
    for part in reversed(PARTS):
        expect(page.locator(".refit-name").first).to_contain_text(named(part))
        page.get_by_role("button", name="Refitted").first.click()
    expect(page.get_by_text("Nothing is off: nothing to go back.")).to_be_visible()
    page.get_by_role("link", name=re.compile("oil pipe, left")).click()
    page.get_by_label(re.compile("I have looked over both ends")).check()
    page.get_by_role("button", name="Joined").click()
    expect(page.get_by_role("cell", name="looked over")).to_be_visible()
    expect(page.get_by_text("not looked over")).to_have_count(0)


def test_an_engine_is_taken_in_stripped_labelled_found_soaked_and_put_together_in_reverse(
    phone: Page, own_server: str, chromium: Browser, picture: Path
) -> None:
    sign_in(phone, own_server, "member")
    engine = take_in(phone, own_server, picture)
    phone.goto(f"{engine}off/")
    for part, box in PARTS.items():
        strip(phone, part, box, picture)
    expect(phone.locator(".photo-strip img")).to_have_count(len(PARTS))
    looks_right_at_both_sizes(phone)
    part_the_oil_pipe(phone, engine, picture)

    addresses = labels_read_back(phone, engine)
    boxes = [address for address in addresses if address.startswith(f"{own_server}/box/")]
    assert len(boxes) == 2
    scan(chromium, own_server, boxes[0])

    soak_the_left(phone, engine)
    sheet = open_sheet(phone, engine)
    state = phone.locator(".page-head .state")
    expect(state).to_contain_text(re.compile("off now: connecting rod .*left.*right"))
    read_how_it_is_warmed(phone, sheet)
    gate = phone.locator(".needs li", has_text="volatile solvent")
    expect(gate).to_be_visible()
    looks_right(phone)
    end_the_soak(phone, engine)
    read_how_it_is_warmed(phone, sheet)
    expect(gate).to_have_count(0)

    refit_in_reverse(phone, engine)
    phone.goto(engine)
    expect(phone.get_by_text("Nothing is off")).to_be_visible()
    phone.goto(sheet)
    expect(state).not_to_contain_text("connecting rod")
