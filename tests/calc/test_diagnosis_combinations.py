"""Samples agree with the exact marginals; combinations of causes are exact and in order."""

import numpy as np
import pytest

from restorations.calc.diagnosis import CausalModel, Event, Observed, Posterior, posterior, posterior_by_enumeration
from restorations.calc.diagnosis import plan as plan_module
from restorations.calc.errors import OutOfRange
from tests.calc.diagnosis_cases import Recipe, random_case, stiff, stiff_wheels

N = 20_000


@pytest.mark.parametrize("seed", range(12))
def test_samples_agree_with_the_marginals_within_four_sigma(seed: int) -> None:
    model, history = random_case(seed, Recipe(causes=6, findings=8, events=14, density=0.5))
    _samples_agree(posterior(model, history), seed)


@pytest.mark.parametrize("seed", range(6))
def test_samples_agree_where_causes_are_wide_or_conditioned(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("restorations.calc.diagnosis.elimination.SMALL", 2)
    monkeypatch.setattr("restorations.calc.diagnosis.joins.INNER", seed % 3)
    monkeypatch.setattr(plan_module, "CONDITION_ABOVE", 3 + seed)
    model, _ = random_case(seed, Recipe(causes=9, findings=10, events=0, density=0.3))
    _samples_agree(posterior(model, [Observed(f, int(i % 5 > 0)) for i, f in enumerate(model.findings)]), seed)


def test_samples_agree_with_the_joint_of_pairs() -> None:
    found = posterior(stiff_wheels(), [stiff(1, "left"), stiff(1, "right")])
    exact = posterior_by_enumeration(stiff_wheels(), [stiff(1, "left"), stiff(1, "right")])
    drawn = found.sample(N, seed=5)
    for causes, p in exact.combinations.items():
        share = (drawn == [c in causes for c in stiff_wheels().causes]).all(axis=1).mean()
        assert share == pytest.approx(p, abs=4 * np.sqrt(p * (1 - p) / N))


def test_numbers_of_samples_and_combinations_must_be_lawful() -> None:
    found = posterior(stiff_wheels(), [stiff(1)])
    assert found.sample(0, seed=0).shape == (0, 3)
    with pytest.raises(OutOfRange, match="n is -1; it must be 0 or more"):
        found.sample(-1, seed=0)
    with pytest.raises(OutOfRange, match="seed is -2"):
        found.sample(5, seed=-2)
    with pytest.raises(OutOfRange, match="n is 0; it must be 1 or more"):
        found.most_probable(0)


def test_the_same_seed_gives_the_same_samples_and_another_seed_others() -> None:
    found = posterior(stiff_wheels(), [stiff(1)])
    first = found.sample(200, seed=1)
    assert first.shape == (200, 3)
    assert first.dtype == bool
    assert np.array_equal(first, found.sample(200, seed=1))
    assert not np.array_equal(first, found.sample(200, seed=2))


@pytest.mark.parametrize("seed", range(20))
def test_the_most_probable_combinations_are_those_of_the_definition(seed: int) -> None:
    model, history = random_case(seed, Recipe(causes=4, findings=3, events=8, density=1.0))
    history = [*history, *(Observed(f, 1, fresh=True) for f in model.findings)]  # so that every cause matters
    found, expected = posterior(model, history), posterior_by_enumeration(model, history)
    assert found.most_probable(99) == [
        (causes, pytest.approx(p, abs=1e-12)) for causes, p in expected.most_probable(99)
    ]
    assert found.notes == expected.notes


def test_causes_that_can_explain_nothing_seen_are_summed_out() -> None:
    model = CausalModel.from_mapping(
        {
            "causes": {"gum": 0.2, "leak": 0.3},
            "findings": {
                "stiff": {"leak": [0.1], "links": {"gum": [0.5]}},
                "hiss": {"leak": [0.1], "links": {"leak": [0.5]}},
            },
        }
    )
    found = posterior(model, [Observed("stiff", 1), Observed("hiss", 0)])
    gum = 0.2 * 0.55 / (0.2 * 0.55 + 0.8 * 0.1)  # by hand
    assert found.most_probable(5) == [
        (frozenset({"gum"}), pytest.approx(gum, rel=1e-12)),
        (frozenset(), pytest.approx(1 - gum, rel=1e-12)),
    ]


def test_beyond_sixteen_causes_each_probability_is_exact_and_the_order_is_said_not_to_be_proved() -> None:
    model, _ = random_case(1, Recipe(causes=18, findings=6, levels=2, events=0, density=0.5))
    history: list[Event] = [Observed(finding, 1) for finding in model.findings]
    found = posterior(model, history)
    assert found.notes == ()
    ranked = found.most_probable(4)
    assert "not proved" in found.notes[0]
    assert [p for _, p in ranked] == sorted((p for _, p in ranked), reverse=True)
    for causes, p in ranked:
        assert p == pytest.approx(_probability_by_conditioning(model, history, causes), rel=1e-9)


def _probability_by_conditioning(model: CausalModel, history: list[Event], causes: frozenset[str]) -> float:
    """P(exactly these causes | history): Bayes, with the priors set to 0 and 1 for one combination."""
    mapping = model.to_mapping()
    linked = {cause for finding in mapping["findings"].values() for cause in finding["links"]}
    prior = np.prod([p if c in causes else 1 - p for c, p in mapping["causes"].items() if c in linked])
    mapping["causes"].update({c: float(c in causes) for c in linked})
    likelihood = posterior(CausalModel.from_mapping(mapping), history).log_evidence
    return float(prior * np.exp(likelihood - posterior(model, history).log_evidence))


def _samples_agree(found: Posterior, seed: int) -> None:
    share = found.sample(N, seed).mean(axis=0)
    p = found.now_array
    sigma = np.sqrt(p * (1.0 - p) / N)
    assert np.all(np.abs(share - p) <= 4.0 * sigma + 1e-12)
