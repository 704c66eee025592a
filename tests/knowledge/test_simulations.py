"""Worlds drawn from the shipped knowledge: causes are as likely as they are called, and the advice gets to the end."""

import pytest

from restorations.knowledge import expand, load
from restorations.knowledge.reference_engines import REFERENCE_ENGINES, REFERENCE_PASTS
from tests.benchmarks.bench import PRICES
from tests.benchmarks.calibration import STAGES, predictions, table
from tests.benchmarks.ways import by_advice, by_clairvoyance, by_fixed_list, follow
from tests.benchmarks.worlds import Case, cases, noisy, with_faults

CASES = 100
MILL = Case("mill engine, fixed eccentric", "idle for years", "wheels_stiff", seed=3)


@pytest.fixture(scope="module")
def predicted():
    return [predictions(case) for case in cases(CASES, engine=MILL.engine)]


@pytest.mark.parametrize("stage", range(len(STAGES)), ids=STAGES)
def test_causes_are_there_as_often_as_they_are_called_likely(predicted, stage):
    rows = table([stages[stage] for stages in predicted])
    assert sum(count for count, *_ in rows) > 5_000
    assert [row for row in rows if abs(row[2] - row[1]) > 4 * row[3]] == []


def test_the_advice_ends_a_fault_that_somebody_who_knows_it_ends_sooner():
    advised, known = follow(by_advice, with_faults(MILL, 1)), follow(by_clairvoyance, with_faults(MILL, 1))
    assert advised.gone
    assert known.gone
    assert 0 < known.minutes <= advised.minutes < PRICES.hand_over_minutes


def test_the_same_world_answers_the_same_whoever_asks():
    first, second = (follow(by_fixed_list, with_faults(MILL, 2)) for _ in range(2))
    assert first == second


def test_noise_moves_every_rate_and_leaves_a_lawful_model():
    plain, moved = load(), noisy(load(), 0.5, seed=1)
    pairs = [(cause.rate, moved.causes[name].rate) for name, cause in plain.causes.items()]
    assert all(before[key] != after[key] for before, after in pairs for key in before)
    expanded = expand(moved, REFERENCE_ENGINES[MILL.engine], REFERENCE_PASTS[MILL.past])
    assert expanded.model.causes == MILL.knowledge().model.causes
