"""Forecasts as they are made: what they rest on, what they will not say, when they are made again, how they did.

20 November 2026 is a Friday; sessions are on Tuesdays and Saturdays, two hours each.
"""

from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext

from restorations.members.doing import Doing
from restorations.members.models import Act
from restorations.traffic.forecast_scores import forecast_score
from restorations.traffic.forecasts import latest_forecasts
from restorations.traffic.models import Forecast
from restorations.traffic.services.forecasts import make_forecasts
from restorations.traffic.services.working import close_shop
from tests.cast import Cast
from tests.factories import NOON, TODAY, make_engine
from tests.faults.builders import ONE_CYLINDER, make_soak
from tests.tasks.work_builders import make_card, make_entry, make_wanted
from tests.traffic.forecast_builders import (
    forecast,
    gaps,
    in_works,
    make_papers,
    make_pattern,
    make_stop,
    ranked_sheet,
    with_boiler,
)


def sure(hours: float) -> dict[str, float]:
    return {"low_hours": hours, "likely_hours": hours, "high_hours": hours}


def days(made: Forecast) -> tuple[date | None, date | None]:
    return made.even_chance_on, made.likely_on


def test_cards_are_done_in_the_sessions_there_are(cast: Cast) -> None:
    make_pattern(cast.secretary)
    engine = in_works(cast.member)
    first = make_card(engine, cast.member, title="Bush", **sure(3))
    make_card(engine, cast.member, title="Fit it", after=(first,), **sure(3))
    make_card(engine, cast.member, title="Paint it", may_wait=True, **sure(50))
    made = forecast(engine, cast.member)
    assert days(made) == (date(2026, 11, 28), date(2026, 11, 28))  # Sat 21, Tue 24, Sat 28
    assert [(line["words"], line["share"]) for line in made.drivers if line["kind"] == "card"] == [
        ("Bush", 1.0), ("Fit it", 1.0),
    ]  # fmt: skip
    assert (made.missing, made.made_by, len(made.samples)) == ([], cast.member, 200)
    assert made.inputs["cards"][1]["after"] == [first.pk]
    assert Act.objects.about(made).get().after["even chance"] == "2026-11-28"


def test_the_same_form_twice_is_one_forecast_and_the_same_rows_give_the_same_days(cast: Cast) -> None:
    make_pattern(cast.secretary)
    engine = in_works(cast.member)
    make_card(engine, cast.member)
    mark = uuid4()
    one, again = (forecast(engine, cast.member, mark=mark) for _ in range(2))
    assert one == again
    assert forecast(engine, cast.member).samples == one.samples
    assert Forecast.objects.count() == 2


def test_hours_put_in_days_shut_parts_and_soaks_are_counted(cast: Cast) -> None:
    make_pattern(cast.secretary)
    engine = in_works(cast.member)
    card = make_card(engine, cast.member, **sure(3))
    make_entry(engine, cast.member, minutes=60, card=card)
    assert days(forecast(engine, cast.member))[0] == date(2026, 11, 21)
    doing = Doing(cast.secretary, NOON)
    close_shop(first_on=date(2026, 11, 20), last_on=date(2026, 11, 24), why="the show", doing=doing, mark=uuid4())
    assert days(forecast(engine, cast.member))[0] == date(2026, 11, 28)
    make_soak(engine, cast.member, due_at=NOON + timedelta(days=30))
    assert days(forecast(engine, cast.member))[0] == date(2026, 12, 20)
    make_wanted(engine, cast.member, card=card, state="promised", promised_by=date(2027, 1, 4))
    made = forecast(engine, cast.member)
    assert made.even_chance_on is not None
    assert made.even_chance_on > date(2027, 1, 4)
    assert made.drivers[0]["share"] == 1.0
    assert {line["kind"] for line in made.drivers[:2]} == {"card", "part"}


