"""Photos on their pages: sent once, seen by whom they may be, changed, paired, stepped through, struck out."""

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from restorations.engines.models import Design, Engine
from restorations.members.models import Act
from restorations.photos.models import Photo
from tests.cast import Cast
from tests.engines.sent import HTMX, once, said_in_box
from tests.factories import make_engine
from tests.photos.builders import make_mark, make_photo
from tests.photos.pictures import SECRETS, jpeg
from tests.photos.test_intake import chunks

pytestmark = pytest.mark.usefixtures("stored")


@pytest.fixture
def engine(cast: Cast) -> Engine:
    return make_engine(hands=(cast.member, cast.mate))


def sent(*pictures: bytes, **data: Any) -> dict[str, Any]:
    return once(
        photos=[SimpleUploadedFile(f"shed{number}.jpg", bytes_) for number, bytes_ in enumerate(pictures)], **data
    )


def send(browser: Client, engine: Engine, *pictures: bytes, **data: Any) -> Any:
    return browser.post(f"/engines/{engine.pk}/photos/", sent(*pictures, **data))


def errors(page: str) -> str:
    return page.partition('class="error-summary"')[2].partition("</ul>")[0]


# ---- taking in


def test_a_photo_is_taken_in_with_its_words_and_its_moment(cast: Cast, engine: Engine) -> None:
    answer = send(
        cast.browser("member"), engine, jpeg(taken="2026:05:01 12:30:00"), caption="Before anything", view="left"
    )
    assert answer.status_code == 302
    photo = Photo.objects.get()
    assert (photo.caption, photo.view, photo.made_by, photo.stands) == ("Before anything", "left", cast.member, True)
    assert photo.taken_at == datetime(2026, 5, 1, 11, 30, tzinfo=UTC)  # half past twelve of a London summer
    assert Act.objects.about(photo).get().verb == "added a photo"


def test_no_stored_byte_tells_a_place_or_a_person(cast: Cast, engine: Engine, stored: Path) -> None:
    assert send(cast.browser("member"), engine, jpeg(3000, 2000, tell_all=True)).status_code == 302
    files = list(stored.iterdir())
    assert len(files) == 2
    for file in files:
        data = file.read_bytes()
        assert chunks(data) == [b"VP8 "]
        assert [secret for secret in SECRETS if secret in data] == []


def test_the_name_the_sender_gave_is_nowhere(cast: Cast, engine: Engine, stored: Path) -> None:
    data = once(photos=SimpleUploadedFile("../../home of Ada.svg", jpeg()))
    assert cast.browser("member").post(f"/engines/{engine.pk}/photos/", data).status_code == 302
    assert all(re.fullmatch(r"[0-9a-f]{64}\.webp", file.name) for file in stored.iterdir())


def test_the_same_form_twice_is_one_photo(cast: Cast, engine: Engine, stored: Path) -> None:
    browser, mark = cast.browser("member"), once()
    for _ in range(2):
        assert send(browser, engine, jpeg(), **mark).status_code == 302
    assert Photo.objects.count() == 1
    assert len(list(stored.iterdir())) == 2


def test_several_go_up_together_or_not_at_all(cast: Cast, engine: Engine, stored: Path) -> None:
    browser = cast.browser("member")
    answer = send(browser, engine, jpeg(), b"GIF89a" + bytes(40), jpeg()[:900], caption="Both sides")
    assert answer.status_code == 422
    assert "shed1.jpg: This is a GIF" in errors(answer.text)
    assert "shed2.jpg: The picture is damaged or was cut off" in errors(answer.text)
    assert said_in_box(answer.text, "caption") == "Both sides"
    assert not Photo.objects.exists()
    assert not stored.exists()
    assert send(browser, engine, jpeg(), jpeg(300, 200)).status_code == 302
    assert Photo.objects.count() == 2


