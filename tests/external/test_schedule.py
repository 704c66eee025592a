"""Schedules against published examples and closed forms; the source stands beside each."""

from datetime import date
from math import erf, pi, sqrt
from statistics import NormalDist

import numpy as np
import pytest
from scipy.stats import beta

from restorations.calc.schedule import (
    Plan,
    Session,
    Work,
    availability,
    critical_path,
    merged,
    months_later,
    simulate,
    three_point,
)


def chance_below(z: float) -> float:
    return (1 + erf(z / sqrt(2))) / 2


def test_pert_adds_up_along_the_path_and_gives_the_printed_chance() -> None:
    """Taylor, Introduction to Management Science, solved problem: four activities, deadline 28, P = 0.9633 (SEEN)."""
    guesses = [(5, 8, 17), (3, 5, 7), (4, 6, 8), (3, 4, 5)]
    path = critical_path({str(n): (*three, [str(n - 1)] if n else []) for n, three in enumerate(guesses)})
    assert (path.length, path.variance) == (24.0, pytest.approx(5.0))
    assert chance_below((28 - path.length) / sqrt(path.variance)) == pytest.approx(0.9633, abs=3e-4)


# Taylor, Introduction to Management Science, chapter 8, solutions: an activity runs from event i to event j; time, ES,
# EF, LS, LF, slack as printed; critical path 1-3-4-5-6 (SEEN, a stored copy of the chapter's solutions).
FIRST_TABLE = """
1-2 7 0 7 2 9 2
1-3 10 0 10 0 10 0
2-4 6 7 13 9 15 2
3-4 5 10 15 10 15 0
3-5 4 10 14 14 18 4
4-5 3 15 18 15 18 0
5-6 2 18 20 18 20 0
"""
# The problem after it.
SECOND_TABLE = """
1-2 8 0 8 1 9 1
1-3 10 0 10 0 10 0
1-4 9 0 9 6 15 6
2-5 6 8 14 9 15 1
2-6 4 8 12 16 20 8
3-5 5 10 15 10 15 0
4-5 0 9 9 15 15 6
4-7 7 9 16 20 27 11
5-7 12 15 27 15 27 0
5-8 15 15 30 16 31 1
6-9 18 12 30 20 38 8
7-8 4 27 31 27 31 0
8-9 7 31 38 31 38 0
"""


@pytest.mark.parametrize(
    ("table", "length", "critical"),
    [
        (FIRST_TABLE, 20, ("1-3", "3-4", "4-5", "5-6")),
        (SECOND_TABLE, 38, ("1-3", "3-5", "5-7", "7-8", "8-9")),
    ],
)
def test_every_time_and_slack_of_a_published_table_comes_out(table: str, length: float, critical: tuple[str]) -> None:
    printed = {name: [float(n) for n in numbers] for name, *numbers in map(str.split, table.strip().splitlines())}
    first = {name: [other for other in printed if other.split("-")[1] == name.split("-")[0]] for name in printed}
    path = critical_path({name: (time, time, time, first[name]) for name, (time, *_) in printed.items()})
    assert (path.length, path.critical) == (length, critical)
    for name, (_, *expected) in printed.items():
        times = path.times[name]
        found = [times.early_start, times.early_finish, times.late_start, times.late_finish, path.slack[name]]
        assert found == expected, name


# Hillier & Lieberman, Introduction to Operations Research, PERT/CPM chapter, Reliable Construction Co.: three guesses,
# what comes first, printed mean, printed slack (RECALLED).
RELIABLE = {
    "A": ((1, 2, 3), "", 2, 0), "B": ((2, 3.5, 8), "A", 4, 0), "C": ((6, 9, 18), "B", 10, 0),
    "D": ((4, 5.5, 10), "C", 6, 4), "E": ((1, 4.5, 5), "C", 4, 0), "F": ((4, 4, 10), "E", 5, 0),
    "G": ((5, 6.5, 11), "D", 7, 4), "H": ((5, 8, 17), "EG", 9, 4), "I": ((3, 7.5, 9), "C", 7, 2),
    "J": ((3, 9, 9), "FI", 8, 0), "K": ((4, 4, 4), "J", 4, 1), "L": ((1, 5.5, 7), "J", 5, 0),
    "M": ((1, 2, 3), "H", 2, 4), "N": ((5, 5.5, 9), "KL", 6, 0),
}  # fmt: skip


def test_a_published_project_gives_its_path_its_variance_and_its_chance_of_the_deadline() -> None:
    """Printed: A-B-C-E-F-J-L-N, 44 weeks, variance 9, P(47 weeks) about 0.84."""
    path = critical_path({name: (*guesses, first) for name, (guesses, first, _, _) in RELIABLE.items()})
    assert path.critical == tuple("ABCEFJLN")
    assert (path.length, path.variance) == (pytest.approx(44), pytest.approx(9))
    assert path.slack == pytest.approx({name: slack for name, (*_, slack) in RELIABLE.items()})
    means = {name: three_point(*guesses).mean for name, (guesses, *_) in RELIABLE.items()}
    assert means == pytest.approx({name: mean for name, (_, _, mean, _) in RELIABLE.items()})
    assert chance_below((47 - path.length) / sqrt(path.variance)) == pytest.approx(0.84, abs=0.005)


