"""Boxes: made and found by whatever is written on them, shown with what one may see of what lies in them."""

from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from restorations.tasks.models import Box, StrippedPart
from restorations.tasks.models.boxes import new_code
from restorations.tasks.services import box_for, find_box, take_off
from restorations.tasks.tray import draw_tray
from tests.cast import Cast
from tests.factories import make_engine
from tests.tasks.bench_builders import doing, end, make_box, sent, strip


@pytest.mark.parametrize("text", ["12", "box 12", "Tray 12", "tin no. 12", " 12 "])
def test_a_box_is_found_by_its_number_however_it_is_written(cast: Cast, text: str) -> None:
    box = make_box(cast.member, number=12)
    assert find_box(text) == box


def test_a_box_is_found_by_its_code_in_either_case_and_by_its_label(cast: Cast) -> None:
    box = make_box(cast.member, label="Motion, left")
    assert [find_box(text) for text in (box.code, box.code.lower(), "motion, LEFT")] == [box] * 3
    assert find_box("") is None


@pytest.mark.parametrize(
    ("text", "number", "label"),
    [("tray 3", 3, ""), ("3", 3, ""), ("shelf by the window", 1, "shelf by the window"), ("0", 1, "0")],
)
def test_a_box_nobody_has_made_yet_is_made(cast: Cast, text: str, number: int, label: str) -> None:
    with transaction.atomic():
        box = box_for(text, doing(cast.member))
        assert box == box_for(text, doing(cast.member))
    assert (box.number, box.label) == (number, label)


def test_the_free_text_of_a_step_keeps_reading_as_it_was_written(cast: Cast) -> None:
    with transaction.atomic():
        part = take_off(engine=make_engine(), part_id="connecting_rod@left", box="tray 3", doing=doing(cast.member))
    assert (part.box, part.in_box.number, part.lies_in) == ("tray 3", 3, "box 3")


def test_codes_hold_no_look_alikes_and_are_never_a_number() -> None:
    codes = {new_code() for _ in range(2000)}
    assert not set("".join(codes)) & set("0O1IL2Z5S8BUAE")
    assert not [code for code in codes if code.isdigit() or len(code) != 4]


def test_two_boxes_of_one_number_are_refused_in_words_and_the_rest_is_kept(cast: Cast) -> None:
    make_box(cast.member, number=4)
    response = cast.browser("mate").post("/boxes/", sent(number=4, label="gland parts", places=6))
    assert response.status_code == 422
    assert "There is a box 4 already." in response.content.decode()
    assert "gland parts" in response.content.decode()
    assert Box.objects.count() == 1


def test_the_same_form_twice_makes_one_box(cast: Cast) -> None:
    form, browser = sent(places=6), cast.browser("member")
    addresses = {browser.post("/boxes/", form).url for _ in range(2)}
    assert addresses == {Box.objects.get().get_absolute_url()}


def test_a_box_shows_what_one_may_see_and_says_that_there_is_more(cast: Cast) -> None:
    club = make_engine(name="Wren", hands=(cast.member,))
    private = make_engine(name="Dot", owner_member=cast.owner, is_private=True)
    strip(club, cast.member, part_id="", name="club bracket", box="5")
    strip(private, cast.owner, part_id="", name="secret bracket", box="5")
    code = Box.objects.get().code
    page = cast.browser("member").get(f"/box/{code.lower()}/").content.decode()
    assert "club bracket" in page
    assert "secret bracket" not in page
    assert "1 more in it, of an engine you do not see" in page
    assert "secret bracket" in cast.browser("owner").get(f"/box/{code}/").content.decode()


@pytest.mark.parametrize("code", ["0000", "K7", "%00", "K7QX%27--"])
def test_no_such_box_is_not_found(cast: Cast, code: str) -> None:
    assert cast.browser("member").get(f"/box/{code}/").status_code == 404


def test_a_place_counted_beyond_the_last_is_drawn_and_two_parts_in_one_place_share_it(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    for name in ("cap", "pin"):
        strip(engine, cast.member, part_id="", name=name, box="5", tray_place=8)
    page = cast.browser("member").get(Box.objects.get().get_absolute_url()).content.decode()
    assert "cap + pin" in page
    assert page.count('class="tray-number"') == 8


def test_the_search_of_the_boxes_opens_the_one_that_is_meant(cast: Cast) -> None:
    box = make_box(cast.member, number=31)
    assert cast.browser("mate").get("/boxes/?q=31").url == box.get_absolute_url()
    assert "No box is numbered" in cast.browser("mate").get("/boxes/?q=32").content.decode()


def test_an_empty_box_is_offered_and_one_whose_part_went_back_is_empty_again(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    part = strip(engine, cast.member, box="6")
    assert not Box.objects.empty().exists()
    end(part, cast.member)
    assert "box 6 is empty" in cast.browser("member").get(f"/engines/{engine.pk}/off/").content.decode()


def test_two_who_change_a_box_are_shown_both_versions(cast: Cast) -> None:
    box = make_box(cast.member, number=9)
    change = f"/box/{box.code}/change/"
    cast.browser("mate").post(change, sent(version=1, label="glands", places=6))
    response = cast.browser("member").post(change, sent(version=1, label="valves", places=6))
    assert response.status_code == 409
    assert "glands" in response.content.decode()
    box.refresh_from_db()
    assert box.label == "glands"


@given(places=st.integers(1, 24))
def test_every_place_of_a_tray_is_drawn_once_inside_its_edge(places: int) -> None:
    tray = draw_tray(places, {places: "the last"})
    corners = {(cell.x, cell.y) for cell in tray.cells}
    assert [cell.number for cell in tray.cells] == list(range(1, places + 1))
    assert len(corners) == places
    assert all(x + tray.cell_width < tray.width and y + tray.cell_height < tray.height for x, y in corners)
    assert tray.cells[-1].words == "the last"


@pytest.mark.parametrize("address", ["/boxes/", "box"])
def test_a_page_asks_as_many_questions_for_ten_parts_as_for_one(cast: Cast, address: str) -> None:
    engine, browser = make_engine(hands=(cast.member,)), cast.browser("member")

    def asked(parts: Any) -> int:
        for number in parts:
            strip(engine, cast.member, part_id="", name=f"part {number}", box="2")
            make_box(cast.member)
        page = Box.objects.get(number=2).get_absolute_url() if address == "box" else address
        with CaptureQueriesContext(connection) as queries:
            browser.get(page)
        return len(queries)

    assert asked(range(1)) == asked(range(1, 10))
    assert StrippedPart.objects.count() == 10
