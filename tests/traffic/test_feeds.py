"""Calendars at private addresses: valid by a second library, for their owner's eyes only, revocable.

Numbers and rules from RFC 5545, RECALLED: 3.1 (lines of at most 75 octets), 3.3.11 (escaping of text), 3.6.1 (the end
of an event is not part of it), 3.8.1.11 (cancelled), 3.8.7.4 (sequence).
"""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from ical.calendar import Calendar
from ical.calendar_stream import IcsCalendarStream
from ical.event import EventStatus

from restorations.members.models.invitations import hashed
from restorations.traffic.calendars import Entry, written
from restorations.traffic.models import ClosedSpell, FeedAddress, WorkingSession
from tests.cast import Cast
from tests.factories import NOON, SECRET, make_engine
from tests.traffic.forecast_builders import TUESDAY, make_pattern
from tests.traffic.running_builders import in_days, make_day, make_paper, make_session, mark, today

ADDRESS = f"/feeds/{SECRET}/"


def _feed(cast: Cast, who: str = "member", feed: str = "everything", **changes: Any) -> FeedAddress:
    return FeedAddress.objects.create(member=cast[who], feed=feed, secret_hash=hashed(SECRET), **changes)


def _read(address: str = ADDRESS) -> Calendar:
    answer = Client().get(address)
    assert answer.status_code == 200
    return IcsCalendarStream.calendar_from_ics(answer.text)


def _titles() -> set[str]:
    return {str(event.summary) for event in _read().events}


def test_papers_days_sessions_and_tests_are_read_without_signing_in(cast: Cast) -> None:
    engine = make_engine()
    make_paper(engine, days=20)
    make_session(engine, cast.secretary, days=8)
    make_day(cast.secretary, begins_at=time(10), ends_at=time(15))
    make_pattern(cast.secretary)
    _feed(cast)
    answer = Client().get(ADDRESS)
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert answer["Cache-Control"] == "private, no-cache"
    assert "sessionid" not in answer.cookies
    assert _titles() == {
        "Wren: insurance, last day", "Running day", "Steam test of the boiler, Wren", "Working session",
    }  # fmt: skip


def test_a_whole_day_ends_before_the_next_one_at_the_end_of_february_too(db: None) -> None:
    leap, month_end = date(2028, 2, 29), date(2027, 1, 31)
    entries = [Entry(str(day), "x", day, day, NOON, "/papers/") for day in (leap, month_end)]
    body = written(entries, name="Club", host="club.example", absolute=lambda path: f"http://club.example{path}")
    assert b"DTSTART;VALUE=DATE:20280229\r\nDTEND;VALUE=DATE:20280301" in body
    assert b"DTSTART;VALUE=DATE:20270131\r\nDTEND;VALUE=DATE:20270201" in body


def test_lines_are_folded_and_text_is_escaped_and_comes_back_as_it_was(db: None) -> None:
    title, words = "Wren, “Robin”; a \\ and " + "é" * 90, "first\r\nsecond\x0b\x00, third"
    moment = datetime(2026, 7, 1, 9, 30, tzinfo=UTC)
    entry = Entry("one", title, moment, moment + timedelta(hours=2), NOON, "/", words=words)
    body = written([entry], name="Club", host="club.example", absolute=lambda path: f"http://club.example{path}")
    assert max(len(line) for line in body.split(b"\r\n")) <= 75
    (event,) = IcsCalendarStream.calendar_from_ics(body.decode()).events
    assert (event.summary, event.uid, event.dtstart) == (title, "one@club.example", moment)
    assert str(event.description) == "first\nsecond  , third"


