"""Learned rates against the Beta-binomial in closed form, and against a published example of shrinkage.

Where the complaint says nothing of a cause and the sheets tell the whole truth, learning is the textbook case: a
Beta(20 p0, 20 (1 - p0)) prior, n sheets, k times found.
"""

from fractions import Fraction
from math import exp, lgamma

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restorations.calc.diagnosis.learning import SheetEvidence, learned_rates


def learned(rate: float, found: int, sheets: int, strength: float = 20.0) -> float:
    every = [SheetEvidence({"gum": float(n < found)}, {"gum": rate}) for n in range(sheets)]
    return learned_rates({"gum": rate}, every, strength=strength)["gum"].rate


def log_beta(a: float, b: float) -> float:
    return lgamma(a) + lgamma(b) - lgamma(a + b)


COUNTS = st.integers(0, 60).flatmap(lambda sheets: st.tuples(st.integers(0, sheets), st.just(sheets)))


@settings(derandomize=True, deadline=None)
@given(st.floats(0.01, 0.6), COUNTS)
def test_the_rate_is_the_mean_of_the_posterior_beta(rate: float, counts: tuple[int, int]) -> None:
    """P(next | k of n) = B(a + k + 1, b + n - k) / B(a + k, b + n - k): Skellam 1948 (RECALLED)."""
    found, sheets = counts
    a, b = 20 * rate + found, 20 * (1 - rate) + sheets - found
    expected = exp(log_beta(a + 1, b) - log_beta(a, b))
    assert learned(rate, found, sheets) == pytest.approx(min(expected, 0.95), rel=1e-9)


@pytest.mark.parametrize("order", ["1100", "0011", "0101"])
def test_the_rate_is_the_next_draw_from_polyas_urn(order: str) -> None:
    """Eggenberger & Pólya 1923 (RECALLED): 1 black and 19 white balls, each drawn put back with one like it."""
    black, balls = Fraction(1), Fraction(20)
    for drawn in order:
        black, balls = black + int(drawn), balls + 1
    assert learned(0.05, order.count("1"), len(order)) == pytest.approx(float(black / balls), rel=1e-12)


# Efron & Morris 1975, Data analysis using Stein's estimator and its generalizations, J. Amer. Statist. Assoc. 70,
# 311-319, table 1: 18 batters of 1970, hits in the first 45 at bats and average over the rest of the season (SEEN in
# the data set EfronMorris of the R package pscl, and as averages in several copies; one gives .286 for the third last).
BATTERS = [
    (18, 0.346), (17, 0.298), (16, 0.276), (15, 0.222), (14, 0.273), (14, 0.270), (13, 0.263), (12, 0.210),
    (11, 0.269), (11, 0.230), (10, 0.264), (10, 0.256), (10, 0.303), (10, 0.264), (10, 0.226), (9, 0.285),
    (8, 0.316), (7, 0.200),
]  # fmt: skip
AT_BATS = 45
ALL_HITS = 215  # by hand; 215 / 810 = .265, the grand average they print
# Their shrinking factor: c = 1 - 15 x variance / sum of squares = 1 - 15 x .0043328 / .082442 = .2117 (by hand; .212
# printed in Efron & Morris 1977, Scientific American 236, SEEN in code that repeats their estimate).
FACTOR = 0.2117


def shrunk(hits: int) -> float:
    """The rule with a prior worth as many at bats as their factor says: 45 / (45 + strength) = c."""
    return learned(ALL_HITS / 810, hits, AT_BATS, strength=AT_BATS * (1 - FACTOR) / FACTOR)


def test_their_table_adds_up() -> None:
    assert sum(hits for hits, _ in BATTERS) == ALL_HITS
    average = ALL_HITS / 810
    variance = average * (1 - average) / AT_BATS
    squares = sum((hits / AT_BATS - average) ** 2 for hits, _ in BATTERS)
    assert 1 - 15 * variance / squares == pytest.approx(FACTOR, abs=1e-4)


@pytest.mark.parametrize(("hits", "printed"), [(18, 0.294), (16, 0.285), (13, 0.270), (10, 0.256), (7, 0.242)])
def test_batters_shrink_to_what_they_print(hits: int, printed: float) -> None:
    """Efron & Morris 1977, James-Stein averages (RECALLED; each agrees with .265 + .212 (y - .265) by hand)."""
    assert shrunk(hits) == pytest.approx(printed, abs=1e-3)


def test_shrinking_predicts_the_rest_of_the_season_better_by_the_factor_they_print() -> None:
    """Total squared error .077 for the first averages, .022 shrunk, 3.5 times (RECALLED; from hits .0753, .0213)."""
    plain = sum((hits / AT_BATS - rest) ** 2 for hits, rest in BATTERS)
    by_rule = sum((shrunk(hits) - rest) ** 2 for hits, rest in BATTERS)
    assert (plain, by_rule) == (pytest.approx(0.077, abs=2e-3), pytest.approx(0.022, abs=2e-3))
    assert plain / by_rule == pytest.approx(3.5, abs=0.1)
