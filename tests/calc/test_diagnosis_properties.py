"""What must hold for any model and any history."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from restorations.calc.diagnosis import CausalModel, Event, ImpossibleEvidence, Observed, Posterior, posterior
from restorations.calc.diagnosis.draws import compile_history
from tests.calc.diagnosis_cases import Recipe, random_case

RECIPES = st.builds(
    Recipe,
    causes=st.integers(1, 6),
    findings=st.integers(1, 5),
    levels=st.integers(2, 4),
    events=st.integers(0, 10),
    density=st.sampled_from([0.3, 0.7, 1.0]),
    certain=st.sampled_from([0.0, 0.0, 0.2]),
)
CASES = st.builds(random_case, st.integers(0, 10**6), RECIPES)
Case = tuple[CausalModel, list[Event]]


def _possible(model: CausalModel, history: list[Event]) -> Posterior:
    try:
        return posterior(model, history)
    except ImpossibleEvidence:
        assume(False)
        raise


@given(CASES)
def test_probabilities_are_lawful_and_what_is_there_now_was_there_at_the_start(case: Case) -> None:
    found = _possible(*case)
    for cause, now in found.now.items():
        assert 0.0 <= now <= found.at_start[cause] + 1e-12 <= 1.0 + 2e-12
    assert found.log_evidence <= 1e-12
    assert found.trajectory_probability.sum(axis=1) == pytest.approx(1.0, abs=1e-12)


@given(CASES, st.randoms(use_true_random=False))
def test_the_order_of_looks_at_different_findings_does_not_matter(case: Case, random: np.random.Generator) -> None:
    model, _ = case
    looks = [Observed(f, i % model.levels(f)) for i, f in enumerate(model.findings)]
    shuffled = list(looks)
    random.shuffle(shuffled)  # type: ignore[arg-type]
    one, other = _possible(model, list(looks)), posterior(model, list(shuffled))
    assert other.now == pytest.approx(one.now, abs=1e-12)
    assert other.log_evidence == pytest.approx(one.log_evidence, abs=1e-11)


@given(CASES)
def test_looking_again_with_nothing_changed_changes_nothing(case: Case) -> None:
    model, history = case
    found = _possible(model, history)
    last = next((e for e in reversed(history) if isinstance(e, Observed)), None)
    assume(last is not None)
    assert last is not None
    again = Observed(last.finding, last.level, last.inactive)
    assume(history[-1] is last)
    repeated = posterior(model, [*history, again])
    assert repeated.now == pytest.approx(found.now, abs=1e-12)
    assert repeated.log_evidence == pytest.approx(found.log_evidence, abs=1e-11)


@given(CASES)
def test_the_beginning_of_a_history_is_grouped_as_in_the_whole(case: Case) -> None:
    model, history = case
    whole = compile_history(model, history)
    for count in range(len(history)):
        part = compile_history(model, history[:count])
        kept = [(f, tuple(look for look in looks if look.time < count)) for f, looks in whole.looks]
        assert [group for group in kept if group[1]] == list(part.looks)
        assert part.notes == whole.notes[: len(part.notes)]


@given(CASES)
def test_chances_of_the_next_level_add_up_and_predict_the_evidence(case: Case) -> None:
    model, history = case
    found = _possible(model, history)
    trajectories = found.trajectories(50, seed=3)
    finding = model.findings[0]
    chances = found.compiled.outcome_probabilities(finding, frozenset(), trajectories)
    assert chances.shape == (50, model.levels(finding))
    assert chances.sum(axis=1) == pytest.approx(1.0, abs=1e-12)


@given(CASES)
def test_evidence_of_all_levels_of_a_fresh_look_adds_up_to_the_evidence_without_it(case: Case) -> None:
    model, history = case
    before = _possible(model, history)
    finding = model.findings[-1]
    total = 0.0
    for level in range(model.levels(finding)):
        try:
            total += math.exp(
                posterior(model, [*history, Observed(finding, level, fresh=True)]).log_evidence - before.log_evidence
            )
        except ImpossibleEvidence:
            continue
    assert total == pytest.approx(1.0, abs=1e-10)
