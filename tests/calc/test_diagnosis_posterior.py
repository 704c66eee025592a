"""Posterior of the worked example, looks that share a draw, remedies, and agreement with plain enumeration."""

import math

import pytest

from restorations.calc.diagnosis import (
    CausalModel,
    Event,
    ImpossibleEvidence,
    Inspected,
    Observed,
    Remedied,
    TooEntangled,
    posterior,
    posterior_by_enumeration,
)
from restorations.calc.diagnosis import plan as plan_module
from tests.calc.diagnosis_cases import Recipe, random_case, stiff, stiff_wheels

EXACT = 1e-12

# The project's own worked values, found by a prototype that listed every draw; P(e) None where only the posterior is.
WORKED: dict[str, tuple[list[Event], float | None, dict[str, float]]] = {
    "a later look with one side off makes the first redundant": (
        [stiff(1), stiff(1, "left")],
        0.1071202,
        {"left": 0.1304347826, "right": 0.6954523983, "box": 0.2477347876},
    ),
    "two looks, each with another side off": (
        [stiff(1, "left"), stiff(1, "right")],
        0.04356916,
        {"left": 0.2512318346, "right": 0.2512318346, "box": 0.5864138762},
    ),
    "stiff, then free though nothing was done": ([stiff(1), stiff(0)], None, {"left": 0.3209895996}),
    "still stiff after a remedy, then free with the other side off": (
        [stiff(1), Remedied("left", 0.8), stiff(1), stiff(0, "right")],
        0.068393024,
        {"left": 0.0088495575, "right": 1.0, "box": 0.0155440415},
    ),
}


@pytest.mark.parametrize("case", WORKED)
def test_worked_example_comes_out_as_by_hand(case: str) -> None:
    history, evidence, now = WORKED[case]
    found = posterior(stiff_wheels(), history)
    assert {c: found.now[c] for c in now} == pytest.approx(now, abs=5.1e-11)  # printed to 10 places
    if evidence is not None:
        assert math.exp(found.log_evidence) == pytest.approx(evidence, rel=EXACT)


@pytest.mark.parametrize("case", WORKED)
def test_worked_example_agrees_with_the_definition(case: str) -> None:
    _agrees(stiff_wheels(), WORKED[case][0])


def test_presence_at_the_start_is_told_apart_from_presence_now() -> None:
    found = posterior(stiff_wheels(), WORKED["still stiff after a remedy, then free with the other side off"][0])
    assert found.at_start["left"] == pytest.approx(0.1150442478, abs=5.1e-11)
    assert found.at_start["right"] == 1.0


def test_no_evidence_leaves_the_priors() -> None:
    found = posterior(stiff_wheels(), [])
    assert found.now == pytest.approx({"left": 0.2, "right": 0.2, "box": 0.05}, rel=1e-15)
    assert found.log_evidence == pytest.approx(0.0, abs=1e-15)


def test_a_remedy_is_an_act_and_not_evidence() -> None:
    before, after = posterior(stiff_wheels(), [stiff(1)]), posterior(stiff_wheels(), [stiff(1), Remedied("left", 0.8)])
    assert after.at_start == pytest.approx(before.at_start, rel=EXACT)
    assert after.log_evidence == pytest.approx(before.log_evidence, rel=EXACT)
    assert after.now["left"] == pytest.approx(0.2 * before.now["left"], rel=EXACT)
    assert after.now["right"] == pytest.approx(before.now["right"], rel=EXACT)


def test_an_inspection_multiplies_the_odds() -> None:
    found = posterior(stiff_wheels(), [Inspected("left", True, 0.9, 0.1)])  # odds 1/4 x 9
    assert found.now["left"] == pytest.approx(9 / 13, rel=EXACT)


def test_a_remedy_after_an_inspection_does_not_change_what_the_inspection_said() -> None:
    found = posterior(stiff_wheels(), [Inspected("left", True, 0.9, 0.1), Remedied("left", 0.5)])
    assert (found.at_start["left"], found.now["left"]) == pytest.approx((9 / 13, 4.5 / 13), rel=EXACT)


