"""Connections: parted with what must be so before, joined and looked over as a pair."""

from typing import Any

import pytest

from restorations.faults.facts import bench_facts
from restorations.tasks.connections import PRECAUTIONS, missing_precautions
from restorations.tasks.models import CARRIES, Connection
from restorations.tasks.services import put_back_all
from tests.cast import Cast
from tests.factories import TODAY, make_engine
from tests.tasks.bench_builders import SAFE_WATER, doing, join, make_connection, sent

PIPE = {"carries": "water", "name": "feed pipe", "end_a": "pump", "end_b": "left clack", "flow": "a_to_b",
        "closed_a": "plugged", "closed_b": "capped"}  # fmt: skip


@pytest.fixture
def engine(cast: Cast) -> Any:
    return make_engine(made_by=cast.owner, owner_member=cast.owner, hands=(cast.member, cast.mate))


def test_everything_that_can_be_carried_says_what_must_be_so_before() -> None:
    assert set(PRECAUTIONS) == set(CARRIES)
    assert all(missing_precautions(kind, []) for kind in CARRIES)
    assert all("no_pressure" in PRECAUTIONS[kind] for kind in ("steam", "air", "water", "oil", "exhaust"))


def test_the_form_for_what_it_carries_asks_what_must_be_so_before(cast: Cast, engine: Any) -> None:
    browser, address = cast.browser("member"), f"/engines/{engine.pk}/connections/"
    assert "tank valve" not in browser.get(address).content.decode()
    assert "the tank valve is shut" in browser.get(f"{address}?carries=water").content.decode()
    assert "the gas is shut at the tank" in browser.get(f"{address}?carries=gas").content.decode()


def test_a_pipe_is_parted_with_both_ends_and_what_was_made_safe(cast: Cast, engine: Any) -> None:
    form = sent(**PIPE, made_safe=list(SAFE_WATER))
    response = cast.browser("member").post(f"/engines/{engine.pk}/connections/", form)
    row = Connection.objects.get()
    assert response.url == row.get_absolute_url()
    assert (row.end_a, row.arrow, row.end_b, row.closed_a, row.number) == ("pump", "→", "left clack", "plugged", 1)
    page = cast.browser("member").get(response.url).content.decode()
    assert "Parted without making sure of" not in page
    assert "1A" in page
    assert "1B" in page


def test_what_was_not_made_sure_of_is_named_and_what_was_typed_is_kept(cast: Cast, engine: Any) -> None:
    form = sent(**PIPE, made_safe=["drained"])
    response = cast.browser("member").post(f"/engines/{engine.pk}/connections/", form)
    page = response.content.decode()
    assert response.status_code == 422
    assert "Still to make sure of before it is parted: the tank valve is shut; no pressure" in page
    assert 'value="left clack"' in page
    assert not Connection.objects.exists()


def test_what_is_apart_already_is_recorded_and_says_what_was_not_made_sure_of(cast: Cast, engine: Any) -> None:
    form = sent(**PIPE, made_safe=["drained"], apart_already="on")
    response = cast.browser("member").post(f"/engines/{engine.pk}/connections/", form)
    assert response.status_code == 302
    page = cast.browser("member").get(response.url).content.decode()
    assert "Parted without making sure of:</b> the tank valve is shut; no pressure" in page


@pytest.mark.parametrize("missing", ["end_a", "end_b", "name"])
def test_both_ends_and_a_name_are_needed(cast: Cast, engine: Any, missing: str) -> None:
    form = sent(**{**PIPE, missing: ""}, made_safe=list(SAFE_WATER))
    assert cast.browser("member").post(f"/engines/{engine.pk}/connections/", form).status_code == 422


def test_a_pipe_of_the_knowledge_counts_as_off_until_it_is_joined(cast: Cast, engine: Any) -> None:
    pipe = make_connection(engine, cast.member, name="", part_id="main_steam_pipe", carries="steam")
    assert make_connection(engine, cast.mate, name="", part_id="main_steam_pipe", carries="steam") == pipe
    assert bench_facts(engine, on=TODAY).off == {"main_steam_pipe"}
    join(pipe, cast.member)
    assert bench_facts(engine, on=TODAY).off == frozenset()


def test_a_step_that_fits_a_parted_pipe_joins_it_and_leaves_both_ends_to_be_looked_over(
    cast: Cast, engine: Any
) -> None:
    pipe = make_connection(engine, cast.member, name="", part_id="main_steam_pipe", carries="steam")
    put_back_all(engine, ["main_steam_pipe"], doing(cast.member))
    pipe.refresh_from_db()
    assert not pipe.is_parted
    assert [*Connection.objects.unchecked()] == [pipe]
    assert "both ends to be looked over" in cast.browser("member").get(f"/engines/{engine.pk}/refit/").content.decode()


def test_joined_and_looked_over_in_one_go(cast: Cast, engine: Any) -> None:
    pipe = make_connection(engine, cast.member)
    assert cast.browser("mate").post(f"/connections/{pipe.pk}/join/", sent(both_checked="on")).status_code == 302
    pipe.refresh_from_db()
    assert (pipe.joined_by, pipe.checked_by) == (cast.mate, cast.mate)


def test_a_helpers_joining_waits_and_a_helper_passes_no_pair(cast: Cast, engine: Any) -> None:
    pipe = make_connection(engine, cast.member)
    cast.browser("stranger").post(f"/connections/{pipe.pk}/join/", sent(both_checked="on"))
    pipe.refresh_from_db()
    assert pipe.is_parted
    assert pipe.checked_at is None
    assert cast.browser("stranger").post(f"/connections/{pipe.pk}/check/", sent()).status_code == 403
    cast.browser("mate").post(f"/connections/{pipe.pk}/accept/", sent())
    assert not Connection.objects.parted().exists()


def test_the_second_of_two_who_join_it_is_told(cast: Cast, engine: Any) -> None:
    pipe = make_connection(engine, cast.member)
    join(pipe, cast.member)
    response = cast.browser("mate").post(f"/connections/{pipe.pk}/join/", sent())
    assert response.status_code == 422
    assert "Anneli Thwaite has written this up already." in response.content.decode()


def test_a_parted_pair_is_not_passed(cast: Cast, engine: Any) -> None:
    pipe = make_connection(engine, cast.member)
    response = cast.browser("member").post(f"/connections/{pipe.pk}/check/", sent())
    assert response.status_code == 422
    assert "It is still parted" in response.content.decode()


def test_a_helpers_joining_that_is_not_so_leaves_it_parted(cast: Cast, engine: Any) -> None:
    pipe = join(make_connection(engine, cast.member), cast.stranger, stands=False)
    cast.browser("mate").post(f"/connections/{pipe.pk}/refuse/", sent())
    pipe.refresh_from_db()
    assert (pipe.joined_at, pipe.joining_waits) == (None, False)
