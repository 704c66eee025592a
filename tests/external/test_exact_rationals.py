"""The diagnosis against exact rational arithmetic: `exact_rationals.py` beside this file is the outside authority.

A benchmark, `python -m tests.benchmarks.diagnosis_exactness`, does the same for 1,000 models.
"""

import math
from typing import Any

import pytest

from restorations.calc.diagnosis import CausalModel, ImpossibleEvidence, Inspected, Observed, Remedied, posterior
from tests.calc.diagnosis_cases import random_case
from tests.external.exact_rationals import exact_posterior
from tests.external.mixed_cases import RECIPES, worst_difference


@pytest.mark.parametrize("seed", range(100))
def test_random_mixed_evidence_is_exact_to_twelve_places(seed: int) -> None:
    model, history = random_case(seed, RECIPES[seed % len(RECIPES)])
    assert worst_difference(model, history) < 1e-12


def test_the_hundred_cases_hold_every_kind_of_evidence() -> None:
    kinds: dict[str, int] = dict.fromkeys(("absent", "graded", "repeated", "nested", "crossed", "fresh", "failed"), 0)
    for seed in range(100):
        model, history = random_case(seed, RECIPES[seed % len(RECIPES)])
        looks = [e for e in history if isinstance(e, Observed)]
        pairs = [(a, b) for i, a in enumerate(looks) for b in looks[i + 1 :] if a.finding == b.finding]
        kinds["absent"] += any(look.level == 0 for look in looks)
        kinds["graded"] += any(look.level > 1 for look in looks)
        kinds["repeated"] += bool(pairs)
        kinds["nested"] += any(a.inactive < b.inactive or b.inactive < a.inactive for a, b in pairs)
        kinds["crossed"] += any(a.inactive - b.inactive and b.inactive - a.inactive for a, b in pairs)
        kinds["fresh"] += any(look.fresh for look in looks)
        kinds["failed"] += any(
            isinstance(e, Remedied) and any(isinstance(x, Observed) and x.level for x in history[i:])
            for i, e in enumerate(history)
        )
        kinds["inspected"] = kinds.get("inspected", 0) + any(isinstance(e, Inspected) for e in history)
        assert len(model.causes) <= 5
    assert min(kinds.values()) >= 10, kinds


@pytest.mark.parametrize("findings", [10, 20, 40, 90])
def test_log_evidence_is_right_however_rare_the_evidence(findings: int) -> None:
    """Unlikely causes, weak links, tiny leaks: from about 1e-25 at ten findings to beyond 1e-200 at ninety."""
    model: dict[str, Any] = {"causes": {f"cause{i}": 10.0 ** -(2 + i) for i in range(4)}, "findings": {}}
    for j in range(findings):
        links = {f"cause{i}": [0.001 * (1 + (i + j) % 7)] for i in range(4) if (i * j + j // 2) % 3}
        model["findings"][f"finding{j}"] = {"leak": [0.0004 + 0.0001 * (j % 5)], "links": links}
    history = [Observed(f"finding{j}", 1) for j in range(findings)]
    exact = exact_posterior(model, history)
    assert exact is not None
    found = posterior(CausalModel.from_mapping(model), history)
    assert exact.log_evidence < -2.2 * math.log(10) * findings
    assert found.log_evidence == pytest.approx(exact.log_evidence, rel=1e-13)
    assert found.now == pytest.approx({c: float(p) for c, p in exact.now.items()}, rel=1e-9, abs=1e-15)


def test_evidence_of_one_in_ten_to_the_sixty_with_one_cause_for_all() -> None:
    model: dict[str, Any] = {"causes": {"gum": 1e-60}, "findings": {"stiff": {"leak": [0.0], "links": {"gum": [0.5]}}}}
    found = posterior(CausalModel.from_mapping(model), [Observed("stiff", 1)])
    exact = exact_posterior(model, [Observed("stiff", 1)])
    assert exact is not None
    assert found.log_evidence == pytest.approx(exact.log_evidence, rel=1e-14)
    assert found.now == {"gum": 1.0}


def test_both_ways_agree_that_evidence_is_impossible() -> None:
    model: dict[str, Any] = {"causes": {"gum": 0.2}, "findings": {"stiff": {"leak": [0.0], "links": {"gum": [0.5]}}}}
    history = [Inspected("gum", False, 1.0, 0.0), Observed("stiff", 1)]
    assert exact_posterior(model, history) is None
    with pytest.raises(ImpossibleEvidence):
        posterior(CausalModel.from_mapping(model), history)
