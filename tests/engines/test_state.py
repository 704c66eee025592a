"""The state of an engine follows from the stops that hold that day."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from restorations.engines.models import Stoppage
from restorations.engines.models.stoppage import KINDS
from restorations.engines.state import MADE_BY, PRECEDENCE, state_from, state_of, states_of
from tests.cast import Cast
from tests.factories import make_engine, make_stop

DAY = date(2026, 11, 20)
STOPS = st.builds(
    Stoppage,
    kind=st.sampled_from(sorted(KINDS)),
    cause_class=st.just("motion"),
    began_on=st.dates(date(2020, 1, 1), DAY),
    pk=st.integers(1, 10**6),
)


@given(st.lists(STOPS, max_size=6))
def test_the_gravest_stop_makes_the_state_whatever_their_order(stops: list[Stoppage]) -> None:
    state = state_from(stops)
    made = {MADE_BY[stop.kind] for stop in stops}
    gravest = next((kind for kind in PRECEDENCE if kind in made), "in_traffic")
    assert state.kind == gravest == state_from(stops[::-1]).kind
    assert len(state.stoppages) == len(stops)
    assert state.since == min((stop.began_on for stop in stops if MADE_BY[stop.kind] == gravest), default=None)
    assert state.out_since == min((stop.began_on for stop in stops), default=None)
    assert state.has_boiler_stop == any(stop.kind == "boiler" for stop in stops)
    if state.has_boiler_stop:
        assert state.main is not None
        assert state.main.kind == "boiler"


@pytest.mark.parametrize(
    ("days", "kind"), [(-1, "in_traffic"), (0, "stopped"), (4, "stopped"), (5, "in_traffic"), (6, "in_traffic")]
)
def test_a_stop_holds_from_its_first_day_to_the_day_before_it_ended(cast: Cast, days: int, kind: str) -> None:
    engine = make_engine()
    lifted = {"lifted_by": cast.mentor, "lifted_at": "2026-11-25T10:00Z"}
    make_stop(engine, began_on=DAY, ended_on=DAY + timedelta(days=5), **lifted)
    assert state_of(engine, DAY + timedelta(days=days)).kind == kind


def test_one_lifted_on_the_day_it_began_holds_on_no_day_and_overlaps_nothing(cast: Cast) -> None:
    engine = make_engine()
    make_stop(engine, began_on=DAY, ended_on=DAY, lifted_by=cast.mentor, lifted_at="2026-11-20T10:00Z")
    assert state_of(engine, DAY).is_in_traffic
    assert not Stoppage.objects.overlapping(DAY - timedelta(days=9), DAY + timedelta(days=9)).exists()


def test_overlapping_takes_a_half_open_period(cast: Cast) -> None:
    stop = make_stop(make_engine(), began_on=DAY)
    before, after = (DAY - timedelta(days=9), DAY), (DAY, DAY + timedelta(days=1))
    assert stop not in Stoppage.objects.overlapping(*before)
    assert stop in Stoppage.objects.overlapping(*after)


def test_a_struck_stop_stops_nothing(cast: Cast) -> None:
    engine = make_engine()
    make_stop(engine, began_on=DAY).strike_out(member=cast.mentor, reason="wrong engine")
    assert state_of(engine, DAY).is_in_traffic


def test_it_is_said_in_one_sentence(cast: Cast) -> None:
    engine = make_engine()
    make_stop(engine, began_on=date(2026, 11, 3), kind="boiler", cause_class="boiler")
    make_stop(engine, began_on=date(2026, 10, 1), kind="works")
    assert (
        state_of(engine, DAY).sentence
        == "Stopped since 3 Nov 2026: boiler, waits for the inspector (and 1 other stop)"
    )  # fmt: skip


def test_the_states_of_ten_engines_take_one_query(cast: Cast) -> None:
    engines = [make_engine(name=f"Engine {number}") for number in range(10)]
    for engine in engines[::2]:
        make_stop(engine, began_on=DAY)
    with CaptureQueriesContext(
        connection,
    ) as queries:
        states = states_of(engines, DAY)
    assert len(queries) == 1
    assert [states[engine.pk].is_in_traffic for engine in engines] == [False, True] * 5