def test_the_simulated_mean_of_that_project_is_beyond_its_critical_path() -> None:
    """Merge bias: the mean of the later of several chains is beyond the longest mean (Clark, Oper. Res. 1961, M)."""
    work = {name: Work(three_point(*guesses), after=tuple(first)) for name, (guesses, first, *_) in RELIABLE.items()}
    weeks = [Session(week, 1.0, (20,)) for week in range(90)]
    found = simulate(Plan(work, {}), weeks, seed=1, runs=4000)
    length = found.days.mean() + 1 - 0.5  # the week it ends in, counted from 0, is half a week late on average
    assert 44.2 < length < 47


@pytest.mark.parametrize("guesses", [(2, 4, 12), (1, 1, 5), (3, 9, 9), (0, 5, 10)])
def test_shares_of_a_guess_are_those_of_the_beta_distribution(guesses: tuple[float, float, float]) -> None:
    """Against scipy's beta, with the parameters of the beta-PERT distribution; also where some of it has passed."""
    low, likely, high = guesses
    reference = beta(1 + 4 * (likely - low) / (high - low), 1 + 4 * (high - likely) / (high - low), low, high - low)
    shares = np.linspace(0.01, 0.99, 21)
    guess = three_point(low, likely, high)
    assert guess.quantiles(shares) == pytest.approx(reference.ppf(shares), abs=2e-3 * (high - low))
    assert reference.mean() == pytest.approx(guess.mean)
    passed = reference.cdf(likely)
    rest = reference.ppf(passed + shares * (1 - passed))
    if likely < high:
        assert guess.quantiles(shares, beyond=likely) == pytest.approx(rest, abs=2e-3 * (high - low))


def hourly(*hours: float) -> list[Session]:
    return [Session(day, length, (9,)) for day, length in enumerate(hours)]


@pytest.mark.parametrize(
    ("late", "on_time"),
    [
        (((1, 2), (1, 2)), 0.25),
        (((3, 10), (7, 20), (5, 20)), 0.34),
        (((1, 4), (3, 10)), 21 / 40),
    ],
    ids=["0.5 x 0.5", "0.7 x 0.65 x 0.75", "late 1/4 and 3/10"],
)
def test_the_chance_that_all_are_on_time_is_the_product(late: tuple[tuple[int, int], ...], on_time: float) -> None:
    """Project-management articles on merging paths (SEEN): each on time by itself, all together less often."""
    work = {
        str(number): Work((1.0,) * (of - part) + (2.0,) * part) for number, (part, of) in enumerate(late)
    }  # fmt: skip
    found = simulate(Plan(work, {}), hourly(1.0, 1.0), seed=2, runs=40_000)
    assert (found.days == 0).mean() == pytest.approx(on_time, abs=0.007)


def test_the_later_of_two_normal_chains_has_the_mean_and_spread_of_the_closed_form() -> None:
    """Max of two N(0,1): mean 1/sqrt(pi) = 0.5642, sd sqrt(1 - 1/pi) = 0.8256 (SEEN; Clark 1961 for the general case).

    Two pieces of 20 + N(0,1) hours side by side; sessions of 1/20 hour after the first, so that a day is 1/20 hour.
    """
    normal = tuple(20 + NormalDist().inv_cdf((n + 0.5) / 4000) for n in range(4000))
    fine = hourly(15.0, *(0.05 for _ in range(220)))
    found = simulate(Plan({"one": Work(normal), "other": Work(normal)}, {}), fine, seed=4, runs=20_000)
    later = 15 + (found.days - 0.5) * 0.05 - 20
    assert 1 / sqrt(pi) == pytest.approx(0.5641895835, abs=1e-9)
    assert later.mean() == pytest.approx(0.5641895835, abs=0.02)
    assert later.std() == pytest.approx(0.8256452711, abs=0.02)


def test_overlapping_stops_are_counted_once() -> None:
    """[1 Mar, 10 Apr), [2 Apr, 12 Apr), [12 Dec, open) in 2025: 62 days, 70 unmerged, availability 0.8301 (by hand)."""
    year = (date(2025, 1, 1), date(2026, 1, 1))
    stops = [(date(2025, 3, 1), date(2025, 4, 10)), (date(2025, 4, 2), date(2025, 4, 12)), (date(2025, 12, 12), None)]
    had = availability(stoppages=stops, period=year)
    assert had.days_lost == 62
    assert had.fraction == pytest.approx(0.8301, abs=5e-5)
    assert sum(availability([stop], year).days_lost for stop in stops) == 70
    assert merged(stops, year) == ((date(2025, 3, 1), date(2025, 4, 12)), (date(2025, 12, 12), date(2026, 1, 1)))


@pytest.mark.parametrize(
    ("start", "months", "expected"),
    [
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(1896, 2, 29), 48, date(1900, 2, 28)),
        (date(1996, 2, 29), 48, date(2000, 2, 29)),
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2028, 1, 31), 1, date(2028, 2, 29)),
        (date(2026, 1, 31), 2, date(2026, 3, 31)),
        (date(2026, 8, 31), -6, date(2026, 2, 28)),
        (date(2026, 11, 30), 14, date(2028, 1, 30)),
    ],
)
def test_months_end_where_the_gregorian_calendar_says(start: date, months: int, expected: date) -> None:
    """Leap years: each fourth, not each hundredth, but each four-hundredth (bull Inter gravissimas, 1582; by hand)."""
    assert months_later(start, months) == expected


@pytest.mark.parametrize(("year", "days"), [(2027, 28), (2028, 29), (1900, 28), (2000, 29)])
def test_a_stop_through_february_loses_the_days_it_has(year: int, days: int) -> None:
    february = (date(year, 2, 1), date(year, 3, 1))
    assert availability([(date(year, 1, 15), None)], february).days_lost == days
