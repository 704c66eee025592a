"""The yard: engines stand where a record says, in one place at a time, drawn to one scale."""

from datetime import date
from typing import Any

import pytest
from django.db import IntegrityError, connection
from django.test.utils import CaptureQueriesContext

from restorations.knowledge import Configuration
from restorations.knowledge.reference_engines import REFERENCE_ENGINES
from restorations.traffic.models import EngineStands, Road
from restorations.web.outline.silhouette import silhouette
from tests.cast import Cast
from tests.factories import make_engine
from tests.tasks.work_builders import error_beside, once


@pytest.fixture
def roads() -> tuple[Road, Road]:
    return Road.objects.create(name="Shed road 1"), Road.objects.create(name="Steaming bay", kind="bay", position=2)


def _move(cast: Cast, engine: Any, road: Road, who: str = "secretary", **data: Any) -> Any:
    return cast.browser(who).post(f"/engines/{engine.pk}/move/", once(road=road.pk, since="2026-01-10", **data))


def test_an_engine_moves_and_what_stood_where_is_kept(cast: Cast, roads: tuple[Road, Road]) -> None:
    engine = make_engine(name="Wren")
    assert _move(cast, engine, roads[0]).status_code == 302
    assert _move(cast, engine, roads[1], moved_by="Ada Penhale").status_code == 302
    assert [(row.road.name, row.until) for row in EngineStands.objects.filter(engine=engine)] == [
        ("Steaming bay", None), ("Shed road 1", date(2026, 1, 10)),
    ]  # fmt: skip
    page = cast.browser("stranger").get("/shed/?view=yard").text
    assert page.index("Shed road 1") < page.index("Steaming bay") < page.index("Wren")
    assert "Ada Penhale" in cast.browser("secretary").get(f"/engines/{engine.pk}/move/").text


def test_to_where_it_stands_already_or_before_it_came_is_refused(cast: Cast, roads: tuple[Road, Road]) -> None:
    engine = make_engine()
    _move(cast, engine, roads[0])
    again = _move(cast, engine, roads[0])
    assert again.status_code == 422
    assert "already" in error_beside(again.text, "road")
    early = cast.browser("secretary").post(
        f"/engines/{engine.pk}/move/", once(road=roads[1].pk, since="2025-12-31", note="with the tender")
    )
    assert "not earlier" in error_beside(early.text, "since")
    assert "with the tender" in early.text
    assert EngineStands.objects.count() == 1


def test_it_cannot_stand_in_two_places(cast: Cast, roads: tuple[Road, Road]) -> None:
    engine = make_engine()
    plain = {"engine": engine, "since": date(2026, 1, 1), "recorded_by": cast.secretary}
    EngineStands.objects.create(road=roads[0], **plain)
    with pytest.raises(IntegrityError):
        EngineStands.objects.create(road=roads[1], **plain)


def test_a_road_is_taken_up_once_it_is_empty(cast: Cast, roads: tuple[Road, Road]) -> None:
    engine = make_engine(name="Wren")
    _move(cast, engine, roads[0])
    browser = cast.browser("secretary")
    held = browser.post(f"/roads/{roads[0].pk}/take-up/", once())
    assert (held.status_code, "Wren stands on it" in held.text) == (422, True)
    assert browser.post(f"/roads/{roads[1].pk}/take-up/", once()).status_code == 302
    assert "<h2>Steaming bay" not in browser.get("/shed/?view=yard").text


def test_a_name_is_given_once(cast: Cast, roads: tuple[Road, Road]) -> None:
    answer = cast.browser("secretary").post("/roads/", once(name="Shed road 1", kind="shed", position=1))
    assert answer.status_code == 422
    assert "already" in error_beside(answer.text, "name")


def test_the_secretary_sees_the_table_first_and_everybody_else_the_yard(cast: Cast) -> None:
    make_engine(name="Wren")
    assert "<table" in cast.browser("secretary").get("/shed/").text
    assert "<table" not in cast.browser("member").get("/shed/").text


def test_private_engines_stand_in_nobody_elses_yard(cast: Cast, roads: tuple[Road, Road]) -> None:
    make_engine(name="Dot", is_private=True, owner_member=cast.owner)
    assert "Dot" not in cast.browser("stranger").get("/shed/?view=yard").text
    assert "Dot" in cast.browser("owner").get("/shed/?view=yard").text


def test_twice_the_gauge_is_drawn_twice_as_long() -> None:
    build = REFERENCE_ENGINES["six-coupled tank, Walschaerts"]
    small, large = silhouette(build, 63.5), silhouette(build, 127.0)
    assert large.width_mm == pytest.approx(2 * small.width_mm)
    assert not silhouette(build, None).is_to_scale
    assert not silhouette(Configuration(kind="marine_engine"), 127.0).is_to_scale


def test_as_many_queries_for_one_engine_as_for_ten(cast: Cast, roads: tuple[Road, Road]) -> None:
    browser = cast.browser("member")

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            browser.get("/shed/?view=yard")
        return len(queries)

    def stand(name: str) -> None:
        EngineStands.objects.create(
            engine=make_engine(name=name), road=roads[0], since=date(2026, 1, 1), recorded_by=cast.secretary
        )

    stand("Wren")
    few = asked()
    for number in range(9):
        stand(f"Engine {number}")
    assert asked() == few
