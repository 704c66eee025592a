"""Durations, order of work, intervals and sessions: what they give, and what they refuse."""

from datetime import date, datetime
from itertools import pairwise, product
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from restorations.calc.errors import OutOfRange
from restorations.calc.schedule import (
    InvalidPlan,
    Session,
    availability,
    critical_path,
    merged,
    months_later,
    order_of_work,
    sessions_ahead,
    three_point,
)

HOURS = st.floats(0.25, 50)
GUESSES = st.tuples(HOURS, HOURS, HOURS).map(sorted)
SPELL = st.tuples(st.integers(0, 30), st.integers(0, 10)).map(lambda spell: (spell[0], spell[0] + spell[1]))


@pytest.mark.parametrize(
    ("guesses", "name"),
    [((-1, 2, 3), "low"), ((1, 4, 3), "likely"), ((2, 1, 3), "likely"), ((4, 4, 3), "high"), ((1, 2, np.inf), "high")],
)
def test_guesses_out_of_order_are_refused_by_name(guesses: tuple[float, float, float], name: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        three_point(*guesses)
    assert refused.value.name == name


@given(GUESSES, st.floats(0, 1), st.floats(0, 20))
def test_every_share_gets_longer_where_the_likely_guess_or_all_three_do(
    guesses: list[float], part: float, more: float
) -> None:
    shares = np.linspace(0, 1, 21)
    low, likely, high = guesses
    drawn = three_point(*guesses).quantiles(shares)
    later = three_point(low, likely + part * (high - likely), high).quantiles(shares)
    assert (later - drawn).min() >= -1e-3 * (high - low)
    shifted = three_point(low + more, likely + more, high + more).quantiles(shares)
    assert shifted == pytest.approx(drawn + more, abs=1e-3 * (high - low) + 1e-6)


@given(GUESSES, st.floats(0, 0.99))
def test_what_goes_on_takes_longer_than_it_has_taken(guesses: list[float], part: float) -> None:
    guess = three_point(*guesses)
    spent = part * guess.high
    drawn = guess.quantiles(np.linspace(0, 1, 11), beyond=spent)
    assert drawn.min() >= max(spent, guess.low)
    assert drawn.max() <= guess.high
    with pytest.raises(OutOfRange):
        guess.quantiles(np.array([0.5]), beyond=guess.high + 1)


@pytest.mark.parametrize(
    ("cards", "words"),
    [
        ({"boil": (1, 2, 3, ("boil",))}, "“boil” waits for itself"),
        ({"a": (1, 2, 3, ("b",)), "b": (1, 2, 3, ("c",)), "c": (1, 2, 3, ("a",))}, "wait for one another"),
        ({"a": (1, 2, 3, ("lathe",))}, "“a” comes after “lathe”, which is not in the plan"),
    ],
)
def test_work_that_cannot_be_put_in_order_is_refused_with_the_chain(cards: Any, words: str) -> None:
    with pytest.raises(InvalidPlan, match=words) as refused:
        critical_path(cards)
    assert set(refused.value.chain) >= set(cards)


def test_no_cards_take_no_time() -> None:
    path = critical_path({})
    assert (path.length, path.variance, path.critical, path.slack) == (0.0, 0.0, (), {})


@st.composite
def cards(draw: Any) -> dict[str, Any]:
    """Up to six cards, each after some of those before it."""
    number = draw(st.integers(1, 6))
    found = {}
    for n in range(number):
        first = [str(other) for other in range(n) if draw(st.booleans())]
        found[str(n)] = (*draw(GUESSES), first)
    return found


@given(cards())
def test_the_critical_path_is_the_longest_of_all_chains(plan: dict[str, Any]) -> None:
    """Against every chain there is, one after another."""
    mean = {name: three_point(*card[:3]).mean for name, card in plan.items()}
    names = list(plan)
    chains = [
        [name for name, taken in zip(names, choice, strict=True) if taken]
        for choice in product((False, True), repeat=len(names))
    ]
    lawful = [chain for chain in chains if all(b in plan and a in plan[b][3] for a, b in pairwise(chain))]
    path = critical_path(plan)
    assert path.length == pytest.approx(max(sum(mean[name] for name in chain) for chain in lawful))
    assert all(slack >= 0 for slack in path.slack.values())
    assert path.critical
    assert list(path.critical) == [
        name for name in order_of_work({n: c[3] for n, c in plan.items()}) if name in path.critical
    ]


@given(st.lists(SPELL, max_size=8), st.integers(0, 40))
def test_days_lost_are_the_days_on_which_something_held(spells: list[tuple[int, int]], length: int) -> None:
    period = (3, 4 + length)
    days = {day for start, end in spells for day in range(start, end)} & set(range(*period))
    had = availability(spells, period)
    assert had.days_lost == len(days)
    assert had.fraction == pytest.approx(1 - len(days) / (period[1] - period[0]))
    parts = merged(spells, period)
    assert all(one[1] < other[0] for one, other in pairwise(parts))


def test_moments_count_in_parts_of_a_day() -> None:
    noon = datetime(2026, 3, 1, 12)
    had = availability([(noon, None)], (datetime(2026, 3, 1), datetime(2026, 3, 3)))
    assert had.days_lost == 1.5


@pytest.mark.parametrize(
    ("stoppages", "period", "name"),
    [
        ([(date(2026, 5, 9), date(2026, 5, 1))], (date(2026, 1, 1), date(2026, 7, 1)), "stoppages"),
        ([], (date(2026, 7, 1), date(2026, 1, 1)), "period"),
        ([], (date(2026, 7, 1), date(2026, 7, 1)), "period"),
    ],
    ids=["a stoppage", "the period", "a period of no days"],
)
def test_what_ends_before_it_begins_is_refused_and_named(stoppages: Any, period: Any, name: str) -> None:
    with pytest.raises(OutOfRange) as refused:
        availability(stoppages, period)
    assert refused.value.name == name
    if stoppages:
        assert "interval 1 ends on 2026-05-01, before it began on 2026-05-09" in str(refused.value)


def test_sessions_follow_the_week_and_a_pattern_without_any_has_none() -> None:
    week = {1: (2.5, [2, 3]), 5: (4.0, [1])}
    found = sessions_ahead(week, first_weekday=1, days=14, closed=[5])
    assert [(session.day, session.hours) for session in found] == [(0, 2.5), (4, 4.0), (7, 2.5), (11, 4.0)]
    assert sessions_ahead({}, first_weekday=1, days=14) == ()
    with pytest.raises(OutOfRange):
        sessions_ahead({7: (1.0, [1])}, first_weekday=1, days=14)
    for hours, hands in ((0.0, (1.0,)), (1.0, ()), (1.0, (-1.0,))):
        with pytest.raises(OutOfRange):
            Session(day=0, hours=hours, hands=hands)


def test_months_are_refused_where_the_calendar_ends() -> None:
    with pytest.raises(OutOfRange):
        months_later(date(9999, 6, 1), 12)
