"""The day book: an entry in a sentence and a tap, helpers' entries that wait, lists by engine, person and club."""

from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from restorations.members.models import Act
from restorations.photos.models import Photo
from restorations.tasks.measuring import in_hours, read_minutes
from restorations.tasks.models import DayBookEntry, Reading
from restorations.tasks.queries import due
from restorations.web.units import NotAQuantity
from tests.cast import Cast
from tests.factories import make_engine
from tests.photos.pictures import jpeg
from tests.tasks.work_builders import error_beside, make_card, make_entry, once


def _log(cast: Cast, engine: Any, who: str = "member", **data: Any) -> Any:
    return cast.browser(who).post(f"/engines/{engine.pk}/log/", once(**{"text": "Oiled round", **data}))


def test_what_was_done_is_enough_for_an_entry(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    assert _log(cast, engine).status_code == 302
    entry = DayBookEntry.objects.get()
    assert (entry.text, entry.done_by, entry.minutes, entry.people) == ("Oiled round", cast.member, None, 1)
    assert entry.stands
    assert abs(timezone.now() - entry.happened_at) < timedelta(minutes=5)


def test_an_entry_takes_minutes_helpers_card_readings_and_photos(cast: Cast, settings: Any, tmp_path: Any) -> None:
    settings.MEDIA_ROOT = tmp_path
    engine = make_engine(hands=(cast.member, cast.mate))
    card = make_card(engine, cast.member, system="cylinders", side="left")
    response = _log(
        cast,
        engine,
        minutes="1 h 30",
        helped=[cast.mate.pk],
        others="Old Harold, barnaby crosthwick, Barnaby Crosthwick",
        card=card.pk,
        readings="cylinder bore, left = 28.6 mm; 28.7 mm\n\nPull at the tyre to turn it = 4.5 lbf",
        photos=[SimpleUploadedFile("a.jpg", jpeg(), "image/jpeg")],
    )
    assert response.status_code == 302
    entry = DayBookEntry.objects.get()
    assert (entry.minutes, entry.card, entry.system, entry.side) == (90, card, "cylinders", "left")
    assert {*entry.helpers.all()} == {cast.mate, cast.stranger}
    assert entry.helper_names.startswith("Old Harold")
    assert [reading.typed for reading in entry.readings.order_by("pk")] == ["28.6 mm; 28.7 mm", "4.5 lbf"]
    assert [*entry.photos.all()] == [*Photo.objects.all()]
    assert Photo.objects.count() == 1


def test_the_same_form_twice_is_one_entry_with_its_readings_once(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    said = once(text="Measured", readings="cylinder bore = 28.6 mm")
    for _ in range(2):
        assert cast.browser("member").post(f"/engines/{engine.pk}/log/", said).status_code == 302
    assert (DayBookEntry.objects.count(), Reading.objects.count()) == (1, 1)


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("text", "", "what was done"),
        ("minutes", "-3", "Type the time in minutes"),
        ("minutes", "400 h", "more than a day"),
        ("minutes", "0", "at least one minute"),
        ("readings", "cylinder bore = 90 psi", "“psi” is a unit of pressure; a length is wanted"),
        ("readings", "cylinder bore = 1 1/ in", "not a number with a unit"),
        ("readings", "cylinder bore = 1/0 in", "nothing under the line"),
        ("readings", "cylinder bore 28.6 mm", "what = value"),
        ("on", "2090-01-01", "yet to come"),
        ("card", "999999", "Select a valid choice"),
    ],
)
def test_what_cannot_be_is_refused_in_words_and_nothing_typed_is_lost(
    cast: Cast, name: str, typed: str, words: str
) -> None:
    engine = make_engine(hands=(cast.member,))
    response = _log(cast, engine, **{"text": "Took the cover off", "minutes": "40", name: typed})
    assert response.status_code == 422
    assert words in error_beside(response.text, name).replace("&quot;", '"')
    assert name == "text" or "Took the cover off" in response.text
    assert not DayBookEntry.objects.exists()


def test_a_card_of_another_engine_is_not_taken(cast: Cast) -> None:
    engine, other = make_engine(hands=(cast.member,)), make_engine(name="Rail", hands=(cast.member,))
    card = make_card(other, cast.member)
    assert _log(cast, engine, card=card.pk).status_code == 422


