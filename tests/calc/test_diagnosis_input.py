"""Unlawful models and histories are refused in words that name the offender and what was expected."""

import copy
import math
from typing import Any

import numpy as np
import pytest

from restorations.calc.diagnosis import (
    CausalModel,
    Event,
    Inspected,
    InvalidHistory,
    InvalidModel,
    Observed,
    Remedied,
    posterior,
    posterior_by_enumeration,
)
from restorations.calc.errors import CalculationError, OutOfRange
from tests.calc.diagnosis_cases import STIFF_WHEELS, stiff, stiff_wheels

MODEL_FAULTS = {
    "prior above 1": (["causes", "left"], 1.5, "prior of cause 'left' must be from 0 to 1; it is 1.5"),
    "prior negative": (["causes", "left"], -0.1, "prior of cause 'left'"),
    "prior not finite": (["causes", "left"], math.nan, "it is nan"),
    "prior a word": (["causes", "left"], "often", "must be a number from 0 to 1, not 'often'"),
    "prior a truth value": (["causes", "left"], True, "not True"),
    "causes a list": (["causes"], ["left"], "causes must be a mapping, not list"),
    "cause without a name": (["causes", ""], 0.1, "name of a cause must be a word"),
    "leak empty": (["findings", "stiff", "leak"], [], "leak of finding 'stiff' must be a list"),
    "leak a number": (["findings", "stiff", "leak"], 0.02, "leak of finding 'stiff' must be a list"),
    "leak infinite": (["findings", "stiff", "leak"], [math.inf, 0.1], "it is inf"),
    "leak rising": (["findings", "stiff", "leak"], [0.01, 0.02], "must not rise"),
    "strengths rising": (["findings", "stiff", "links", "left"], [0.4, 0.8], "'left' -> 'stiff' must not rise"),
    "strengths too short": (["findings", "stiff", "links", "left"], [0.8], "has 1 strengths; the leak has 2"),
    "strengths too long": (["findings", "stiff", "links", "left"], [0.8, 0.4, 0.1], "has 3 strengths"),
    "link from nowhere": (["findings", "stiff", "links", "piston"], [0.8, 0.4], "'piston', which is not a cause"),
    "links missing": (["findings", "stiff"], {"leak": [0.1]}, "exactly the keys"),
    "a key too many": (["title"], "x", "exactly the keys"),
}


@pytest.mark.parametrize("fault", MODEL_FAULTS)
def test_an_unlawful_model_is_refused_by_name(fault: str) -> None:
    path, value, words = MODEL_FAULTS[fault]
    mapping: Any = copy.deepcopy(STIFF_WHEELS)
    place = mapping
    for key in path[:-1]:
        place = place[key]
    place[path[-1]] = value
    with pytest.raises(InvalidModel, match=words):
        CausalModel.from_mapping(mapping)


HISTORY_FAULTS: dict[str, tuple[Event, str]] = {
    "unknown finding": (Observed("knock", 1), "'knock' is not a finding"),
    "level too high": (Observed("stiff", 3), "level must be from 0 to 2; it is 3"),
    "level negative": (Observed("stiff", -1), "level must be from 0 to 2"),
    "level not whole": (Observed("stiff", 1.5), "whole number, not 1.5"),  # type: ignore[arg-type]
    "level a truth value": (Observed("stiff", True), "whole number, not True"),
    "unknown inactive cause": (stiff(1, "piston"), "'piston' is not a cause"),
    "inactive a word": (Observed("stiff", 1, "left"), "must be a set"),  # type: ignore[arg-type]
    "unknown cause inspected": (Inspected("piston", True), "'piston' is not a cause"),
    "sensitivity above 1": (Inspected("left", True, 1.2), "sensitivity must be from 0 to 1"),
    "false alarm not finite": (Inspected("left", True, 0.9, math.inf), "false alarm rate must be from 0 to 1"),
    "unknown cause remedied": (Remedied("piston"), "'piston' is not a cause"),
    "success negative": (Remedied("left", -0.1), "success must be from 0 to 1"),
    "success a word": (Remedied("left", "often"), "success must be a number"),  # type: ignore[arg-type]
    "not an event": ("stiff", "must be Observed, Inspected or Remedied"),  # type: ignore[dict-item]
}


@pytest.mark.parametrize("work_out", [posterior, posterior_by_enumeration])
@pytest.mark.parametrize("fault", HISTORY_FAULTS)
def test_an_event_that_does_not_fit_is_refused_by_number_and_name(fault: str, work_out: Any) -> None:
    event, words = HISTORY_FAULTS[fault]
    with pytest.raises(InvalidHistory, match=words) as caught:
        work_out(stiff_wheels(), [stiff(1), event])
    assert str(caught.value).startswith("Event 2")


def test_zero_and_one_are_taken_as_given() -> None:
    mapping: Any = copy.deepcopy(STIFF_WHEELS)
    mapping["causes"].update(left=0.0, right=1.0)
    mapping["findings"]["stiff"]["leak"] = [0.0, 0.0]
    found = posterior(CausalModel.from_mapping(mapping), [stiff(1)])
    assert (found.now["left"], found.now["right"]) == (0.0, 1.0)


def test_a_model_goes_out_and_comes_back_the_same() -> None:
    assert CausalModel.from_mapping(stiff_wheels().to_mapping()).to_mapping() == STIFF_WHEELS


def test_a_model_without_findings_or_causes_is_lawful() -> None:
    assert posterior(CausalModel.from_mapping({"causes": {}, "findings": {}}), []).now == {}
    assert posterior(CausalModel.from_mapping({"causes": {"gum": 0.25}, "findings": {}}), []).now == {"gum": 0.25}


def test_numbers_from_numpy_are_taken() -> None:
    mapping: Any = copy.deepcopy(STIFF_WHEELS)
    mapping["findings"]["stiff"]["leak"] = np.array([0.02, 0.005])
    found = posterior(CausalModel.from_mapping(mapping), [Observed("stiff", np.int64(1))])
    assert found.now == posterior(stiff_wheels(), [stiff(1)]).now


def test_the_model_cannot_be_changed_afterwards() -> None:
    with pytest.raises(ValueError, match="read-only"):
        stiff_wheels().prior[0] = 0.9


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        (0.002, 0.2, "bore is 3 m; it must be between 0.002 m and 0.2 m."),
        (4.0, None, "bore is 3 m; it must be 4 m or more."),
        (None, 0.2, "bore is 3 m; it must be 0.2 m or less."),
        (None, None, "bore is 3 m; it must be an ordinary number."),
    ],
)
def test_out_of_range_says_which_number_and_what_range(low: float | None, high: float | None, words: str) -> None:
    error = OutOfRange("bore", 3.0, low, high, "m")
    assert str(error) == words
    assert isinstance(error, CalculationError)
