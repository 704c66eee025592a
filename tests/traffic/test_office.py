"""The office: every engine with what holds it up, narrowed and sorted, as many queries for many as for few."""

import csv
from datetime import date, timedelta
from io import StringIO

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from tests.cast import Cast
from tests.factories import make_engine, make_stop

SAID = {"waits_for": "parts", "waits_words": "a spring", "expected_on": date(2030, 5, 1), "expected_by": "the maker"}


def _days_ago(days: int) -> date:
    return timezone.localdate() - timedelta(days=days)


def _table(cast: Cast, query: str = "") -> list[list[str]]:
    text = cast.browser("secretary").get(f"/office/?as=csv{query}").text
    return list(csv.reader(StringIO(text, newline="")))[1:]


def test_it_says_what_holds_each_engine_up_and_who_said_when_it_is_back(cast: Cast) -> None:
    make_stop(make_engine(name="Wren"), began_on=_days_ago(12), cause_class="feed", **SAID)
    make_engine(name="Robin")
    page = cast.browser("secretary").get("/office/").text
    for said in ("2 engines, 1 out of traffic", "Waits for parts (a spring)", "1 May 2030, said the maker"):
        assert said in page
    assert [(row[0], row[1], row[3]) for row in _table(cast)] == [
        ("Wren", "stopped", "12"),
        ("Robin", "in traffic", "0"),
    ]


def test_it_is_narrowed_and_sorted_and_the_table_goes_with_it(cast: Cast) -> None:
    make_stop(make_engine(name="Wren"), began_on=_days_ago(2), cause_class="feed")
    make_stop(make_engine(name="Robin"), began_on=_days_ago(30), cause_class="boiler", kind="boiler")
    make_engine(name="Dot")
    assert [row[0] for row in _table(cast)] == ["Robin", "Wren", "Dot"]
    assert [row[0] for row in _table(cast, "&sort=name")] == ["Dot", "Robin", "Wren"]
    assert [row[0] for row in _table(cast, "&cause=feed")] == ["Wren"]
    assert [row[0] for row in _table(cast, "&state=in_traffic")] == ["Dot"]
    assert [row[0] for row in _table(cast, "&q=rob")] == ["Robin"]
    assert len(_table(cast, "&sort=nonsense&state=nonsense&waits=%00")) == 3


def test_of_a_private_engine_the_secretary_learns_state_and_papers_only(cast: Cast) -> None:
    from tests.tasks.work_builders import make_card

    engine = make_engine(name="Dot", is_private=True, owner_member=cast.owner)
    make_stop(engine, waits_for="owner")
    make_card(engine, cast.owner)
    assert _table(cast)[0][5] == "waits for the owner"


def test_an_administrator_who_opens_the_office_learns_of_no_private_engine(cast: Cast) -> None:
    engine = make_engine(name="Dot", is_private=True, owner_member=cast.owner)
    soon = timezone.localdate() + timedelta(days=5)
    engine.certificates.create(kind="insurance", passed_on=_days_ago(300), lapses_on=soon, recorded_by=cast.inspector)
    make_stop(engine)
    assert "Dot" in cast.browser("secretary").get("/office/").text
    assert "Dot" not in cast.browser("administrator").get("/office/").text


def test_as_many_queries_for_one_engine_as_for_ten(cast: Cast) -> None:
    browser = cast.browser("secretary")

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            assert browser.get("/office/").status_code == 200
        return len(queries)

    make_stop(make_engine(name="Wren"))
    few = asked()
    for number in range(9):
        make_stop(make_engine(name=f"Engine {number}"))
    assert asked() == few