def _nothing_open(engine: Any, cast: Cast) -> None:
    """Nobody wrote a card."""


def _overrun(engine: Any, cast: Cast) -> None:
    make_entry(engine, cast.member, minutes=240, card=make_card(engine, cast.member, title="Bush", **sure(3)))


def _waits_for_ever(engine: Any, cast: Cast) -> None:
    make_card(engine, cast.member, title="Bush", state="waits", waits_for="gunmetal", **sure(3))


def _never_promised(engine: Any, cast: Cast) -> None:
    make_wanted(engine, cast.member, card=make_card(engine, cast.member, **sure(3)), state="ordered")


def _never_came(engine: Any, cast: Cast) -> None:
    card = make_card(engine, cast.member, **sure(3))
    make_wanted(engine, cast.member, card=card, state="promised", promised_by=TODAY - timedelta(days=60))


def _not_ranked(engine: Any, cast: Cast) -> None:
    ranked_sheet(engine, cast.member, hours=None)


def _mostly_handed_over(engine: Any, cast: Cast) -> None:
    ranked_sheet(engine, cast.member, hours=2, handed_over=0.6)


@pytest.mark.parametrize(
    ("make", "words", "not_before"),
    [
        (_nothing_open, "nobody has said what is left to do", None),
        (_overrun, "“Bush” has taken 4 h, its worst guess was 3", TODAY),
        (_waits_for_ever, "Bush: gunmetal: nobody has said until when", date(2026, 11, 24)),
        (_never_promised, "Piston rings: no day is promised", date(2026, 11, 24)),
        (_never_came, "Piston rings: should have come by 21 Sep 2026, long past", date(2026, 11, 24)),
        (_not_ranked, "how much work it is has not been worked out yet", None),
        (_mostly_handed_over, "too early to say how much work it is", None),
    ],
)
def test_what_nobody_has_said_is_named_and_no_day_is_given(
    cast: Cast, make: Any, words: str, not_before: date | None
) -> None:
    make_pattern(cast.secretary)
    engine = in_works(cast.member)
    make(engine, cast)
    made = forecast(engine, cast.member)
    assert words in gaps(made)
    assert days(made) == (None, None)
    assert made.not_before_on == not_before
    assert latest_forecasts([engine]) == ({engine.pk: made} if not_before else {})


def test_lapsed_papers_alone_ask_for_a_test_or_for_somebody_to_renew_them(cast: Cast) -> None:
    make_pattern(cast.secretary, inspector_days=21)
    boiled = make_engine(configuration={**ONE_CYLINDER, "boiler": "copper"})
    insured = make_engine(configuration=ONE_CYLINDER)
    for engine in (boiled, insured):
        make_stop(engine, cast.member, kind="papers", cause_class="papers")
    made = forecast(boiled, cast.member)
    assert made.missing == []
    assert made.even_chance_on is not None
    assert "nobody has said when they are renewed" in gaps(forecast(insured, cast.member))


def test_without_sessions_no_work_can_be_forecast(cast: Cast) -> None:
    engine = in_works(cast.member)
    make_card(engine, cast.member)
    made = forecast(engine, cast.member)
    assert "The club has no working sessions yet" in gaps(made)
    assert (made.samples, days(made)) == ([], (None, None))


def test_a_sheet_counts_with_its_work_and_what_it_may_hand_over_is_left_without_a_day(cast: Cast) -> None:
    make_pattern(cast.secretary)
    engine = in_works(cast.member)
    ranked_sheet(engine, cast.member, hours=3, handed_over=0.3)
    made = forecast(engine, cast.member)
    assert days(made) == (date(2026, 11, 24), None)
    assert made.samples.count(None) == pytest.approx(60, abs=10)
    page = cast.browser("member").get(f"/engines/{engine.pk}/forecast/").text
    assert "of 100 runs: the fault is not found by the club" in page
    assert "not done in" not in page


