"""What can run on a day: from state, papers on that day and the stored forecast."""

from datetime import timedelta
from typing import Any

from django.db import connection
from django.test.utils import CaptureQueriesContext

from restorations.traffic.models import Forecast
from restorations.traffic.what_runs import Runs, what_runs
from tests.cast import Cast
from tests.factories import NOON, make_engine, make_stop
from tests.traffic.running_builders import in_days, make_paper, make_session, runs_on_air, steams, today


def _of(cast: Cast, *, days: int = 21, who: str = "secretary") -> dict[str, Runs]:
    return {str(runs.engine): runs for runs in what_runs(cast[who], in_days(days), today=today())}


def _forecast(engine: Any, *, back: int, missing: Any = ()) -> None:
    """Half the runs are back after so many days, the others never in sight."""
    samples = [in_days(back).isoformat()] * 100 + [None] * 100
    Forecast.objects.create(
        engine=engine, made_at=NOON, made_on=today(), seed=1, inputs={}, inputs_checksum="", samples=samples,
        missing=list(missing),
    )  # fmt: skip


def test_in_traffic_with_papers_that_last_until_the_day_it_can_run(cast: Cast) -> None:
    steams(cast.owner, name="Wren", days=21)
    assert _of(cast)["Wren"].answer == "can"
    assert _of(cast, days=22)["Wren"].answer == "could"


def test_a_paper_that_lapses_before_the_day_is_named_with_its_booking(cast: Cast) -> None:
    wren = steams(cast.owner, name="Wren", days=10)
    make_session(wren, cast.owner, days=8)
    (hydraulic, steam) = _of(cast)["Wren"].conditions
    assert hydraulic.startswith("hydraulic test of the boiler renewed: good until")
    assert "booked with A. Outsider for" in steam


def test_no_paper_at_all_is_said_where_there_is_a_boiler_and_not_asked_of_what_has_none(cast: Cast) -> None:
    make_engine(made_by=cast.owner, name="Wren", configuration={"boiler": "copper"})
    runs_on_air(cast.owner, name="Dot")
    assert "recorded: none is" in _of(cast)["Wren"].sentence
    assert _of(cast)["Dot"].answer == "can"


def test_a_lapsed_loan_or_insurance_counts_where_one_is_recorded(cast: Cast) -> None:
    make_paper(runs_on_air(cast.owner, name="Dot"), "loan", days=5)
    assert "loan agreement renewed" in _of(cast)["Dot"].sentence


def test_a_stopped_engine_could_run_with_the_chance_of_its_forecast(cast: Cast) -> None:
    dot = runs_on_air(cast.owner, name="Dot")
    make_stop(dot, waits_for="parts")
    _forecast(dot, back=14)
    runs = _of(cast)["Dot"]
    assert runs.answer == "could"
    assert runs.chance is not None
    assert runs.chance.words == "about 5 in 10"
    assert "waits for parts" in runs.sentence


def test_a_chance_is_at_most_where_something_is_missing_and_none_where_there_is_no_forecast(cast: Cast) -> None:
    dot, robin = runs_on_air(cast.owner, name="Dot"), runs_on_air(cast.owner, name="Robin")
    make_stop(dot)
    make_stop(robin)
    _forecast(dot, back=14, missing=[{"kind": "part", "row": 1, "words": "no day"}])
    found = _of(cast)
    assert found["Dot"].chance is not None
    assert found["Dot"].chance.words == "at most about 5 in 10"
    assert found["Robin"].chance is None


def test_what_is_laid_up_or_has_no_chance_or_is_expected_later_will_not_run(cast: Cast) -> None:
    laid_up, late, said = (runs_on_air(cast.owner, name=name) for name in ("Dot", "Robin", "Wren"))
    make_stop(laid_up, kind="laid_up", cause_class="storage")
    make_stop(late)
    _forecast(late, back=40)
    make_stop(said, expected_on=in_days(40), expected_by="the maker")
    assert {name: runs.answer for name, runs in _of(cast).items()} == dict.fromkeys(("Dot", "Robin", "Wren"), "cannot")


def test_a_boiler_stop_is_the_inspectors_to_lift(cast: Cast) -> None:
    make_stop(steams(cast.owner, name="Wren"), kind="boiler", cause_class="boiler")
    assert _of(cast)["Wren"].conditions[0] == "the inspector lifts the stop on the boiler"


def test_engines_that_are_gone_or_hidden_are_not_spoken_of(cast: Cast) -> None:
    runs_on_air(cast.owner, name="Dot", is_private=True, owner_member=cast.owner)
    runs_on_air(cast.owner, name="Gone", gone_on=today() - timedelta(days=1), gone_words="sold")
    assert set(_of(cast, who="stranger")) == set()
    assert set(_of(cast)) == {"Dot"}


def test_as_many_queries_for_one_engine_as_for_ten(cast: Cast) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            _of(cast)
        return len(queries)

    make_stop(steams(cast.owner))
    few = asked()
    for number in range(9):
        make_stop(steams(cast.owner, name=f"Engine {number}"))
    assert asked() == few