def test_a_day_in_summer_is_at_the_clubs_time_and_a_day_called_off_is_cancelled(cast: Cast) -> None:
    make_day(cast.secretary, on=date(today().year + 1, 7, 1), begins_at=time(10), ends_at=time(15))
    off = {"cancelled_at": NOON, "cancelled_by": cast.secretary, "cancelled_reason": "ice", "version": 3}
    make_day(cast.secretary, days=9, **off)
    _feed(cast, feed="running_days")
    cancelled, summer = sorted(_read().events, key=lambda event: event.start.isoformat())
    assert summer.dtstart == datetime(today().year + 1, 7, 1, 9, tzinfo=UTC)
    assert (cancelled.status, cancelled.sequence) == (EventStatus.CANCELLED, 2)


def test_working_sessions_leave_out_the_days_the_shop_is_shut(cast: Cast) -> None:
    make_pattern(cast.secretary)
    WorkingSession.objects.exclude(weekday=TUESDAY).delete()
    ClosedSpell.objects.create(first_on=today(), last_on=in_days(20), why="show", recorded_by=cast.secretary)
    _feed(cast, feed="working_sessions")
    days = [event.dtstart for event in _read().events]
    assert {day.weekday() for day in days} == {TUESDAY}
    assert min(days) > in_days(20)
    assert 21 <= len(days) <= 24


def test_it_shows_what_its_owner_may_see_and_no_more(cast: Cast) -> None:
    dunlin = make_engine(name="Dunlin", is_private=True, made_by=cast.owner, owner_member=cast.owner)
    make_paper(dunlin)
    make_session(dunlin, cast.owner, days=8)
    _feed(cast, "stranger")
    assert _titles() == set()
    FeedAddress.objects.update(member=cast.secretary)
    assert len(_titles()) == 2


def test_what_has_not_changed_is_not_sent_again(cast: Cast) -> None:
    make_paper(make_engine())
    _feed(cast)
    tag = Client().get(ADDRESS)["ETag"]
    assert Client().get(ADDRESS, headers={"If-None-Match": tag}).status_code == 304
    make_day(cast.secretary)
    assert Client().get(ADDRESS, headers={"If-None-Match": tag}).status_code == 200


def test_an_address_is_shown_once_and_a_new_one_ends_the_old(cast: Cast) -> None:
    browser, sent = cast.browser("member"), mark(feed="papers")
    first = browser.post("/me/feeds/", sent).context["address"]
    assert len(first.rstrip("/").rpartition("/")[2]) == 43
    assert browser.post("/me/feeds/", sent).context["address"] == ""
    assert Client().get(first).status_code == 200
    browser.post("/me/feeds/", mark(feed="papers"))
    assert Client().get(first).status_code == 404
    assert first not in browser.get("/me/feeds/").text


def test_guessed_revoked_and_left_are_all_as_if_there_were_nothing(cast: Cast) -> None:
    row = _feed(cast)
    assert Client().get("/feeds/guessed/").status_code == 404
    cast.browser("mate").post(f"/me/feeds/{row.pk}/revoke/")
    assert Client().get(ADDRESS).status_code == 200
    cast.member.left_on = today()
    cast.member.save()
    assert Client().get(ADDRESS).status_code == 404
    cast.member.left_on = None
    cast.member.save()
    cast.browser("member").post(f"/me/feeds/{row.pk}/revoke/")
    assert Client().get(ADDRESS).status_code == 404


def test_a_wrong_address_leaves_no_secret_in_the_log(db: None, capfd: pytest.CaptureFixture[str]) -> None:
    Client().get("/feeds/very-secret-indeed/")
    assert "very-secret" not in capfd.readouterr().err


def test_as_many_queries_for_one_engine_as_for_ten(cast: Cast) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            Client().get(ADDRESS)
        return len(queries)

    _feed(cast)
    make_pattern(cast.secretary)

    def more(number: int) -> None:
        engine = make_engine(name=f"Engine {number}")
        make_paper(engine)
        make_session(engine, cast.secretary, days=8)
        make_day(cast.secretary, days=30 + number)

    more(0)
    few = asked()
    for number in range(1, 10):
        more(number)
    assert asked() == few