def test_a_helpers_entry_stands_when_one_of_the_hands_accepts_it(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    _log(cast, engine, "stranger", readings="cylinder bore = 28.6 mm")
    entry = DayBookEntry.objects.get()
    assert not entry.stands
    assert due(cast.member, on=timezone.localdate()).to_accept == [entry]
    assert "waits for one of the hands" in cast.browser("stranger").get(f"/engines/{engine.pk}/day-book/").text
    for _ in range(2):
        cast.browser("member").post(f"/entries/{entry.pk}/accept/", once())
    entry.refresh_from_db()
    assert entry.stands
    assert entry.readings.get().stands
    assert Act.objects.about(entry).filter(verb="accepted an entry").count() == 1


def test_an_entry_about_a_day_by_somebody_who_is_no_member(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    _log(cast, engine, on="1998-05-01", about="on", by_name="Old Harold")
    entry = DayBookEntry.objects.get()
    assert (entry.doer, entry.happened_precision, entry.done_by) == ("Old Harold", "about", None)
    assert entry.recorded_by == cast.member
    page = cast.browser("member").get(f"/engines/{engine.pk}/day-book/").text
    assert "about 1 May 1998" in page
    assert '<abbr title="Old Harold">OH</abbr>' in page


def test_an_entry_is_struck_out_with_what_was_measured_and_stays_readable(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    _log(cast, engine, readings="cylinder bore = 28.6 mm")
    entry = DayBookEntry.objects.get()
    address = f"/entries/{entry.pk}/strike/"
    assert cast.browser("member").post(address, once(reason="")).status_code == 422
    assert cast.browser("member").post(address, once(reason="wrong engine")).status_code == 302
    again = cast.browser("member").post(address, once(reason="again"))
    assert again.status_code == 422
    assert "struck out already" in again.text
    assert entry.readings.get().is_struck
    page = cast.browser("mate").get(f"/engines/{engine.pk}/day-book/").text
    assert "<s>Oiled round</s>" in page
    assert "wrong engine" in page


def test_the_log_opens_on_the_engine_written_of_last(cast: Cast) -> None:
    engine, other = make_engine(hands=(cast.member,)), make_engine(name="Rail", hands=(cast.member,))
    browser = cast.browser("member")
    assert browser.get("/log/").status_code == 200
    make_entry(other, cast.member)
    assert browser.get("/log/").url == f"/engines/{other.pk}/log/"
    make_entry(engine, cast.member)
    DayBookEntry.objects.filter(engine=engine).update(recorded_at=timezone.now())
    assert browser.get("/log/").url == f"/engines/{engine.pk}/log/"


def test_an_engine_no_longer_seen_is_not_remembered(cast: Cast) -> None:
    engine = make_engine(is_private=True, owner_member=cast.owner)
    make_entry(engine, cast.stranger)
    assert cast.browser("stranger").get("/log/").status_code == 200


def test_the_club_and_the_person_read_only_what_they_may(cast: Cast) -> None:
    make_entry(make_engine(is_private=True, owner_member=cast.owner), cast.owner, text="Secret gland work")
    make_entry(make_engine(), cast.owner, text="Open gland work")
    for address in ("/day-book/", f"/people/{cast.owner.pk}/day-book/"):
        page = cast.browser("stranger").get(address).text
        assert "Open gland work" in page
        assert "Secret gland work" not in page


def test_a_persons_day_book_has_what_they_helped_with(cast: Cast) -> None:
    make_entry(make_engine(), cast.member, text="Lifted it together", helpers=(cast.mate,))
    assert "Lifted it together" in cast.browser("member").get(f"/people/{cast.mate.pk}/day-book/").text
    assert "Lifted it together" not in cast.browser("member").get(f"/people/{cast.owner.pk}/day-book/").text


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ("?system=cylinders", {"Gland packed"}),
        ("?side=right", {"Wheel painted"}),
        ("?q=gland", {"Gland packed"}),
        ("?q=gl%00and", {"Gland packed", "Wheel painted"}),
        ("?system=nonsense&person=x", {"Gland packed", "Wheel painted"}),
        ("?q=nothing", set()),
    ],
)
def test_the_day_book_is_filtered(cast: Cast, asked: str, found: set[str]) -> None:
    engine = make_engine()
    make_entry(engine, cast.member, text="Gland packed", system="cylinders", side="left")
    make_entry(engine, cast.member, text="Wheel painted", system="frame", side="right")
    page = cast.browser("member").get(f"/day-book/{asked}").text
    assert {text for text in ("Gland packed", "Wheel painted") if text in page} == found


def test_htmx_gets_the_page_of_the_book_alone(cast: Cast) -> None:
    make_entry(make_engine(), cast.member)
    page = cast.browser("member").get("/day-book/?q=oil", headers={"hx-request": "true"}).text
    assert "<html" not in page
    assert 'id="day-book-page"' in page


def test_words_of_members_are_never_markup(cast: Cast) -> None:
    engine = make_engine(hands=(cast.member,))
    _log(cast, engine, text="<b>bold</b>\nand on", others="<i>Harold</i>")
    page = cast.browser("member").get(f"/engines/{engine.pk}/day-book/").text
    assert "&lt;b&gt;bold" in page
    assert "<i>Harold" not in page


@pytest.mark.parametrize("where", ["/engines/{}/day-book/", "/day-book/"])
def test_a_page_of_the_book_asks_the_same_for_one_entry_and_for_thirty(cast: Cast, where: str) -> None:
    engine = make_engine(hands=(cast.member,))
    browser = cast.browser("member")

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            browser.get(where.format(engine.pk))
        return len(queries)

    _log(cast, engine, helped=[], others="Barnaby Crosthwick", readings="cylinder bore = 28.6 mm")
    one = asked()
    for number in range(30):
        _log(cast, engine, text=f"Entry {number}", others="Barnaby Crosthwick", readings="cylinder bore = 28.6 mm")
    assert asked() == one


@pytest.mark.parametrize(
    ("typed", "minutes"),
    [("40", 40), ("40 min", 40), ("1 h 30", 90), ("1.5 h", 90), ("2h", 120), ("1 hour 5 min", 65), ("1440", 1440)],
)
def test_time_is_read_as_it_is_said(typed: str, minutes: int) -> None:
    assert read_minutes(typed) == minutes


@pytest.mark.parametrize("typed", ["", "half an hour", "1:30", "1,5 h", "1441", "24 h 1", "-1", "1e3"])
def test_time_that_cannot_be_read_is_refused(typed: str) -> None:
    with pytest.raises(NotAQuantity):
        read_minutes(typed)


def test_time_is_said_in_hours_and_minutes() -> None:
    assert [in_hours(minutes) for minutes in (None, 5, 60, 95)] == ["", "5\u00a0min", "1\u00a0h", "1\u00a0h\u00a035"]
