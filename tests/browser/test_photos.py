"""Photos in a real browser: shrunk and sent from a phone, marked by tap and by keyboard, compared under one hand."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.looks import looks_right
from tests.browser.people import sign_in
from tests.browser.serving import served
from tests.photos.pictures import box, camera_exif, drawn, encoded, mp4

GALLERY = "/engines/1/photos/"
MOST_SENT = 1_000_000


@pytest.fixture(scope="module")
def photo_server(installation: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """One for all tests here: each adds photos of its own, and the newest stand first."""
    with served(installation, tmp_path_factory.mktemp("photos") / "data") as address:
        yield address


@pytest.fixture(scope="module")
def pictures(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two large photos with place and moment, and one that is none."""
    folder = tmp_path_factory.mktemp("pictures")
    for name, taken in (("rusted", "2026:11:02 19:05:00"), ("clean", "2026:11:14 20:15:00")):
        exif = camera_exif(taken=taken)
        (folder / f"{name}.jpg").write_bytes(encoded(drawn(3000, 2250), quality=95, exif=exif))
    (folder / "moving.gif").write_bytes(b"GIF89a" + bytes(60))
    return folder


def choose(page: Page, *files: Path) -> None:
    page.get_by_label("Photos").set_input_files(list(files))


def open_form(page: Page) -> None:
    """It lies open while there is no photo yet."""
    if not page.get_by_label("Photos").is_visible():
        page.get_by_text("Add photos").click()


def send(page: Page, *files: Path, caption: str) -> None:
    """Through the form on the page, until the photos stand in the gallery."""
    before = page.locator(".photo-grid li").count()
    open_form(page)
    choose(page, *files)
    page.get_by_label("Caption").fill(caption)
    page.get_by_role("button", name="Send").click()
    expect(page.locator(".photo-grid li")).to_have_count(before + len(files))


def middle(place: Locator) -> tuple[float, float]:
    box = place.bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def spot_in(picture: Locator, across: float, down: float) -> tuple[float, float]:
    box = picture.bounding_box()
    assert box is not None
    return box["x"] + box["width"] * across, box["y"] + box["height"] * down


def test_a_phone_sends_the_picture_small_without_its_place_and_with_its_moment(
    phone: Page, photo_server: str, pictures: Path
) -> None:
    sign_in(phone, photo_server, "member", then=GALLERY)
    original = (pictures / "clean.jpg").read_bytes()
    assert b"Canonet" in original
    with phone.expect_event("request", lambda request: request.method == "POST") as sent:
        send(phone, pictures / "clean.jpg", caption="clean")  # held back until it is small
    assert int(sent.value.all_headers()["content-length"]) < min(MOST_SENT, len(original))
    phone.locator(".photo-grid a").first.click()
    expect(phone.locator(".facts")).to_contain_text("14 Nov")
    image = phone.locator(".marked-picture img")
    assert image.evaluate("(picture) => picture.decode().then(() => picture.naturalWidth)") == 2048


def test_what_the_phone_holds_after_choosing_tells_no_place(phone: Page, photo_server: str, pictures: Path) -> None:
    sign_in(phone, photo_server, "member", then=GALLERY)
    open_form(phone)
    choose(phone, pictures / "clean.jpg")
    field = phone.get_by_label("Photos")
    for _ in range(100):
        if field.evaluate("(input) => input.files[0].size") < (pictures / "clean.jpg").stat().st_size:
            break
        phone.wait_for_timeout(50)
    text = "async (input) => new TextDecoder('latin1').decode(await input.files[0].arrayBuffer())"
    held = field.evaluate(text)
    assert "2026:11:14 20:15:00" in held
    assert "Canonet" not in held