def test_the_same_look_twice_counts_once() -> None:
    once, twice = posterior(stiff_wheels(), [stiff(2)]), posterior(stiff_wheels(), [stiff(2), stiff(2)])
    assert twice.now == pytest.approx(once.now, rel=EXACT)
    assert twice.log_evidence == pytest.approx(once.log_evidence, rel=EXACT)


def test_a_look_repeated_five_hundred_times_still_counts_once() -> None:
    once, often = posterior(stiff_wheels(), [stiff(2)]), posterior(stiff_wheels(), [stiff(2)] * 500)
    assert often.now == pytest.approx(once.now, rel=EXACT)
    assert often.notes == ()


def test_a_fresh_look_counts_again() -> None:
    once, twice = posterior(stiff_wheels(), [stiff(2)]), posterior(stiff_wheels(), [stiff(2), stiff(2, fresh=True)])
    assert twice.now["left"] > once.now["left"] + 0.01
    assert twice.notes == ()


@pytest.mark.parametrize("levels", [(1, 0), (0, 1), (1, 2), (2, 1)])
def test_a_change_with_nothing_done_opens_a_new_draw_and_is_noted(levels: tuple[int, int]) -> None:
    history = [stiff(level) for level in levels]
    found = posterior(stiff_wheels(), history)
    openly = posterior(stiff_wheels(), [history[0], stiff(levels[1], fresh=True)])
    assert found.now == pytest.approx(openly.now, rel=EXACT)
    assert len(found.notes) == 1
    assert f"stiff seen at level {levels[1]}" in found.notes[0]


def test_a_look_that_something_done_explains_is_not_taken_as_fresh() -> None:
    assert posterior(stiff_wheels(), [stiff(1), Remedied("left", 0.8), stiff(0)]).notes == ()


def test_a_graded_finding_agrees_with_the_definition_at_every_level() -> None:
    for level in range(3):
        _agrees(stiff_wheels(), [stiff(level)])


@pytest.mark.parametrize("seed", range(60))
def test_random_mixed_evidence_agrees_with_the_definition(seed: int) -> None:
    model, history = random_case(seed, Recipe(causes=5, findings=4, levels=4, events=9, certain=0.15 * (seed % 2)))
    try:
        expected = posterior_by_enumeration(model, history)
    except ImpossibleEvidence:
        with pytest.raises(ImpossibleEvidence):
            posterior(model, history)
    else:
        assert posterior(model, history).notes == expected.notes
        _agrees(model, history)


