"""An evening at the bench with a phone: what was done and measured is written down, seen again and looks right."""

from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser.looks import looks_right
from tests.browser.people import sign_in
from tests.photos.pictures import jpeg

WREN = "/engines/1/"


def test_an_entry_is_one_sentence_and_one_tap_from_the_log(phone: Page, own_server: str, tmp_path: Path) -> None:
    picture = tmp_path / "left.jpg"
    picture.write_bytes(jpeg())
    sign_in(phone, own_server, "member", then=f"{WREN}log/")
    looks_right(phone)
    phone.get_by_label("What was done").fill("Left gland packed anew")
    phone.get_by_label("Minutes").fill("40")
    phone.get_by_label("Photos").set_input_files(picture)
    phone.get_by_text("Readings", exact=True).click()
    phone.get_by_label("Readings").fill("cylinder bore, left = 28.6 mm; 28.7 mm")
    phone.get_by_role("button", name="Write it in the day book").click()
    page = phone.locator(".ruled-page li").first
    expect(page).to_contain_text("Left gland packed anew")
    expect(page.get_by_title("Anneli Thwaite")).to_have_text("AT")
    expect(page.locator("img")).to_have_count(1)
    looks_right(phone)
    page.get_by_role("link", name="cylinder bore, left").click()
    expect(phone.get_by_role("img", name="cylinder bore, left over time")).to_be_visible()
    looks_right(phone)
    phone.goto(f"{own_server}/log/")
    expect(phone.get_by_role("heading", level=1)).to_have_text("Wren: what was done")


def test_the_day_book_and_cards_work_without_script(desk_without_script: Page, own_server: str) -> None:
    desk = desk_without_script
    sign_in(desk, own_server, "member", then=f"{WREN}cards/new/")
    desk.get_by_label("The card in a few words").fill("Pack the left gland")
    for label, hours in (("Hours at best", "1"), ("Most likely", "2"), ("At worst", "3")):
        desk.get_by_label(label).fill(hours)
    desk.get_by_role("button", name="Write the card").click()
    desk.get_by_role("link", name="Pack the left gland").click()
    desk.get_by_role("link", name="Log work on it").click()
    desk.get_by_label("What was done").fill("Old packing out")
    desk.get_by_label("Minutes").fill("1 h 30")
    desk.get_by_role("button", name="Write it in the day book").click()
    desk.goto(f"{own_server}/day-book/?q=packing")
    expect(desk.locator(".ruled-page li")).to_contain_text("card: Pack the left gland")
