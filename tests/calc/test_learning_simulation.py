"""A tenth of the learning benchmark: what is certain, and what lies far on the safe side of what it prints."""

from statistics import mean

import pytest

from restorations.calc.diagnosis.learning import learned_rates
from tests.benchmarks.learning import CLUBS, SHEETS, Worked, by_rule, confirmed_over_looked_at, error, work_through


@pytest.fixture(scope="module")
def clubs() -> list[Worked]:
    return [work_through(seed, SHEETS[-1]) for seed in range(CLUBS // 10)]


def test_rebuilt_from_the_sheets_in_another_order_it_is_the_same(clubs: list[Worked]) -> None:
    for worked in clubs:
        assert learned_rates(worked.club.shipped, worked.found[::-1]) == learned_rates(
            worked.club.shipped, worked.found
        )


def test_learning_by_the_rule_lowers_the_error_and_confirmed_over_looked_at_raises_it(clubs: list[Worked]) -> None:
    shipped = mean(error(worked.club.shipped, worked.club.true) for worked in clubs)
    rule = mean(error(by_rule(worked.club, worked.found), worked.club.true) for worked in clubs)
    simple = mean(error(confirmed_over_looked_at(worked.club, worked.closed), worked.club.true) for worked in clubs)
    assert rule < 0.85 * shipped
    assert simple > shipped


def test_most_causes_are_never_looked_at_and_still_learned_of(clubs: list[Worked]) -> None:
    for worked in clubs:
        looked = mean(len(sheet.looked_at) for sheet in worked.closed)
        assert looked < len(worked.club.rate_of) / 3
        learned = learned_rates(worked.club.shipped, worked.found)
        assert all(one.sheets == SHEETS[-1] and one.rate != one.shipped for one in learned.values())
