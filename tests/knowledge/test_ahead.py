"""What is weighed as the next step: what is possible enough, and more where that leaves only handing over."""

import pytest

from restorations.calc.diagnosis import Examination, HandOver, Inspected, Observed, Outlook, posterior
from restorations.knowledge import EngineFacts, EngineKnowledge, Prices, expand, load
from restorations.knowledge.ahead import Reach, look_ahead
from restorations.knowledge.reference_engines import REFERENCE_ENGINES, REFERENCE_PASTS

STIFF = ("wheels_stiff",)


@pytest.fixture(scope="module")
def mill() -> EngineKnowledge:
    return expand(load(), REFERENCE_ENGINES["mill engine, fixed eccentric"], REFERENCE_PASTS["in regular use"])


def _ahead(engine: EngineKnowledge, events: list[object], **prices: float) -> Outlook:
    known = posterior(engine.model, events)
    return look_ahead(engine, known, EngineFacts(), STIFF, Prices(**prices), samples=500, n=10, seed=1)


def test_reach_takes_the_most_probable_and_no_more_than_it_may() -> None:
    now = {"gum": 0.3, "rust": 0.004, "dirt": 0.2, "wear": 0.001}
    assert Reach(least=0.003, most=2).of(frozenset(now), now) == {"gum", "dirt"}
    assert Reach(least=0.003, most=9).of(frozenset(now), now) == {"gum", "dirt", "rust"}


def test_steps_bear_on_what_is_possible_enough_for_the_complaint(mill: EngineKnowledge) -> None:
    events = [Observed("wheels_stiff", 1)]
    now = posterior(mill.model, events).now
    examined = {item.step.cause for item in _ahead(mill, events).advice if isinstance(item.step, Examination)}
    assert examined
    assert all(now[cause] >= 0.003 and cause in mill.explaining(STIFF) for cause in examined)


def test_before_the_engine_is_handed_over_what_was_not_found_may_be_looked_for_again(mill: EngineKnowledge) -> None:
    check = next(check for check in mill.checks.values() if check.target == "bearings_gummed")
    missed = Inspected("bearings_gummed", False, check.entry.sensitivity, check.entry.false_alarm)
    events: list[object] = [Observed("wheels_stiff", 1), missed]
    usual, last = _ahead(mill, events), _ahead(mill, events, hand_over_minutes=5.0)
    assert not isinstance(usual.advice[0].step, HandOver)
    assert check.id not in [item.step.name for item in usual.advice]
    assert isinstance(last.advice[0].step, HandOver)
    assert check.id in [item.step.name for item in last.advice]
