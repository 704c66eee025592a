"""The page of a forecast and that of the working sessions: who sees what, what is refused, what is kept."""

from datetime import date, timedelta
from typing import Any

from django.utils import timezone

from restorations.traffic.forecast_fan import LEFT, RIGHT, fan_of
from restorations.traffic.models import ClosedSpell, Forecast, WorkingPattern, WorkingSession
from tests.cast import Cast
from tests.tasks.work_builders import make_card, once
from tests.traffic.forecast_builders import in_works, make_pattern, make_stop

SESSIONS = "/working-sessions/"
TUESDAY = {"hours_1": "2.5", "hands_1": "2", "begins_1": "19:30"}


def work_out(cast: Cast, engine: Any, who: str = "member") -> Any:
    return cast.browser(who).post(f"/engines/{engine.pk}/forecast/work-out/", once())


def page_of(cast: Cast, engine: Any, who: str = "member") -> str:
    return str(cast.browser(who).get(f"/engines/{engine.pk}/forecast/").text)


def test_the_page_names_the_days_what_holds_it_up_and_what_changed_since(cast: Cast) -> None:
    make_pattern(cast.secretary)
    engine = in_works(cast.member, hands=(cast.member,))
    make_card(engine, cast.member, title="Fit the rings")
    assert "No forecast has been made" in page_of(cast, engine)
    assert work_out(cast, engine).status_code == 302
    made, page = Forecast.objects.get(), page_of(cast, engine)
    assert made.even_chance_on is not None
    assert made.likely_on is not None
    for day in (made.even_chance_on, made.likely_on):
        assert f"{day:%A} {day.day} {day:%B %Y}" in page
    assert "h left · in every run" in page
    assert "Fan of return days on a calendar: even chance" in page
    assert "as the club usually has them on one engine (Tuesdays 2 h with 1, Saturdays 2 h with 1)" in page
    assert "something changed since" not in page
    make_card(engine, cast.member, title="Cover on")
    assert "something changed since" in page_of(cast, engine)


def test_what_somebody_expects_stands_beside_the_forecast_and_moves_nothing(cast: Cast) -> None:
    make_pattern(cast.secretary)
    engine = in_works(cast.member, hands=(cast.member,))
    make_card(engine, cast.member)
    work_out(cast, engine)
    said = timezone.localdate() + timedelta(days=200)
    make_stop(engine, cast.member, expected_on=said, expected_by="Old Harold", expected_said_at=timezone.now())
    work_out(cast, engine)
    one, other = Forecast.objects.all()
    assert one.samples == other.samples
    assert f"Old Harold expects it on {said.day} {said:%b %Y}" in page_of(cast, engine)


def test_the_secretary_sees_the_days_of_a_private_engine_and_nothing_of_its_work(cast: Cast) -> None:
    make_pattern(cast.secretary)
    engine = in_works(cast.owner, is_private=True, owner_member=cast.owner, hands=(cast.member,))
    make_card(engine, cast.owner, title="A secret bush")
    assert work_out(cast, engine, "secretary").status_code == 302
    seen, told = page_of(cast, engine, "owner"), page_of(cast, engine, "secretary")
    assert "A secret bush" in seen
    assert "A secret bush" not in told
    assert "An even chance by" in told
    assert "What holds it up is seen by its owner" in told


def test_sessions_are_set_by_the_secretary_and_shown_to_everybody(cast: Cast) -> None:
    assert "the secretary sets them" in cast.browser("stranger").get(SESSIONS).text
    response = cast.browser("secretary").post(SESSIONS, once(version=1, inspector_days="21", **TUESDAY))
    assert response.status_code == 302
    session = WorkingSession.objects.get()
    assert (session.weekday, session.hours, session.hands, session.begins_at.hour) == (1, 2.5, 2, 19)
    page = cast.browser("stranger").get(SESSIONS).text
    assert "Tuesday" in page
    assert "usually takes 21 days" in page
    both = {**TUESDAY, "hours_5": "4", "hands_5": "3"}
    assert cast.browser("secretary").post(SESSIONS, once(version=2, **both)).status_code == 302
    late = cast.browser("administrator").post(SESSIONS, once(version=2, **TUESDAY))
    assert late.status_code == 409
    assert "Tuesdays, 2.5 h, 2 hands; Saturdays, 4 h, 3 hands" in late.text
    assert WorkingPattern.current().sessions.count() == 2


def test_a_pattern_without_sessions_and_half_a_session_are_refused_in_words(cast: Cast) -> None:
    browser = cast.browser("secretary")
    for said, words in (
        ({}, "without a session no work can be forecast"),
        ({"hours_1": "2"}, "Say the hands too"),
        ({"hands_1": "2"}, "Say the hours too"),
        ({"begins_1": "19:30"}, "Say how many hours"),
        ({"hours_1": "2,5", "hands_1": "1"}, "a plain number with a point"),
        ({"hours_1": "nan", "hands_1": "1"}, "a plain number with a point"),
        ({"hours_1": "17", "hands_1": "1"}, "up to 16 hours"),
        ({"hours_1": "2", "hands_1": "0"}, "Between 1 and 50 hands"),
    ):
        response = browser.post(SESSIONS, once(version=1, **said))
        assert response.status_code == 422
        assert words in response.text
        assert all(f'value="{value}"' in response.text for value in said.values())
    assert not WorkingSession.objects.exists()


def test_days_shut_are_written_down_and_struck_out_with_a_reason(cast: Cast) -> None:
    browser, today = cast.browser("secretary"), timezone.localdate()

    def shut(first: date, last: date) -> Any:
        return browser.post(f"{SESSIONS}shut/", once(first_on=str(first), last_on=str(last), why="Christmas"))

    ahead = today + timedelta(days=10)
    assert "The last day is before the first" in shut(ahead, ahead - timedelta(days=1)).text
    assert "These days are past" in shut(today - timedelta(days=9), today - timedelta(days=1)).text
    assert "Look at the year again" in shut(today, today.replace(year=today.year + 90, day=1)).text
    assert shut(ahead, ahead).status_code == 302
    spell = ClosedSpell.objects.get()
    strike = f"{SESSIONS}shut/{spell.pk}/strike/"
    assert browser.post(strike, once()).status_code == 422
    assert browser.post(strike, once(reason="we meet after all")).status_code == 302
    assert "we meet after all" in browser.get(SESSIONS).text


def test_the_fan_lies_on_its_strip_and_is_not_drawn_for_too_few_days() -> None:
    start = date(2026, 11, 20)
    days = [start + timedelta(days=n) for n in range(100)]
    fan = fan_of(start, days, [("even chance", days[50]), ("8 in 10 by", days[80])])
    assert fan is not None
    places = [*fan.rays, *fan.weeks, *(tick.x for tick in fan.ticks), *(mark.x for mark in fan.marks)]
    assert all(LEFT <= x <= RIGHT for x in places)
    assert list(fan.rays) == sorted(fan.rays)
    assert [tick.name for tick in fan.ticks] == ["Dec", "Jan 2027", "Feb"]
    assert fan_of(start, [days[1], None, None], []) is None
    assert fan_of(start, [start] * 200, [("even chance", start)]) is not None
