"""How well rankings did: ranks, placings, calibration, scores."""

from math import inf, log, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restorations.calc.diagnosis.scoring import (
    Prediction,
    brier_score,
    calibration,
    log_score,
    placings,
    ranks_of_confirmed,
)
from restorations.calc.errors import OutOfRange

PREDICTIONS = st.lists(st.builds(Prediction, st.floats(0.0, 1.0), st.booleans()), min_size=1, max_size=40)


def test_of_several_confirmed_causes_each_stands_among_those_not_confirmed() -> None:
    suspects = {"a": 0.9, "b": 0.8, "c": 0.7, "d": 0.6, "e": 0.5}
    assert ranks_of_confirmed({"b", "c", "e"}, suspects) == {"b": 2, "c": 2, "e": 3}


def test_two_sides_that_nothing_tells_apart_are_one_suspicion() -> None:
    assert ranks_of_confirmed({"gum@right"}, {"gum@left": 0.4 * (1 + 1e-15), "gum@right": 0.4, "box": 0.3}) == {
        "gum@right": 1
    }

    assert ranks_of_confirmed({"gum"}, {"gum": 0.0, "box": 0.0}) == {"gum": 1}


def test_what_was_not_suspected_comes_after_the_last_suspect() -> None:
    assert ranks_of_confirmed(["rust"], {"gum": 0.4, "box": 0.0}) == {"rust": 3}
    assert ranks_of_confirmed(["rust"], {}) == {"rust": 1}
    assert ranks_of_confirmed([], {"gum": 0.4}) == {}


def test_placings_count_the_first_three_with_the_first() -> None:
    found = placings([1, 1, 3, 5, 6])
    assert (found.ranks, found.first, found.first_three, found.first_five) == (5, 2, 3, 4)
    assert placings([]).ranks == 0


def test_a_rank_below_first_is_refused() -> None:
    with pytest.raises(OutOfRange, match="rank is 0"):
        placings([1, 0])


@pytest.mark.parametrize("wrong", [-0.01, 1.01, float("nan")])
def test_a_prediction_that_is_no_probability_is_refused(wrong: float) -> None:
    with pytest.raises(OutOfRange, match="probability is"):
        Prediction(wrong, True)


def test_a_bin_says_how_many_were_predicted_and_how_many_came_true() -> None:
    said = [Prediction(0.62, True), Prediction(0.68, False), Prediction(0.65, True), Prediction(0.65, True)]
    (one,) = calibration(said)
    assert (one.low, one.high, one.count) == (0.6, 0.7, 4)
    assert (one.predicted, one.came_true) == (pytest.approx(0.65), 0.75)
    error = sqrt(0.62 * 0.38 + 0.68 * 0.32 + 2 * 0.65 * 0.35) / 4
    assert one.standard_error == pytest.approx(error)
    assert one.off_by == pytest.approx(0.1 / error)


def test_a_probability_on_the_edge_belongs_above_and_certainty_to_the_last_bin() -> None:
    said = [Prediction(p, True) for p in (0.0, 0.3, 0.7, 1.0)]
    assert [(one.low, one.count) for one in calibration(said)] == [(0.0, 1), (0.3, 1), (0.7, 1), (0.9, 1)]


def test_certainty_that_comes_true_is_off_by_nothing_and_else_by_everything() -> None:
    assert calibration([Prediction(1.0, True)])[0].off_by == 0.0
    assert calibration([Prediction(1.0, False)])[0].off_by == -inf
    assert calibration([Prediction(0.0, True)])[0].off_by == inf


def test_without_predictions_there_are_no_bins_and_no_scores() -> None:
    assert calibration([]) == ()
    for score in (brier_score, log_score):
        with pytest.raises(OutOfRange, match="predictions is 0"):
            score([])
    with pytest.raises(OutOfRange, match="bins is 0"):
        calibration([Prediction(0.5, True)], 0)


@settings(derandomize=True, deadline=None)
@given(PREDICTIONS, st.integers(1, 30))
def test_every_prediction_is_in_one_bin(said: list[Prediction], bins: int) -> None:
    found = calibration(said, bins)
    assert sum(one.count for one in found) == len(said)
    assert sum(one.came_true * one.count for one in found) == pytest.approx(sum(one.came_true for one in said))
    assert all(one.low - 1e-12 <= one.predicted <= one.high + 1e-12 for one in found)


def test_scores_of_always_saying_one_half() -> None:
    said = [Prediction(0.5, came) for came in (True, False, False)]
    assert (brier_score(said), log_score(said)) == (pytest.approx(0.25), pytest.approx(log(2)))


def test_certain_and_wrong_is_unforgivable_only_in_logarithms() -> None:
    said = [Prediction(1.0, False), Prediction(1.0, True)]
    assert (brier_score(said), log_score(said)) == (0.5, inf)


@settings(derandomize=True, deadline=None)
@given(st.integers(1, 49), st.floats(0.001, 0.999))
def test_no_other_probability_scores_better_than_the_share_that_comes_true(came: int, other: float) -> None:
    outcomes = [n < came for n in range(50)]
    for score in (brier_score, log_score):
        best = score(Prediction(came / 50, outcome) for outcome in outcomes)
        assert best <= score(Prediction(other, outcome) for outcome in outcomes) + 1e-12


@settings(derandomize=True, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 9), st.booleans()), min_size=1, max_size=60))
def test_the_brier_score_is_reliability_less_resolution_plus_uncertainty(pairs: list[tuple[int, bool]]) -> None:
    """Murphy 1973 (RECALLED): exact where all predictions of a bin are alike."""
    said = [Prediction(tenth / 10 + 0.05, came) for tenth, came in pairs]
    share = sum(came for _, came in pairs) / len(pairs)
    bins = calibration(said)
    reliability = sum(one.count * (one.predicted - one.came_true) ** 2 for one in bins) / len(said)
    resolution = sum(one.count * (one.came_true - share) ** 2 for one in bins) / len(said)
    assert brier_score(said) == pytest.approx(reliability - resolution + share * (1 - share), abs=1e-12)
