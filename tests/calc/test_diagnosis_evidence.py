"""Weights of evidence: they add up, they follow the chain rule, and they do not saturate."""

import math

import pytest

from restorations.calc.diagnosis import (
    CausalModel,
    Inspected,
    InvalidHistory,
    Observed,
    Remedied,
    posterior,
    weight_of_evidence,
    weights_of_evidence,
)
from tests.calc.diagnosis_cases import random_case, stiff, stiff_wheels


def test_a_look_that_makes_an_earlier_one_redundant_takes_back_what_it_gave() -> None:
    """The project's own worked values, to the printed decimal."""
    history = [stiff(1), stiff(1, "left")]
    weights = weights_of_evidence(stiff_wheels(), history)
    assert [round(w, 1) for _, w in weights["left"]] == [5.2, -7.4]
    assert [round(w, 1) for _, w in weights["right"]] == [5.2, 4.4]
    assert [event for event, _ in weights["left"]] == history


def test_a_remedy_weighs_nothing() -> None:
    weights = weight_of_evidence(stiff_wheels(), [stiff(1), Remedied("left", 0.8), stiff(1)], "left")
    assert weights[1][1] == 0.0
    assert weights[2][1] < 0.0


@pytest.mark.parametrize("seed", range(15))
def test_weights_add_up_from_the_prior_to_the_posterior_odds(seed: int) -> None:
    model, history = random_case(seed)
    found = posterior(model, history)
    for number, (cause, weights) in enumerate(weights_of_evidence(model, history).items()):
        start = model.prior[number] / (1 - model.prior[number])
        absent = found.absent_array[number]
        change = 10 * math.log10(found.at_start[cause] / absent / start) if absent else math.inf
        assert sum(w for _, w in weights) == pytest.approx(change, abs=1e-9)


def test_one_cause_weighs_as_in_the_table_of_all() -> None:
    history = [stiff(1), Inspected("box", False), stiff(0, "right")]
    assert weight_of_evidence(stiff_wheels(), history, "box") == weights_of_evidence(stiff_wheels(), history)["box"]


def test_weights_do_not_saturate_near_certainty() -> None:
    model = CausalModel.from_mapping(
        {"causes": {"gum": 0.5}, "findings": {f"f{i}": {"leak": [0.001], "links": {"gum": [0.9]}} for i in range(10)}}
    )
    weights = weight_of_evidence(model, [Observed(f"f{i}", 1) for i in range(10)], "gum")
    each = 10 * math.log10((1 - 0.999 * 0.1) / 0.001)  # by hand: the same for every finding, odds end at 1e29
    assert [w for _, w in weights] == pytest.approx([each] * 10, rel=1e-9)


def test_an_event_that_settles_the_matter_weighs_infinitely_and_later_ones_nothing() -> None:
    history = [stiff(1), stiff(0, "right"), Inspected("right", False)]
    weights = [w for _, w in weight_of_evidence(stiff_wheels(), history, "right")]
    assert weights[1:] == [math.inf, 0.0]


def test_an_unknown_cause_is_refused_by_name() -> None:
    with pytest.raises(InvalidHistory, match="'piston' is not a cause"):
        weight_of_evidence(stiff_wheels(), [], "piston")


def test_only_the_causes_asked_for_are_weighed_and_all_of_them_are_known() -> None:
    history = [stiff(1), stiff(1, "left")]
    every = weights_of_evidence(stiff_wheels(), history)
    assert weights_of_evidence(stiff_wheels(), history, ["box"]) == {"box": every["box"]}
    with pytest.raises(InvalidHistory, match="'piston' is not a cause"):
        weights_of_evidence(stiff_wheels(), history, ["box", "piston"])