def test_what_takes_longer_than_two_years_gets_no_day(cast: Cast) -> None:
    make_pattern(cast.secretary)
    engine = in_works(cast.member)
    for _ in range(3):
        make_card(engine, cast.member, **sure(190))
    made = forecast(engine, cast.member)
    assert (made.missing, days(made)) == ([], (None, None))
    page = cast.browser("member").get(f"/engines/{engine.pk}/forecast/").text
    assert "No day can be put on 100 of 100 runs: it is not done in 24 months" in page


def test_hands_come_from_the_day_book_once_it_tells_of_eight_sessions(cast: Cast) -> None:
    make_pattern(cast.secretary, hands=3)
    engine = in_works(cast.member)
    make_card(engine, cast.member)
    tuesday = NOON - timedelta(days=3)
    for week in range(7):
        make_entry(engine, cast.member, happened=(tuesday - timedelta(weeks=week), "minute"), helpers=[cast.mate])
    made = forecast(engine, cast.member)
    assert (made.inputs["hands"], made.inputs["attended"]) == ([], 7)
    make_entry(engine, cast.member, happened=(tuesday - timedelta(days=3), "minute"))
    made = forecast(engine, cast.member)
    counts = made.inputs["hands"]
    assert (len(counts), sorted(counts)[-8:]) == (24, [1, 2, 2, 2, 2, 2, 2, 2])
    assert counts.count(0) == 16


@pytest.mark.parametrize(
    ("good_for", "back"), [(None, date(2026, 12, 20)), (2, date(2026, 12, 20)), (400, date(2026, 11, 24))]
)
def test_the_boilers_test_comes_last_where_its_papers_are_not_good_on_that_day(
    cast: Cast, good_for: int | None, back: date
) -> None:
    make_pattern(cast.secretary, inspector_days=24)
    engine = with_boiler(cast.member)
    make_card(engine, cast.member, **sure(3))
    if good_for:
        make_papers(engine, cast.inspector, days=good_for)
    made = forecast(engine, cast.member)
    assert made.even_chance_on is not None
    assert abs((made.even_chance_on - back).days) <= 3
    assert any(line["kind"] == "inspector" for line in made.drivers) is (good_for != 400)


def test_a_test_of_which_nobody_says_how_long_it_takes_is_missing(cast: Cast) -> None:
    make_pattern(cast.secretary)
    engine = with_boiler(cast.member)
    make_card(engine, cast.member, **sure(3))
    made = forecast(engine, cast.member)
    assert "The boiler is to be tested" in gaps(made)
    assert (made.even_chance_on, made.not_before_on) == (None, date(2026, 11, 24))
    assert made.chance_by(date(2026, 12, 24)) == 1.0
    assert not made.is_whole


@pytest.mark.parametrize(
    ("stop", "changes", "words"),
    [
        (None, {}, "Wren is in traffic: there is no return to forecast"),
        ("laid_up", {}, "Wren is laid up: it comes back when somebody takes it out again"),
        ("works", {"gone_on": TODAY, "gone_words": "sold to a club in the north"}, "sold to a club in the north"),
    ],
    ids=["in traffic", "laid up", "sold"],
)
def test_where_there_is_no_return_to_forecast_that_is_said(
    cast: Cast, stop: str | None, changes: dict[str, Any], words: str
) -> None:
    engine = make_engine(hands=(cast.member,), **changes)
    if stop:
        make_stop(engine, cast.member, kind=stop)
    with pytest.raises(ValidationError, match=words):
        forecast(engine, cast.member)
    browser, address = cast.browser("member"), f"/engines/{engine.pk}/forecast/"
    assert words in browser.get(address).text
    response = browser.post(f"{address}work-out/", {"submission": str(uuid4())})
    assert response.status_code == (403 if engine.gone_on else 422)
    assert words in response.text
    assert make_forecasts(at=NOON) == []


