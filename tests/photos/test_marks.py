"""Balloons on a photo: placed, numbered once, moved, struck out."""

import re
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from restorations.photos.models import Photo, PhotoMark
from tests.cast import Cast
from tests.engines.sent import HTMX, once, said_in_box
from tests.factories import make_engine
from tests.photos.builders import make_mark, make_photo

pytestmark = pytest.mark.usefixtures("stored")


@pytest.fixture
def photo(cast: Cast) -> Photo:
    return make_photo(make_engine(hands=(cast.member, cast.mate)), cast.member)


def _add(cast: Cast, photo: Photo, who: str = "member", *, headers: Any = None, **data: Any) -> Any:
    given = {"words": "worn here", "across": "10", "down": "20.5", **data}
    return cast.browser(who).post(f"/photos/{photo.pk}/marks/", once(**given), headers=headers)


def test_a_mark_is_placed_by_two_numbers_and_its_balloon_beside_it(cast: Cast, photo: Photo) -> None:
    assert _add(cast, photo).status_code == 302
    mark = photo.marks.get()
    assert (mark.number, mark.words, mark.end_x, mark.end_y) == (1, "worn here", 0.1, 0.205)
    assert (mark.x, mark.y) != (mark.end_x, mark.end_y)
    page = cast.browser("mate").get(photo.get_absolute_url()).text
    assert 'cx="10.0%" cy="20.5%"' in page
    assert "10.0 % from the left, 20.5 % from the top" in page


def test_the_balloon_stands_where_it_is_put(cast: Cast, photo: Photo) -> None:
    assert _add(cast, photo, balloon_across="80", balloon_down="90").status_code == 302
    mark = photo.marks.get()
    assert (mark.x, mark.y) == (0.8, 0.9)


def test_marks_are_numbered_on_and_a_struck_number_is_not_given_again(cast: Cast, photo: Photo) -> None:
    for _ in range(2):
        _add(cast, photo)
    last = photo.marks.get(number=2)
    address = f"/photos/{photo.pk}/marks/{last.pk}/strike/"
    assert cast.browser("mate").post(address, once(reason="no")).status_code == 403
    assert cast.browser("member").post(address, once(reason="")).status_code == 422
    assert cast.browser("member").post(address, once(reason="it is dirt")).status_code == 302
    _add(cast, photo)
    assert [mark.number for mark in photo.marks.all()] == [1, 2, 3]
    page = cast.browser("mate").get(photo.get_absolute_url()).text
    assert re.findall(r'class="mark-number"[^>]*>(\d)<', page) == ["1", "3"]
    assert "it is dirt" in page


def test_the_same_form_twice_is_one_mark(cast: Cast, photo: Photo) -> None:
    form = once(words="x", across="1", down="1")
    for _ in range(2):
        assert cast.browser("member").post(f"/photos/{photo.pk}/marks/", form).status_code == 302
    assert photo.marks.count() == 1


@pytest.mark.parametrize(
    ("data", "field"),
    [
        ({"across": "-1"}, "across"),
        ({"down": "100.5"}, "down"),
        ({"across": "nan"}, "across"),
        ({"across": "1e999"}, "across"),
        ({"across": ""}, "across"),
        ({"across": "left"}, "across"),
        ({"words": ""}, "words"),
        ({"words": "x" * 201}, "words"),
        ({"balloon_across": "5"}, ""),
    ],
)
def test_a_mark_that_cannot_be_is_said_beside_its_box_and_what_was_typed_stays(
    cast: Cast, photo: Photo, data: dict[str, str], field: str
) -> None:
    answer = _add(cast, photo, **data)
    assert answer.status_code == 422
    assert f'id="id_{field}_error"' in answer.text if field else "or neither" in answer.text
    assert said_in_box(answer.text, "down") == data.get("down", "20.5")
    assert not photo.marks.exists()


def test_what_is_to_be_mended_comes_back_as_a_fragment(cast: Cast, photo: Photo) -> None:
    answer = _add(cast, photo, words="", headers=HTMX)
    assert answer.status_code == 422
    assert answer.text.lstrip().startswith('<div id="photo-desk"')


def test_two_who_move_a_mark_see_both_versions(cast: Cast, photo: Photo) -> None:
    mark = make_mark(photo, cast.member)
    address = f"/photos/{photo.pk}/marks/{mark.pk}/change/"
    assert said_in_box(cast.browser("mate").get(address).text, "across") == "25.0"
    form = {"version": "1", "words": "cracked", "across": "50", "down": "50"}
    assert cast.browser("member").post(address, once(**form)).status_code == 302
    late = cast.browser("mate").post(address, once(**{**form, "across": "70"}))
    assert late.status_code == 409
    assert "Changed meanwhile" in late.text
    mark.refresh_from_db()
    assert (mark.end_x, mark.words) == (0.5, "cracked")


def test_a_mark_of_another_photo_is_not_reached_through_this_one(cast: Cast, photo: Photo) -> None:
    other = make_photo(photo.engine, cast.member)
    mark = make_mark(other, cast.member)
    assert cast.browser("member").get(f"/photos/{photo.pk}/marks/{mark.pk}/change/").status_code == 404
    assert cast.browser("member").post(f"/photos/{photo.pk}/marks/{mark.pk}/strike/").status_code == 404


def test_a_helpers_mark_waits(cast: Cast, photo: Photo) -> None:
    assert _add(cast, photo, "stranger").status_code == 302
    assert not photo.marks.get().stands


def test_nothing_more_is_marked_on_a_struck_photo(cast: Cast, photo: Photo) -> None:
    photo.strike_out(member=cast.member, reason="blurred")
    assert _add(cast, photo).status_code == 403


def test_a_photo_takes_only_so_many_marks(cast: Cast, photo: Photo, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("restorations.photos.services.marks.MOST_ON_A_PHOTO", 1)
    assert _add(cast, photo).status_code == 302
    answer = _add(cast, photo)
    assert answer.status_code == 422
    assert "second photo" in answer.text


@pytest.mark.parametrize("place", ["x", "y", "end_x", "end_y"])
def test_a_place_outside_the_picture_is_refused_by_the_database_too(cast: Cast, photo: Photo, place: str) -> None:
    mark = make_mark(photo, cast.member)
    with pytest.raises(IntegrityError), transaction.atomic():
        PhotoMark.objects.filter(pk=mark.pk).update(**{place: 1.01})


def test_the_page_asks_the_database_as_often_for_one_mark_as_for_ten(
    cast: Cast, photo: Photo, django_assert_num_queries: Any
) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    browser = cast.browser("member")
    make_mark(photo, cast.member)
    with CaptureQueriesContext(connection) as few:
        browser.get(photo.get_absolute_url())
    for number in range(9):
        make_mark(photo, cast.mate, words=f"place {number}")
    with django_assert_num_queries(len(few)):
        browser.get(photo.get_absolute_url())