@pytest.mark.parametrize(
    ("pictures", "words"), [([], "Choose a picture first"), ([b"x"] * 13, "at most 12 go up at once"), ([b""], "empty")]
)
def test_none_too_many_or_an_empty_one_is_said(cast: Cast, engine: Engine, pictures: list[bytes], words: str) -> None:
    answer = send(cast.browser("member"), engine, *pictures)
    assert answer.status_code == 422
    assert words in errors(answer.text)


def test_an_upload_cut_off_half_way_saves_nothing(cast: Cast, engine: Engine, stored: Path) -> None:
    mark = once()["submission"]
    head = f'--cut\r\nContent-Disposition: form-data; name="submission"\r\n\r\n{mark}\r\n--cut\r\n'
    head += 'Content-Disposition: form-data; name="photos"; filename="a.jpg"\r\nContent-Type: image/jpeg\r\n\r\n'
    body = head.encode() + jpeg(1200, 900)
    address = f"/engines/{engine.pk}/photos/"
    answer = cast.browser("member").generic(
        "POST", address, body[: len(body) // 2], content_type="multipart/form-data; boundary=cut"
    )
    assert answer.status_code == 422
    assert "cut off" in errors(answer.text)
    assert not Photo.objects.exists()
    assert not stored.exists()


def test_a_disk_that_takes_nothing_is_answered_in_words(cast: Cast, engine: Engine, stored: Path) -> None:
    stored.write_text("a file where the folder should be")
    answer = send(cast.browser("member"), engine, jpeg())
    assert answer.status_code == 422
    assert "Nothing was saved; tell the administrator" in errors(answer.text)
    assert not Photo.objects.exists()


def test_a_phone_gone_wild_is_told_to_wait(cast: Cast, engine: Engine, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("restorations.photos.services.keeping.MOST_IN_AN_HOUR", 2)
    assert send(cast.browser("member"), engine, jpeg(), jpeg()).status_code == 302
    answer = send(cast.browser("member"), engine, jpeg())
    assert "go up in an hour" in errors(answer.text)
    assert send(cast.browser("mate"), engine, jpeg()).status_code == 302


@pytest.mark.parametrize(("ahead", "known"), [(timedelta(hours=2), True), (timedelta(days=40), False)])
def test_a_camera_clock_ahead_is_now_or_not_known(cast: Cast, engine: Engine, ahead: timedelta, known: bool) -> None:
    said = f"{timezone.localtime() + ahead:%Y:%m:%d %H:%M:%S}"
    send(cast.browser("member"), engine, jpeg(taken=said))
    photo = Photo.objects.get()
    assert photo.taken_at == (photo.made_at if known else None)


def test_the_script_is_answered_by_where_to_go_and_the_refusal_by_a_fragment(cast: Cast, engine: Engine) -> None:
    browser, address = cast.browser("member"), f"/engines/{engine.pk}/photos/"
    added = browser.post(address, sent(jpeg()), headers=HTMX)
    assert (added.status_code, added.headers["HX-Redirect"]) == (204, address)
    refused = browser.post(address, sent(b"%PDF-1.7"), headers=HTMX)
    assert refused.status_code == 422
    assert "PDF" in errors(refused.text)
    assert "<html" not in refused.text


def test_the_take_in_sheet_can_ask_for_one_view(cast: Cast, engine: Engine) -> None:
    page = cast.browser("member").get(f"/engines/{engine.pk}/photos/?as=underneath").text
    assert '<option value="underneath" selected>' in page


def test_the_latest_of_each_standard_view_is_found(cast: Cast, engine: Engine) -> None:
    first, second = (make_photo(engine, cast.member, view="left") for _ in range(2))
    make_photo(engine, cast.member)
    front = make_photo(engine, cast.member, view="front")
    assert Photo.objects.filter(engine=engine).latest_per_view() == {"left": second, "front": front}
    second.strike_out(member=cast.member, reason="blurred")
    assert Photo.objects.filter(engine=engine).latest_per_view() == {"left": first, "front": front}


# ---- a helper's photo


def test_a_helpers_photo_and_marks_wait_until_one_of_the_hands_accepts(cast: Cast, engine: Engine) -> None:
    assert send(cast.browser("stranger"), engine, jpeg()).status_code == 302
    photo = Photo.objects.get()
    mark = make_mark(photo, cast.stranger, accepted=False)
    assert not photo.stands
    assert "waits to be accepted" in cast.browser("member").get(photo.get_absolute_url()).text
    assert cast.browser("stranger").post(f"/photos/{photo.pk}/accept/", once()).status_code == 403
    assert cast.browser("mate").post(f"/photos/{photo.pk}/accept/", once()).status_code == 302
    for row in (photo, mark):
        row.refresh_from_db()
        assert (row.stands, row.accepted_by) == (True, cast.mate)
    assert "Accept what waits" not in cast.browser("mate").get(photo.get_absolute_url()).text


# ---- files


def test_a_file_is_served_as_a_picture_and_nothing_else(cast: Cast, engine: Engine, stored: Path) -> None:
    photo = make_photo(engine, cast.member)
    for name, column in (("large", photo.large), ("thumbnail", photo.thumbnail)):
        answer = cast.browser("stranger").get(f"/photos/{photo.pk}/{name}.webp")
        assert answer.getvalue() == (stored / column).read_bytes()
        assert answer.headers["Content-Type"] == "image/webp"
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Cache-Control"] == "private, no-store"
        assert "sandbox" in answer.headers["Content-Security-Policy"]
        assert int(answer.headers["Content-Length"]) == (stored / column).stat().st_size


def test_a_file_that_is_missing_is_not_found(cast: Cast, engine: Engine, stored: Path) -> None:
    photo = make_photo(engine, cast.member)
    (stored / photo.large).unlink()
    assert cast.browser("member").get(f"/photos/{photo.pk}/large.webp").status_code == 404
    assert cast.browser("member").get(photo.get_absolute_url()).status_code == 200


def test_a_private_photo_does_not_exist_for_others_even_where_another_engine_shows_the_same(
    cast: Cast, engine: Engine
) -> None:
    private = make_engine(owner_member=cast.owner, is_private=True)
    hidden, shown = make_photo(private, cast.owner), make_photo(engine, cast.member)
    assert hidden.large == shown.large
    assert cast.browser("member").get(f"/photos/{hidden.pk}/large.webp").status_code == 404
    assert cast.browser("member").get(f"/photos/{shown.pk}/large.webp").status_code == 200


# ---- what is said of it


def _change(browser: Client, photo: Photo, **data: Any) -> Any:
    said = {"version": str(photo.version), "taken_precision": "minute", "taken_on": photo.taken_on or "", **data}
    return browser.post(f"/photos/{photo.pk}/change/", once(**said))


def test_what_members_type_is_never_markup(cast: Cast, engine: Engine) -> None:
    photo = make_photo(engine, cast.member)
    assert _change(cast.browser("member"), photo, caption='"><script>alert(1)</script>').status_code == 302
    for address in (photo.get_absolute_url(), f"/engines/{engine.pk}/photos/"):
        page = cast.browser("mate").get(address).text
        assert "<script>alert" not in page
        assert "&lt;script&gt;" in page


def test_two_who_change_a_caption_see_both_versions(cast: Cast, engine: Engine) -> None:
    photo = make_photo(engine, cast.member)
    assert _change(cast.browser("member"), photo, caption="left rod").status_code == 302
    late = _change(cast.browser("mate"), photo, caption="right rod")
    assert late.status_code == 409
    assert "left rod" in late.text
    assert said_in_box(late.text, "caption") == "right rod"
    photo.refresh_from_db()
    assert photo.caption == "left rod"


def test_an_old_print_is_dated_about_and_by_whom(cast: Cast, engine: Engine) -> None:
    photo = make_photo(engine, cast.member)
    said = {"taken_on": "1986-06-01", "taken_precision": "about", "taken_by_name": "previous owner"}
    assert _change(cast.browser("member"), photo, **said).status_code == 302
    page = cast.browser("member").get(photo.get_absolute_url()).text
    assert "about 1986, by previous owner" in page


def test_the_cameras_minute_stays_while_the_day_does(cast: Cast, engine: Engine) -> None:
    photo = make_photo(engine, cast.member)
    before = photo.taken_at
    assert before is not None
    assert _change(cast.browser("member"), photo, caption="x").status_code == 302
    photo.refresh_from_db()
    assert photo.taken_at == before
    assert _change(cast.browser("member"), photo, taken_on="2026-02-03").status_code == 302
    photo.refresh_from_db()
    assert (photo.taken_on, photo.taken_precision) == (datetime(2026, 2, 3).date(), "day")
    answer = _change(cast.browser("member"), photo, taken_on="2090-01-01")
    assert "yet to come" in errors(answer.text)


def test_right_assembly_is_shown_for_sister_engines_by_those_who_work_on_it(cast: Cast) -> None:
    design = Design.objects.create(name="Fellside")
    engine = make_engine(design=design, hands=(cast.member,))
    photo, helpers = make_photo(engine, cast.member), make_photo(engine, cast.stranger)
    assert _change(cast.browser("member"), photo, shows_assembly="on").status_code == 302
    assert _change(cast.browser("stranger"), helpers, shows_assembly="on").status_code == 302
    assert list(Photo.objects.showing_assembly(design)) == [photo]
    make_engine_without = make_engine(hands=(cast.member,))
    plain = make_photo(make_engine_without, cast.member)
    assert "shows_assembly" not in cast.browser("member").get(f"/photos/{plain.pk}/change/").text


def test_a_struck_photo_stays_readable_on_its_page_and_shows_nowhere_else(cast: Cast, engine: Engine) -> None:
    photo = make_photo(engine, cast.member, caption="wrong engine", strip_order=1)
    address = f"/photos/{photo.pk}/strike/"
    assert cast.browser("mate").post(address, once(reason="x")).status_code == 403
    unsaid = cast.browser("member").post(address, once(reason=""))
    assert unsaid.status_code == 422
    assert cast.browser("member").post(address, once(reason="Dabchick, not this")).status_code == 302
    page = cast.browser("mate").get(photo.get_absolute_url()).text
    assert "Struck out" in page
    assert "Dabchick, not this" in page
    gallery = cast.browser("mate").get(f"/engines/{engine.pk}/photos/").text
    assert "wrong engine" not in gallery
    assert "wrong engine" in cast.browser("mate").get(f"/engines/{engine.pk}/photos/?show=struck").text
    assert not Photo.objects.stripping().exists()
    twice = cast.browser("mentor").post(address, once(reason="again"))
    assert twice.status_code == 422
    assert "struck out already" in twice.text
    assert cast.browser("member").get(f"/photos/{photo.pk}/change/").status_code == 403


# ---- before and after


def test_a_pair_is_chosen_compared_and_taken_back(cast: Cast, engine: Engine) -> None:
    before, after = make_photo(engine, cast.member, caption="rusted"), make_photo(engine, cast.member, caption="clean")
    browser, address = cast.browser("member"), f"/photos/{after.pk}/before/"
    assert "rusted" in browser.get(address).text
    assert browser.post(address, once(version="1", before=before.pk)).status_code == 302
    page = browser.get(f"/photos/{after.pk}/compare/").text
    assert page.index("Before: rusted") < page.index("After: clean")
    assert f"/photos/{after.pk}/compare/" in browser.get(before.get_absolute_url()).text
    assert browser.post(address, once(version="1", before=before.pk)).status_code == 409
    assert browser.post(address, once(version="2", before="")).status_code == 302
    after.refresh_from_db()
    assert after.before is None


def test_a_pair_that_makes_no_sense_is_refused(cast: Cast, engine: Engine) -> None:
    first, second = make_photo(engine, cast.member), make_photo(engine, cast.member)
    second.before = first
    second.save()
    elsewhere = make_photo(make_engine(hands=(cast.member,)), cast.member)
    for photo, before, words in (
        (first, second.pk, "the later of the two"),
        (first, first.pk, "the later of the two"),
        (first, elsewhere.pk, "no such photo"),
        (first, 2**62, "no such photo"),
    ):
        answer = cast.browser("member").post(f"/photos/{photo.pk}/before/", once(version="1", before=before))
        assert answer.status_code == 422
        assert words in errors(answer.text)


# ---- stripping


def test_the_order_of_stripping_is_that_of_the_camera_and_is_stepped_through_backwards(
    cast: Cast, engine: Engine
) -> None:
    browser = cast.browser("member")
    later, earlier = jpeg(300, 200, taken="2026:05:01 12:30:00"), jpeg(400, 200, taken="2026:05:01 11:30:00")
    send(browser, engine, later, earlier, stripping="on")
    send(browser, engine, jpeg(500, 200, taken="2026:05:01 10:00:00"), stripping="on")
    assert [photo.width for photo in Photo.objects.stripping()] == [400, 300, 500]
    address = f"/engines/{engine.pk}/photos/stripping/"
    widths = []
    for _ in range(3):
        page = browser.get(address).text
        widths += re.findall(r'large.webp" width="(\d+)"', page)
        back = re.search(r'href="([^"]+)">Back: off before this', page)
        address = back[1] if back else ""
    assert (widths, address) == (["500", "300", "400"], "")


@pytest.mark.parametrize("at", ["0", "-1", "x", "²", "99999999999999999999", ""])
def test_a_step_that_is_not_there_is_the_last(cast: Cast, engine: Engine, at: str) -> None:
    make_photo(engine, cast.member, strip_order=1)
    make_photo(engine, cast.member, strip_order=2)
    page = cast.browser("member").get(f"/engines/{engine.pk}/photos/stripping/", {"at": at}).text
    assert "Step <b>2</b> of 2" in page


# ---- many


@pytest.mark.parametrize("page", ["photos/", "photos/?show=stripping", "photos/stripping/"])
def test_pages_ask_the_database_as_often_for_one_photo_as_for_thirty(
    cast: Cast, engine: Engine, page: str, django_assert_num_queries: Any
) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    browser = cast.browser("member")
    make_photo(engine, cast.member, strip_order=1)
    with CaptureQueriesContext(
        connection,
    ) as few:
        browser.get(f"/engines/{engine.pk}/{page}")
    for number in range(29):
        make_photo(engine, cast.mate, strip_order=number + 2, view="left")
    with django_assert_num_queries(len(few)):
        assert browser.get(f"/engines/{engine.pk}/{page}").status_code == 200


def test_the_gallery_is_paged_and_its_pictures_come_lazily(cast: Cast, engine: Engine) -> None:
    for _ in range(25):
        make_photo(engine, cast.member)
    page = cast.browser("member").get(f"/engines/{engine.pk}/photos/").text
    assert page.count('loading="lazy"') == 24
    assert "1 of 2" in page
    assert cast.browser("member").get(f"/engines/{engine.pk}/photos/?page=2").text.count('loading="lazy"') == 1


def test_the_strip_asks_the_database_nothing(cast: Cast, engine: Engine, django_assert_num_queries: Any) -> None:
    from django.template.loader import render_to_string

    photos = [make_photo(engine, cast.member, caption="rod") for _ in range(3)]
    photos = list(Photo.objects.filter(pk__in=[photo.pk for photo in photos]))
    with django_assert_num_queries(0):
        assert render_to_string("photos/_strip.html", {"photos": photos}).count('alt="rod"') == 3
