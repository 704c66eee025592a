"""The committee's report: definitions by hand, one count for page, PDF and table, private engines left out."""

import csv
from datetime import date, timedelta
from io import BytesIO, StringIO
from typing import Any

import pypdfium2
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from restorations.engines.models import Engine, Stoppage
from restorations.traffic.models import RunningDay
from restorations.traffic.report.counting import failures, lost
from restorations.traffic.report.period import Period
from restorations.traffic.report.report import report_of
from tests.cast import Cast
from tests.factories import make_engine, make_stop

YEAR = Period(date(2025, 1, 1), date(2026, 1, 1))
TODAY = date(2026, 3, 1)
DAYS = st.integers(-40, 80).map(lambda number: date(2025, 6, 1) + timedelta(days=number))


def _stop(began: date, ended: date | None, cause: str = "motion", kind: str = "defect") -> Stoppage:
    return Stoppage(pk=began.toordinal(), kind=kind, cause_class=cause, began_on=began, ended_on=ended)


def test_overlaps_are_lost_once_and_open_stops_go_on_to_the_end_of_the_period() -> None:
    """Shop arithmetic: 40 days and 2 more, then 20 to the year's end: 62 of 365 (as availability 0.8301)."""
    stops = [
        _stop(date(2025, 3, 1), date(2025, 4, 10)), _stop(date(2025, 4, 2), date(2025, 4, 12), "feed"),
        _stop(date(2025, 12, 12), None, "boiler"),
    ]  # fmt: skip
    found = lost(stops, YEAR)
    assert (found.days, found.by_cause) == (62, {"motion": 40, "feed": 2, "boiler": 20})
    assert found.fraction == pytest.approx(0.8301, abs=5e-5)


@given(st.lists(st.tuples(DAYS, st.integers(0, 30) | st.none(), st.sampled_from(["motion", "feed", "boiler"]))))
def test_the_causes_add_up_to_the_days_lost(spells: list[tuple[date, int | None, str]]) -> None:
    stops = [_stop(day, None if n is None else day + timedelta(days=n), cause) for day, n, cause in spells]
    found = lost(stops, Period(date(2025, 5, 20), date(2025, 7, 20)))
    assert sum(found.by_cause.values()) == found.days <= found.of


def test_running_days_are_lost_where_a_stop_held_that_day() -> None:
    days = [date(2025, 5, 4), date(2025, 5, 11), date(2025, 5, 18), date(2026, 5, 3)]
    found = lost([_stop(date(2025, 5, 11), date(2025, 5, 18))], YEAR, days)
    assert (found.running_days, found.running_days_of, found.running_fraction) == (1, 3, pytest.approx(2 / 3))


def test_no_mean_is_given_below_five_failures() -> None:
    stops = [_stop(date(2025, month, 1), date(2025, month, 11)) for month in range(1, 6)]
    assert failures(stops[:4], YEAR, 100).mean_days_to_restore is None
    assert failures(stops[:4], YEAR, 100).mean_days_up_between is None
    found = failures([*stops, _stop(date(2025, 8, 1), None, kind="works")], YEAR, 100)
    assert (found.count, found.mean_days_to_restore, found.mean_days_up_between) == (5, 10.0, 20.0)


@pytest.fixture
def stopped(cast: Cast) -> Engine:
    engine = make_engine(name="Wren", made_by=cast.owner)
    make_stop(engine, reported_by=cast.member, cause_class="feed", began_on=date(2026, 1, 5))
    RunningDay.objects.create(on=date(2026, 2, 1), made_by=cast.secretary)
    return engine


def test_page_table_and_pdf_say_the_same(cast: Cast, stopped: Engine) -> None:
    asked = "/report/?first=2026-01-01&last=2026-02-28"
    browser = cast.browser("secretary")
    page = browser.get(asked).text
    table = list(csv.reader(StringIO(browser.get(f"{asked}&as=csv").text, newline="")))
    numbers = {(row[1], row[2]): row[3] for row in table[1:]}
    assert (numbers["Wren", "days lost"], numbers["Wren", "running days lost"]) == ("55", "1")
    assert numbers["Wren", "availability by calendar"] == "6.8"
    printed = pypdfium2.PdfDocument(BytesIO(browser.get(f"{asked}&as=pdf").content))
    words = " ".join(sheet.get_textpage().get_text_range() for sheet in printed)
    for said in ("55 of 59", "6.8 %", "1 of 1"):
        assert said in page
        assert said in words


def test_private_engines_are_not_the_committees(cast: Cast, stopped: Engine) -> None:
    secret = make_engine(name="Dot", is_private=True, owner_member=cast.owner, made_by=cast.owner)
    make_stop(secret, reported_by=cast.owner, began_on=date(2026, 1, 5))
    found = report_of(Period(date(2026, 1, 1), TODAY), today=TODAY)
    assert [str(line.engine) for line in found.engines] == ["Wren"]
    assert found.days_lost == 55


def test_days_to_come_are_not_counted(cast: Cast, stopped: Engine) -> None:
    found = report_of(Period(date(2026, 1, 1), date(2027, 1, 1)), today=date(2026, 1, 14))
    assert (found.days_lost, found.engines[0].lost.of) == (10, 14)


def test_what_left_the_club_counts_up_to_that_day(cast: Cast, stopped: Engine) -> None:
    Engine.objects.filter(pk=stopped.pk).update(gone_on=date(2026, 1, 15), gone_words="sold")
    assert report_of(Period(date(2026, 1, 1), TODAY), today=TODAY).days_lost == 10


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        ("first=2026-02-01&last=2026-01-01", "ends before it begins"),
        ("first=soon&last=2026-01-01", "date"),
        ("first=1900-01-01&last=2026-01-01", "Thirty years"),
        ("first=&last=", "required"),
        ("first=9999-12-31&last=9999-12-31", "Look at the year again"),
        ("first=0001-01-01&last=0001-01-01", "Look at the year again"),
    ],
)
def test_a_period_that_cannot_be_is_said_to_be(cast: Cast, asked: str, said: str) -> None:
    answer = cast.browser("secretary").get(f"/report/?{asked}")
    assert answer.status_code == 422
    assert said in answer.text


def test_as_many_queries_for_one_engine_as_for_ten(cast: Cast, stopped: Engine) -> None:
    def asked() -> Any:
        with CaptureQueriesContext(
            connection,
        ) as queries:
            report_of(Period(date(2026, 1, 1), TODAY), today=TODAY)
        return len(queries)

    few = asked()
    for number in range(9):
        engine = make_engine(name=f"Engine {number}", made_by=cast.owner)
        make_stop(engine, reported_by=cast.member, began_on=date(2026, 1, 5))
    assert asked() == few
