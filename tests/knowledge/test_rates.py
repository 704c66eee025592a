"""Other base rates laid over the knowledge, and kept by themselves."""

import json

import pytest

from restorations.knowledge import Configuration, History, HistoryAnswers, expand, load
from restorations.knowledge.expansion import reweighed
from restorations.knowledge.storage import structure_of, weights_of, with_weights

CAUSE = "bearings_gummed"
IDLE = History(general=HistoryAnswers(ever_ran="yes", years=12.0))


def test_other_rates_make_another_knowledge_and_leave_the_first_alone() -> None:
    shipped = load()
    other = shipped.with_rates({CAUSE: {"idle_for_years": 0.4}})
    assert other.causes[CAUSE].rate == {**shipped.causes[CAUSE].rate, "idle_for_years": 0.4}
    assert shipped.causes[CAUSE].rate["idle_for_years"] != 0.4
    assert other.checksum != shipped.checksum
    assert other.checksum == shipped.with_rates({CAUSE: {"idle_for_years": 0.4}}).checksum
    assert shipped.with_rates({}) is shipped


@pytest.mark.parametrize(
    "rates",
    [{"no_such_cause": {"idle_for_years": 0.1}}, {CAUSE: {"on_sundays": 0.1}}, {CAUSE: {"idle_for_years": 1.0}}],
)
def test_rates_that_cannot_be_are_refused_by_name(rates: dict[str, dict[str, float]]) -> None:
    with pytest.raises(ValueError, match=next(iter(rates))):
        load().with_rates(rates)


def test_an_engine_weighed_anew_is_the_engine_expanded_anew() -> None:
    build, rates = Configuration(kind="stationary_engine"), {CAUSE: {"idle_for_years": 0.4}}
    other = load().with_rates(rates)
    of_build = expand(load(), build, History())
    assert reweighed(of_build, other, build, IDLE).checksum == expand(other, build, IDLE).checksum


def test_what_differs_in_rates_alone_is_kept_as_those_alone() -> None:
    build = Configuration(kind="stationary_engine")
    first, other = (
        expand(known, build, IDLE) for known in (load(), load().with_rates({CAUSE: {"idle_for_years": 0.4}}))
    )
    assert structure_of(first) == structure_of(other) == first.structure
    stored = json.dumps(weights_of(other))
    assert with_weights(first, json.loads(stored)).checksum == other.checksum
    assert len(stored) < len(json.dumps(other.as_mapping())) / 10