@pytest.mark.parametrize(("seed", "small", "condition_above"), [(s, 1 + s % 3, 1 + s % 4) for s in range(30)])
def test_wide_and_conditioned_causes_give_the_same_answer(
    seed: int, small: int, condition_above: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    model, history = random_case(seed, Recipe(causes=5, findings=6, events=12, density=0.9))
    monkeypatch.setattr(plan_module, "SMALL", small)
    monkeypatch.setattr("restorations.calc.diagnosis.elimination.SMALL", small)
    monkeypatch.setattr(plan_module, "CONDITION_ABOVE", condition_above)
    _agrees(model, history)


@pytest.mark.parametrize("inner", [0, 1, 4])
@pytest.mark.parametrize("seed", range(6))
def test_trees_of_many_sparse_findings_agree_with_the_definition(
    seed: int, inner: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("restorations.calc.diagnosis.joins.INNER", inner)
    model, _ = random_case(seed, Recipe(causes=10, findings=14, levels=2, events=0, density=0.25))
    _agrees(model, [Observed(finding, 1 if number % 7 else 0) for number, finding in enumerate(model.findings)])


def test_a_cause_linked_to_everything_is_conditioned_on_and_changes_no_answer() -> None:
    model, _ = random_case(3, Recipe(causes=9, findings=16, levels=2, events=0, density=0.2))
    mapping = model.to_mapping()
    mapping["causes"]["unlisted"] = 0.05
    for finding in mapping["findings"].values():
        finding["links"]["unlisted"] = [0.3]
    _agrees(CausalModel.from_mapping(mapping), [Observed(finding, 1) for finding in model.findings])


def test_evidence_rarer_than_the_smallest_double_is_still_weighed() -> None:
    rare = {"leak": [1e-6], "links": {"gum": [0.5], "box": [0.25]}}
    model = CausalModel.from_mapping(
        {"causes": {"gum": 1e-9, "box": 1e-9}, "findings": {f"f{i}": dict(rare) for i in range(80)}}
    )
    shown = [Observed(f"f{i}", 1) for i in range(80)]
    by_hand = [  # neither (80 leaks) is too rare to matter
        1e-9 * (1 - (1 - 1e-6) * 0.5) ** 80,
        1e-9 * (1 - (1 - 1e-6) * 0.75) ** 80,
        1e-18 * (1 - (1 - 1e-6) * 0.5 * 0.75) ** 80,
    ]
    assert posterior(model, shown).log_evidence == pytest.approx(math.log(sum(by_hand)), abs=1e-8)
    alone = CausalModel.from_mapping(
        {"causes": {"gum": 0.5}, "findings": {f"f{i}": {"leak": [1e-6], "links": {}} for i in range(80)}}
    )
    assert posterior(alone, shown).log_evidence == pytest.approx(80 * math.log(1e-6), rel=EXACT)  # 1e-480


def test_contradiction_across_findings_names_the_events_and_no_others() -> None:
    model = CausalModel.from_mapping(
        {
            "causes": {"gum": 0.2, "box": 0.1},
            "findings": {
                "stiff": {"leak": [0.0], "links": {"gum": [1.0]}},
                "smell": {"leak": [0.0], "links": {"gum": [1.0]}},
                "rumble": {"leak": [0.1], "links": {"box": [0.5]}},
            },
        }
    )
    history = [Observed("rumble", 1), Observed("stiff", 1), Inspected("box", True), Observed("smell", 0)]
    with pytest.raises(ImpossibleEvidence, match="stiff seen at level 1; smell seen at level 0") as caught:
        posterior(model, history)
    assert caught.value.events == (history[1], history[3])


def test_inspections_that_cannot_both_be_right_are_named() -> None:
    history = [Inspected("left", True, 1.0, 0.0), stiff(1), Inspected("left", False, 1.0, 0.0)]
    with pytest.raises(ImpossibleEvidence) as caught:
        posterior(stiff_wheels(), history)
    assert caught.value.events == (history[0], history[2])


def test_a_finding_without_leak_or_links_cannot_be_seen() -> None:
    model = CausalModel.from_mapping({"causes": {"gum": 0.2}, "findings": {"knock": {"leak": [0.0], "links": {}}}})
    with pytest.raises(ImpossibleEvidence, match="knock"):
        posterior(model, [Observed("knock", 1)])


def test_what_would_take_too_long_is_refused_with_the_time_it_would_take() -> None:
    model, _ = random_case(0, Recipe(causes=60, findings=60, levels=2, events=0, density=0.15))
    with pytest.raises(TooEntangled, match=r"would take about .* s") as caught:
        posterior(model, [Observed(finding, 1) for finding in model.findings])
    assert caught.value.predicted_seconds > caught.value.allowed_seconds


def test_enumeration_refuses_more_than_sixteen_causes() -> None:
    model, _ = random_case(0, Recipe(causes=17, findings=1, events=0))
    with pytest.raises(TooEntangled):
        posterior_by_enumeration(model, [])


def _agrees(model: CausalModel, history: list[Event]) -> None:
    found, expected = posterior(model, history), posterior_by_enumeration(model, history)
    assert found.now == pytest.approx(expected.now, abs=EXACT)
    assert found.at_start == pytest.approx(expected.at_start, abs=EXACT)
    assert found.log_evidence == pytest.approx(expected.log_evidence, abs=EXACT, rel=EXACT)