def test_a_refusal_stands_beside_its_file_and_the_others_go_up(phone: Page, photo_server: str, pictures: Path) -> None:
    sign_in(phone, photo_server, "member", then=GALLERY)
    open_form(phone)
    choose(phone, pictures / "moving.gif", pictures / "clean.jpg")
    phone.get_by_role("button", name="Send").click()
    expect(phone.locator(".uploads li", has_text="moving.gif")).to_contain_text("This is a GIF")
    expect(phone.locator(".uploads li", has_text="clean.jpg")).to_contain_text("added")
    looks_right(phone)
    before = phone.locator(".photo-grid li").count()
    phone.get_by_role("link", name="Show the 1 added").click()
    expect(phone.locator(".photo-grid li")).to_have_count(before + 1)


def test_a_photo_that_found_no_signal_is_sent_again_and_is_there_once(
    chromium: Browser, photo_server: str, pictures: Path
) -> None:
    context = chromium.new_context()  # the lost connection is reported in the console, as it should be
    page = context.new_page()
    sign_in(page, photo_server, "member", then=GALLERY)
    page.route("**/photos/", lambda route: route.abort() if route.request.method == "POST" else route.fallback())
    open_form(page)
    before = page.locator(".photo-grid li").count()
    choose(page, pictures / "clean.jpg")
    page.get_by_role("button", name="Send").click()
    expect(page.locator(".uploads li").first).to_contain_text("No signal. It is still here.")
    page.unroute("**/photos/")
    page.get_by_role("button", name="Send it again").click()
    expect(page.locator(".photo-grid li")).to_have_count(before + 1)
    context.close()


def test_a_mark_is_placed_by_tap_where_the_finger_was(phone: Page, photo_server: str, pictures: Path) -> None:
    sign_in(phone, photo_server, "member", then=GALLERY)
    send(phone, pictures / "clean.jpg", caption="clean")
    phone.locator(".photo-grid a").first.click()
    picture = phone.locator(".marked-picture")
    tapped = spot_in(picture, 0.7, 0.35)
    phone.touchscreen.tap(*tapped)
    expect(phone.get_by_label("From the left, per cent", exact=True)).to_have_value(re.compile("^(69.[89]|70.[012])$"))
    expect(phone.get_by_label("From the top, per cent", exact=True)).to_have_value(re.compile("^(34.[89]|35.[012])$"))
    phone.get_by_label("What is there").fill("cracked web")
    looks_right(phone)
    phone.get_by_role("button", name="Add the mark").click()
    expect(phone.locator(".mark-list")).to_contain_text("cracked web")
    expect(phone.locator(".mark-number")).to_have_text("1")
    assert middle(phone.locator(".mark-end")) == pytest.approx(tapped, abs=2)
    looks_right(phone)


def test_a_mark_is_placed_and_moved_by_keyboard_alone(desk: Page, photo_server: str, pictures: Path) -> None:
    sign_in(desk, photo_server, "member", then=GALLERY)
    send(desk, pictures / "clean.jpg", caption="clean")
    desk.locator(".photo-grid a").first.press("Enter")
    picture = desk.get_by_role("group", name="The picture")
    picture.focus()
    for key in ("ArrowRight", "ArrowRight", "Shift+ArrowUp"):
        desk.keyboard.press(key)
    desk.get_by_label("What is there").press_sequentially("loose nut")
    desk.keyboard.press("Enter")
    expect(desk.locator(".mark-list")).to_contain_text("52.0 % from the left, 45.0 % from the top")
    picture.locator("img").evaluate("image => image.decode()")  # the page is new, and nothing lies right before it
    assert middle(desk.locator(".mark-end")) == pytest.approx(spot_in(picture, 0.52, 0.45), abs=2)
    desk.get_by_text("Move, reword or strike out").press("Enter")
    desk.get_by_role("link", name="Move or reword").press("Enter")
    desk.get_by_role("radio", name="the balloon").check()
    desk.get_by_role("group", name="The picture").focus()
    desk.keyboard.press("ArrowDown")
    desk.get_by_role("button", name="Save").press("Enter")
    expect(desk.locator(".messages")).to_have_text("Saved.")


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_before_and_after_lie_under_one_hand(
    size: str, photo_server: str, pictures: Path, request: pytest.FixtureRequest
) -> None:
    page: Page = request.getfixturevalue(size)
    sign_in(page, photo_server, "member", then=GALLERY)
    send(page, pictures / "rusted.jpg", pictures / "clean.jpg", caption="left side")
    looks_right(page)
    page.locator(".photo-grid a").first.click()
    page.get_by_role("link", name="Pair with an earlier photo").click()
    looks_right(page)
    page.get_by_role("radio").first.check()
    page.get_by_role("button", name="Pair them").click()
    page.get_by_role("link", name="compare with the earlier photo").click()
    before, after = page.get_by_role("img", name="Before: left side"), page.get_by_role("img", name="After: left side")
    assert before.bounding_box() == after.bounding_box()
    page.get_by_label("How much of “before” shows").fill("25")
    expect(before).to_have_css("clip-path", "inset(0px 75% 0px 0px)")
    hold = page.get_by_role("button", name="Hold to see before")
    hold.focus()
    page.keyboard.down("Space")
    expect(before).to_have_css("clip-path", "none")
    page.keyboard.up("Space")
    expect(before).to_have_css("clip-path", "inset(0px 75% 0px 0px)")
    looks_right(page)


