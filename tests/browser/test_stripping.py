"""A member strips an engine from a phone: parts and a pipe with photos, labels read back, refitted in reverse."""

import re
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from playwright.sync_api import Page, expect

from tests.browser.looks import looks_right
from tests.browser.people import sign_in
from tests.photos.pictures import jpeg

OFF = "/engines/2/off/"
PARTS = {
    "Connecting rod (left side)": "3",
    "Connecting rod (right side)": "3",
    "Cylinder cover (left side, front end)": "4",
    "Coupling rods of the left side": "4",
}


@pytest.fixture(scope="module")
def picture(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("pictures") / "as-it-sat.jpg"
    path.write_bytes(jpeg(1200, 900))
    return path


def strip(page: Page, name: str, box: str, picture: Path) -> None:
    page.get_by_label("Photo, as it sat").set_input_files(picture)
    page.get_by_label("Part", exact=False).first.select_option(name)
    page.get_by_label("Box").first.fill(box)
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator(".rows").get_by_text(name)).to_be_visible()


def part_the_feed_pipe(page: Page, picture: Path) -> None:
    page.get_by_role("link", name="A pipe or joint was parted").click()
    page.get_by_role("button", name="Water").click()
    page.get_by_label("Or in your own words").fill("feed pipe")
    page.get_by_label("End A, at").fill("pump")
    page.get_by_label("End B, at").fill("left clack")
    page.get_by_label("Which way does it flow?").select_option("from A to B")
    page.get_by_label("Photo, both ends").set_input_files(picture)
    for sure in ("the tank valve is shut", "no pressure", "drained"):
        page.get_by_label(re.compile(sure)).check()
    page.get_by_role("button", name="It is parted").click()
    expect(page.get_by_text("1A")).to_be_visible()


def printed_addresses(page: Page, server: str) -> list[str]:
    """Every label of the engine on one sheet, as the browser gets it, read by a decoder."""
    page.goto(f"{server}/engines/2/labels/")
    looks_right(page)
    query = "&".join(
        f"{box.get_attribute('name')}={box.get_attribute('value')}"
        for box in page.locator("form [type=checkbox]").all()
    )
    response = page.request.get(f"{server}/engines/2/labels/?sheet=a4_24&{query}")
    assert response.headers["content-type"] == "application/pdf"
    (sheet,) = pypdfium2.PdfDocument(response.body())
    return sorted({code.text for code in zxingcpp.read_barcodes(sheet.render(scale=300 / 72).to_pil())})


def test_four_parts_and_a_pipe_come_off_are_labelled_found_and_go_back_in_reverse(
    phone: Page, own_server: str, picture: Path
) -> None:
    sign_in(phone, own_server, "member", then=OFF)
    for name, box in PARTS.items():
        strip(phone, name, box, picture)
    expect(phone.locator(".photo-strip img")).to_have_count(4)
    looks_right(phone)
    part_the_feed_pipe(phone, picture)
    looks_right(phone)

    addresses = printed_addresses(phone, own_server)
    assert len(addresses) == 3  # two boxes, and one pipe whose two labels open the same page
    boxes = [address for address in addresses if "/box/" in address]
    phone.goto(boxes[0])
    expect(phone.locator(".row-name")).to_have_count(2)
    looks_right(phone)

    phone.goto(f"{own_server}/engines/2/refit/")
    expect(phone.locator(".refit-name").first).to_contain_text("Coupling rods of the left side")
    looks_right(phone)
    for name in reversed(PARTS):
        expect(phone.locator(".refit-name").first).to_contain_text(name)
        phone.get_by_role("button", name="Refitted").first.click()
    expect(phone.get_by_text("Nothing is off: nothing to go back.")).to_be_visible()
    phone.get_by_role("link", name=re.compile("feed pipe")).click()
    phone.get_by_label(re.compile("I have looked over both ends")).check()
    phone.get_by_role("button", name="Joined").click()
    expect(phone.get_by_role("cell", name="looked over")).to_be_visible()


def begin_a_volatile_soak(page: Page, server: str) -> None:
    page.goto(f"{server}/engines/2/soaks/")
    page.get_by_label("Where", exact=True).select_option("left side")
    page.get_by_label("In what").fill("paraffin")
    page.get_by_label("It gives off vapour that burns").check()
    page.get_by_label("Until").fill("2090-01-01T10:00")
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_text("Vapour that burns:")).to_be_visible()


def test_the_fault_sheet_takes_the_rod_for_off_and_shuts_the_heat_gate_while_it_soaks(
    phone: Page, own_server: str, picture: Path
) -> None:
    sign_in(phone, own_server, "member", then=OFF)
    strip(phone, "Connecting rod (left side)", "3", picture)
    begin_a_volatile_soak(phone, own_server)
    phone.goto(f"{own_server}/engines/2/")
    phone.get_by_role("link", name="Something is wrong: open a sheet").click()
    phone.get_by_label("What is wrong, in your own words").fill("The wheels will not turn")
    phone.get_by_role("button", name="Open the sheet").click()
    phone.goto(f"{own_server}/sheets/1/")
    expect(phone.locator(".page-head .state")).to_contain_text("connecting rod (left side)", ignore_case=True)
    phone.get_by_role("link", name="Something else was done").click()
    phone.get_by_label("In your words").fill("cylinder warmed")
    phone.get_by_role("button", name="Find").click()
    phone.get_by_role("link", name=re.compile("warmed.*left side")).first.click()
    expect(phone.get_by_text("while a volatile solvent is on the engine")).to_be_visible()


@pytest.mark.parametrize("page", ["tags", "soaks", "freeing", "connections"])
def test_the_bench_pages_can_be_used_on_a_phone_and_at_a_desk(phone: Page, desk: Page, server: str, page: str) -> None:
    for window in (phone, desk):
        sign_in(window, server, "member", then=f"/engines/1/{page}/")
        looks_right(window)


def test_a_part_can_be_written_down_and_refitted_without_script(
    desk_without_script: Page, own_server: str, picture: Path
) -> None:
    sign_in(desk_without_script, own_server, "member", then=OFF)
    strip(desk_without_script, "Connecting rod (left side)", "3", picture)
    desk_without_script.get_by_role("link", name="Refit list").click()
    desk_without_script.get_by_role("button", name="Refitted").click()
    expect(desk_without_script.get_by_text("Nothing is off: nothing to go back.")).to_be_visible()
