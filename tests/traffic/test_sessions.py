"""Test sessions: asked for, booked, held or missed; told to the papers and to the forecast."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from restorations.members.models import Message
from restorations.traffic.models import BoilerTestSession
from restorations.traffic.services import sessions
from restorations.traffic.services.sessions import Booking, Outcome
from tests.cast import Cast
from tests.factories import NOON, TODAY, make_engine, make_guest
from tests.traffic.forecast_builders import forecast, gaps, make_pattern, ranked_sheet, with_boiler
from tests.traffic.running_builders import in_days, make_session, mark, now


def _engine(cast: Cast, **changes: Any) -> Any:
    return make_engine(made_by=cast.owner, owner_member=cast.owner, hands=(cast.member,), **changes)


def _book(row: BoilerTestSession, cast: Cast, **changes: Any) -> BoilerTestSession:
    booking = Booking(**{"on": in_days(8), "inspector": cast.inspector, **changes})
    return sessions.book(row=row, version=row.version, booking=booking, doing=now(cast.secretary), mark=uuid4())


def test_hands_ask_the_secretary_books_and_those_it_concerns_are_told(cast: Cast) -> None:
    engine = _engine(cast)
    sent = mark(engine=engine.pk, test="both_tests", words="the dome gasket is new")
    for _ in range(2):
        assert cast.browser("member").post("/sessions/", sent).status_code == 302
    row = BoilerTestSession.objects.get()
    booking = mark(on=in_days(8), inspector=cast.inspector.pk, witness="A. Friend", version=row.version)
    assert cast.browser("secretary").post(f"/sessions/{row.pk}/book/", booking).status_code == 302
    told = set(Message.objects.filter(subject__contains="booked for").values_list("to__sign_in_name", flat=True))
    assert told == {"inspector", "owner", "member"}
    assert "A. Friend" in cast.browser("stranger").get(f"/sessions/{row.pk}/").text


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"inspector": None}, "needs an inspector"),
        ({"on": in_days(-1)}, "has gone by"),
        ({"on": in_days(1000)}, "24 months ahead"),
        ({"inspector_name": "A. Outsider"}, "not both"),
    ],
)
def test_a_booking_that_cannot_be_says_why(cast: Cast, changes: Any, words: str) -> None:
    with pytest.raises(ValidationError, match=words):
        _book(make_session(_engine(cast), cast.owner), cast, **changes)


def test_two_who_book_at_once_are_shown_both(cast: Cast) -> None:
    row = make_session(_engine(cast), cast.owner, days=5)
    _book(row, cast, on=in_days(8))
    late = mark(on=in_days(9), inspector_name="B. Another", version=1)
    answer = cast.browser("inspector").post(f"/sessions/{row.pk}/book/", late)
    assert (answer.status_code, BoilerTestSession.objects.get().on) == (409, in_days(8))
    assert "B. Another" in answer.text


def test_nobody_tests_their_own_boiler_nor_a_private_one_uninvited(cast: Cast) -> None:
    own = make_session(make_engine(made_by=cast.owner, hands=(cast.inspector,)), cast.owner)
    with pytest.raises(ValidationError, match="own or work on"):
        _book(own, cast)
    private = _engine(cast, is_private=True)
    row = make_session(private, cast.owner)
    with pytest.raises(ValidationError, match="is private"):
        _book(row, cast)
    make_guest(private, cast.inspector)
    assert _book(row, cast).on == in_days(8)


def test_the_same_test_is_asked_for_once_at_a_time_and_not_of_what_was_sold(cast: Cast) -> None:
    engine = _engine(cast)
    make_session(engine, cast.owner)
    with pytest.raises(ValidationError, match="asked for already"):
        sessions.ask_for_test(engine=engine, test="steam_test", words="", doing=now(cast.owner), mark=uuid4())
    sold = _engine(cast, gone_on=in_days(0), gone_words="sold to a museum")
    with pytest.raises(ValidationError, match="sold to a museum"):
        sessions.ask_for_test(engine=sold, test="steam_test", words="", doing=now(cast.owner), mark=uuid4())


def test_who_is_not_ticked_missed_it_and_without_the_inspector_it_was_not_held(cast: Cast) -> None:
    row = _book(make_session(_engine(cast), cast.owner), cast, on=in_days(0))
    with pytest.raises(ValidationError, match="Without the inspector"):
        sessions.record_outcome(
            row=row, outcome=Outcome("held", came=[cast.member]), doing=now(cast.secretary), mark=uuid4()
        )
    sessions.record_outcome(
        row=row, outcome=Outcome("missed", "snow", [cast.member]), doing=now(cast.secretary), mark=uuid4()
    )
    row.refresh_from_db()
    assert (row.outcome, set(row.came.all()), set(row.missed.all())) == (
        "missed", {cast.member}, {cast.inspector, cast.owner},
    )  # fmt: skip
    make_session(row.engine, cast.owner)


def test_before_its_day_it_can_only_be_called_off(cast: Cast) -> None:
    row = _book(make_session(_engine(cast), cast.owner), cast)
    with pytest.raises(ValidationError, match="yet to come"):
        sessions.record_outcome(row=row, outcome=Outcome("missed"), doing=now(cast.secretary), mark=uuid4())
    sessions.record_outcome(row=row, outcome=Outcome("called_off"), doing=now(cast.secretary), mark=uuid4())
    assert BoilerTestSession.objects.get().outcome == "called_off"


def _booked_in(engine: Any, cast: Cast, days: int) -> None:
    BoilerTestSession.objects.create(
        engine=engine, test="both_tests", asked_by=cast.owner, asked_at=NOON, on=TODAY + timedelta(days=days),
        inspector=cast.inspector,
    )  # fmt: skip


def test_a_booked_day_stands_in_the_forecast_in_the_place_of_the_usual_wait(cast: Cast) -> None:
    make_pattern(cast.secretary)
    engine = with_boiler(cast.owner)
    ranked_sheet(engine, cast.owner, hours=2)
    assert "nobody has said how long that takes" in gaps(forecast(engine, cast.owner))
    _booked_in(engine, cast, 40)
    made = forecast(engine, cast.owner)
    assert (made.missing, made.even_chance_on) == ([], TODAY + timedelta(days=40))


def test_a_booked_day_that_the_work_cannot_keep_is_not_counted_on(cast: Cast) -> None:
    make_pattern(cast.secretary)
    engine = with_boiler(cast.owner)
    ranked_sheet(engine, cast.owner, hours=40)
    _booked_in(engine, cast, 5)
    assert forecast(engine, cast.owner).even_chance_on is None
    make_pattern(cast.secretary, inspector_days=21)
    made = forecast(engine, cast.owner)
    assert made.even_chance_on is not None


def test_a_number_that_no_database_holds_is_no_member(cast: Cast) -> None:
    row = make_session(_engine(cast), cast.owner, days=5)
    sent = mark(outcome="called_off", came="9" * 400)
    assert cast.browser("secretary").post(f"/sessions/{row.pk}/outcome/", sent).status_code == 422