def test_everything_works_without_script(desk_without_script: Page, photo_server: str, pictures: Path) -> None:
    page = desk_without_script
    sign_in(page, photo_server, "member", then=GALLERY)
    open_form(page)
    choose(page, pictures / "rusted.jpg", pictures / "clean.jpg")
    page.get_by_label("Taken while stripping").check()
    page.get_by_role("button", name="Send").click()
    expect(page.locator(".messages")).to_have_text("Added.")
    page.get_by_role("link", name="How it came apart, step by step").click()
    expect(page.locator(".state")).to_contain_text("Step 2 of 2")
    page.get_by_role("link", name="Back: off before this").click()
    expect(page.locator(".state")).to_contain_text("Step 1 of 2")
    page.get_by_role("link", name="This photo's own page").click()
    page.get_by_label("What is there").fill("left rod")
    page.get_by_label("From the left, per cent", exact=True).fill("30")
    page.get_by_label("From the top, per cent", exact=True).fill("60")
    page.get_by_role("button", name="Add the mark").click()
    assert middle(page.locator(".mark-end")) == pytest.approx(spot_in(page.locator(".marked-picture"), 0.3, 0.6), abs=2)
    page.get_by_role("link", name="Pair with an earlier photo").click()
    page.get_by_role("radio").first.check()
    page.get_by_role("button", name="Pair them").click()
    page.get_by_role("link", name="compare with the earlier photo").click()
    boxes = [image.bounding_box() for image in page.locator(".compare img").all()]
    assert boxes[0] is not None
    assert boxes[1] is not None
    assert boxes[0]["x"] + boxes[0]["width"] <= boxes[1]["x"]


def test_a_clip_with_a_place_is_refused_and_one_without_can_be_downloaded(
    phone: Page, photo_server: str, tmp_path: Path
) -> None:
    clips = {"with.mp4": mp4(inside=box(b"udta", box(b"\xa9xyz", b"+51-000/"))), "without.mp4": mp4()}
    for name, data in clips.items():
        (tmp_path / name).write_bytes(data)
    sign_in(phone, photo_server, "member", then="/engines/1/clips/")
    looks_right(phone)
    phone.get_by_label("Sound or video").set_input_files(tmp_path / "with.mp4")
    phone.get_by_label("What is heard or seen").fill("knock")
    phone.get_by_role("button", name="Send").click()
    expect(phone.locator(".uploads li").first).to_contain_text("says where it was made")
    phone.get_by_label("Sound or video").set_input_files(tmp_path / "without.mp4")
    phone.get_by_role("button", name="Send").click()
    with phone.expect_download() as download:
        phone.get_by_role("link", name="Download knock").click()
    assert Path(download.value.path()).read_bytes() == clips["without.mp4"]
    looks_right(phone)