def test_the_nightly_run_makes_those_that_changed_or_are_a_week_old(cast: Cast, capsys: Any) -> None:
    make_pattern(cast.secretary)
    engines = [in_works(cast.member, name=name) for name in ("Wren", "Rail")]
    card = make_card(engines[0], cast.member)
    assert len(make_forecasts(at=NOON)) == 2
    assert make_forecasts(at=NOON + timedelta(days=1)) == []
    make_card(engines[0], cast.member, after=(card,))
    assert [made.engine for made in make_forecasts(at=NOON + timedelta(days=2))] == [engines[0]]
    assert [made.engine for made in make_forecasts(at=NOON + timedelta(days=7))] == [engines[1]]
    Forecast.objects.all().delete()
    call_command("make_forecasts")
    assert "Wren: even chance" in (said := capsys.readouterr().out)
    assert "Rail: nothing can be said yet, 1 missing" in said


def test_queries_do_not_grow_with_the_engines(cast: Cast) -> None:
    make_pattern(cast.secretary)

    def full(name: str) -> Any:
        engine = in_works(cast.member, name=name)
        card = make_card(engine, cast.member, state="waits", waits_for="yarn", waits_until=TODAY)
        make_card(engine, cast.member, after=(card,))
        make_entry(engine, cast.member, card=card, minutes=30, helpers=[cast.mate])
        make_wanted(engine, cast.member, card=card)
        make_soak(engine, cast.member)
        ranked_sheet(engine, cast.member, hours=2)
        return engine

    def queries(act: Any) -> int:
        with CaptureQueriesContext(connection) as seen:
            act()
        return len(seen)

    engines = [full("Wren")]
    one = queries(lambda: make_forecasts(at=NOON)), queries(lambda: latest_forecasts(engines))
    engines += [full(name) for name in ("Rail", "Knot", "Smew")]
    later = NOON + timedelta(days=8)
    assert (queries(lambda: make_forecasts(at=later)), queries(lambda: latest_forecasts(engines))) == one
    assert set(latest_forecasts(engines)) == {engine.pk for engine in engines}
    assert forecast_score(TODAY).number == 0


def test_one_forecast_of_each_spell_is_judged_once_it_has_ended_and_none_is_carried_into_the_next(cast: Cast) -> None:
    make_pattern(cast.secretary)
    by = cast.member
    engine = make_engine(made_by=by)

    def given(made_on: date, likely_on: date) -> None:
        Forecast.objects.create(
            engine=engine, made_at=NOON - (TODAY - made_on), made_on=made_on, seed=1, inputs={}, inputs_checksum="",
            samples=[likely_on.isoformat()], even_chance_on=likely_on - timedelta(days=5), likely_on=likely_on,
        )  # fmt: skip

    make_stop(engine, by, began_on=date(2026, 1, 1), ended_on=date(2026, 2, 1))
    make_stop(engine, by, began_on=date(2026, 1, 20), ended_on=date(2026, 3, 1))
    given(date(2026, 1, 5), date(2026, 3, 3))
    given(date(2026, 2, 20), date(2026, 2, 25))
    make_stop(engine, by, began_on=date(2026, 5, 1), ended_on=date(2026, 6, 1))
    given(date(2026, 5, 2), date(2026, 5, 20))
    make_stop(engine, by, began_on=date(2026, 11, 1))
    score = forecast_score(TODAY)
    assert [(line.back_on, line.likely_held, line.even_chance_held) for line in score.lines] == [
        (date(2026, 3, 1), True, False), (date(2026, 6, 1), False, False),
    ]  # fmt: skip
    assert (score.number, score.likely_held, score.is_enough) == (2, 1, False)
    assert latest_forecasts([engine]) == {}
    page = cast.browser("member").get(f"/engines/{engine.pk}/forecast/").text
    assert "too few to judge by: back by the 8-in-10 day in 1" in page
    assert "No forecast has been made since it is out of traffic" in page
