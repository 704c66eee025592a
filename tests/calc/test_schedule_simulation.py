"""The return date: what certain cases come to by hand, which way it may move, what decides it, what it will not say."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restorations.calc.errors import OutOfRange
from restorations.calc.schedule import InvalidPlan, Plan, Session, Wait, Work, simulate, three_point

RUNS = 40
WEEKLY = [Session(7 * week, 2.0, (1,)) for week in range(20)]


def sure(hours: float, **more: Any) -> Work:
    return Work(three_point(hours, hours, hours), **more)


def day(work: dict[str, Work], waits: dict[str, Wait] | None = None, sessions: Any = WEEKLY) -> float | None:
    return simulate(Plan(work, waits or {}), sessions, seed=1, runs=2).likely


@pytest.mark.parametrize(
    ("work", "waits", "expected"),
    [
        ({}, {}, 0),
        ({"a": sure(2)}, {}, 0),
        ({"a": sure(3)}, {}, 7),
        ({"a": sure(2), "b": sure(2)}, {}, 7),
        ({"a": sure(4, spent=3)}, {}, 0),
        ({"a": sure(2, waits_for=("part",))}, {"part": Wait(10)}, 14),
        ({"a": sure(2), "b": sure(2, waits_for=("part",))}, {"part": Wait(10)}, 14),
        ({"a": sure(2, waits_for=("part",)), "b": sure(2, after=("a",))}, {"part": Wait(10)}, 21),
        ({"a": sure(2)}, {"soak": Wait(30)}, 30),
        ({"a": sure(2)}, {"soak": Wait(-3)}, 0),
        ({"a": sure(3)}, {"test": Wait(5, after_work=True)}, 12),
        ({"a": sure(41)}, {}, None),
        ({"a": Work((1.0, float("inf")))}, {}, None),
    ],
    ids=[
        "nothing left", "one evening", "two evenings", "one pair of hands does one thing after another",
        "hours put in are left out", "not before the part comes", "the other card meanwhile",
        "all that comes after it too",
        "a soak holds up the return itself", "a soak that is over", "then the test", "beyond the last session",
        "half the runs cannot be said",
    ],
)  # fmt: skip
def test_certain_cases_come_to_what_they_do_by_hand(work: Any, waits: Any, expected: float | None) -> None:
    assert day(work, waits) == expected


def test_hands_side_by_side_shorten_what_is_not_in_a_row() -> None:
    two = [replace(session, hands=(2,)) for session in WEEKLY]
    beside, in_a_row = {"a": sure(4), "b": sure(4)}, {"a": sure(4), "b": sure(4, after=("a",))}
    assert (day(beside), day(beside, sessions=two)) == (21, 7)
    assert day(in_a_row, sessions=two) == 21
    assert day({"a": sure(4, at_once=2), "b": sure(4, at_once=2, after=("a",))}, sessions=two) == 7


def test_what_decides_is_named_with_its_share_of_the_runs() -> None:
    two = [replace(session, hands=(2,)) for session in WEEKLY]
    work = {"long": sure(8), "short": sure(1), "rings": sure(2, waits_for=("part",), after=("short",))}
    early, late = (simulate(Plan(work, {"part": Wait(on)}), two, seed=1, runs=4) for on in (3, 60))
    assert early.critical == {"long": 1.0, "short": 0.0, "rings": 0.0, "part": 0.0}
    assert late.critical == {"long": 0.0, "short": 0.0, "rings": 1.0, "part": 1.0}
    assert (early.short_of_hands, late.short_of_hands) == (0.0, 0.0)
    alone = simulate(Plan({"a": sure(4), "b": sure(4)}, {}), WEEKLY, seed=1, runs=4)
    assert (alone.critical, alone.short_of_hands) == ({"a": 1.0, "b": 1.0}, 1.0)


def test_what_is_not_estimated_is_named_and_counts_as_nothing() -> None:
    plan = Plan({"a": sure(2), "b": Work(None)}, {"part": Wait(None)})
    found = simulate(plan, WEEKLY, seed=1, runs=2)
    assert found.missing == ("b", "part")
    assert found.likely == 0


def test_a_part_that_may_not_be_said_of_in_a_few_runs_leaves_the_even_chance() -> None:
    found = simulate(Plan({"sheet": Work((1.0, 1.0, 1.0, float("inf")))}, {}), WEEKLY, seed=1, runs=400)
    assert found.even_chance == 0
    assert found.likely is None
    assert np.isinf(found.days).mean() == pytest.approx(0.25, abs=0.07)


@pytest.mark.parametrize(
    ("plan", "sessions", "error", "words"),
    [
        (Plan({"a": sure(1, after=("a",))}, {}), WEEKLY, InvalidPlan, "waits for itself"),
        (Plan({"a": sure(1, waits_for=("part",))}, {}), WEEKLY, InvalidPlan, "not a wait of this plan"),
        (Plan({"a": sure(1)}, {"a": Wait(1)}), WEEKLY, InvalidPlan, "a piece of work and for a wait"),
        (Plan({"a": sure(1)}, {}), [], InvalidPlan, "no working session"),
        (Plan({"a": sure(1)}, {}), WEEKLY[::-1], InvalidPlan, "not in order"),
        (Plan({"a": sure(1, spent=2)}, {}), WEEKLY, OutOfRange, "beyond is 2"),
        (Plan({}, {"part": Wait(-30, three_point(0, 4, 28))}), WEEKLY, OutOfRange, "beyond is 30"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(plan: Plan, sessions: Any, error: type[Exception], words: str) -> None:
    with pytest.raises(error, match=words):
        simulate(plan, sessions, seed=1)


@pytest.mark.parametrize(
    "make",
    [
        lambda: simulate(Plan({}, {}), WEEKLY, seed=-1),
        lambda: simulate(Plan({}, {}), WEEKLY, seed=1).by(0.0),
        lambda: sure(1, spent=-1),
        lambda: sure(1, at_once=0.5),
        lambda: Work(()),
    ],
)
def test_numbers_that_cannot_be_are_refused(make: Any) -> None:
    with pytest.raises(OutOfRange):
        make()


HOURS = st.tuples(*[st.floats(0.25, 12)] * 3).map(sorted)
HANDS = st.lists(st.integers(0, 4), min_size=1, max_size=4)


@st.composite
def plans(draw: Any) -> Plan:
    """A few cards in some order, one of them after a part that is promised, and a test at the end."""
    work = {}
    for number in range(draw(st.integers(1, 5))):
        after = tuple(str(other) for other in range(number) if draw(st.booleans()))
        waits = ("part",) if draw(st.booleans()) else ()
        work[str(number)] = Work(three_point(*draw(HOURS)), after=after, waits_for=waits)
    waits = {"part": Wait(draw(st.integers(-5, 40)), three_point(0, 4, 28)), "test": Wait(3, after_work=True)}
    return Plan(work, waits)


def sessions_of(hands: list[int]) -> list[Session]:
    return [Session(3 * number, 2.5, tuple(hands)) for number in range(60)]


def never_earlier(one: Any, other: Any) -> bool:
    """Run by run, and so in every share of the runs."""
    return bool(np.all(one.days <= other.days))


@settings(max_examples=60)
@given(plans(), HANDS, st.integers(0, 4), st.floats(0.1, 6))
def test_longer_work_longer_waits_and_fewer_hands_never_bring_it_forward(
    plan: Plan, hands: list[int], which: int, more: float
) -> None:
    found = simulate(plan, sessions_of(hands), seed=3, runs=RUNS)
    name = str(which % len(plan.work))
    card: Any = plan.work[name]
    longer = replace(
        card, hours=three_point(*(guess + more for guess in (card.hours.low, card.hours.likely, card.hours.high)))
    )
    assert never_earlier(found, simulate(replace(plan, work={**plan.work, name: longer}), sessions_of(hands), 3, RUNS))
    part: Any = plan.waits["part"]
    later = replace(plan, waits={**plan.waits, "part": Wait(part.until + more, part.late)})
    assert never_earlier(found, simulate(later, sessions_of(hands), 3, RUNS))
    assert never_earlier(simulate(plan, sessions_of([number + 1 for number in hands]), 3, RUNS), found)


@settings(max_examples=40)
@given(plans(), HANDS, st.integers(0, 2**32))
def test_the_same_seed_gives_the_same_days_and_shares_are_shares(plan: Plan, hands: list[int], seed: int) -> None:
    found, again = (simulate(plan, sessions_of(hands), seed, RUNS) for _ in range(2))
    assert np.array_equal(found.days, again.days)
    assert found.critical == again.critical
    assert all(0 <= share <= 1 for share in found.critical.values())
    finite = found.days[np.isfinite(found.days)]
    assert np.array_equal(finite, np.ceil(finite))


@settings(max_examples=40)
@given(HOURS, HOURS)
def test_where_two_chains_meet_neither_alone_is_later(one: list[float], other: list[float]) -> None:
    """Merge bias: the later of two is later than each, run by run, and so is its mean."""
    plenty = sessions_of([2])
    both = {"one": Work(three_point(*one)), "other": Work(three_point(*other))}
    together = simulate(Plan(both, {}), plenty, 5, RUNS).days.mean()
    assert together >= max(simulate(Plan({name: work}, {}), plenty, 5, RUNS).days.mean() for name, work in both.items())
