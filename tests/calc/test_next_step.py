"""Advice on what to do next, against sums done on paper and against the definition."""

import math
from dataclasses import replace

import numpy as np
import pytest

from restorations.calc.diagnosis import (
    Advice,
    Event,
    Examination,
    FunctionTest,
    HandOver,
    ImpossibleEvidence,
    Inspected,
    Look,
    Observed,
    Options,
    Part,
    Remedied,
    Remedy,
    advise,
    outlook,
    posterior,
    posterior_by_enumeration,
    remaining_minutes,
    remaining_work,
)
from restorations.calc.diagnosis import worlds as possible_worlds
from tests.calc.next_step_cases import RODS, SEEN, STIFF, cure, off, one_fault, options

LEFT_OFF = Look("turn, left rod off", "stiff", 5.0, needs_off=off("left rod"), through={"left": (off("left rod"),)})
AGAIN = Look("turn again", "stiff", 5.0)
FEEL = Look("feel the box", "hot", 2.0)


def minutes(ranked: tuple[Advice, ...]) -> dict[str, float]:
    return {advice.step.name: advice.minutes_to_finish for advice in ranked}


def stiff_options(**changes: object) -> Options:
    cures = (cure("left", 20.0, 0.8), cure("right", 30.0, 0.8), cure("box", 60.0, 0.9))
    return replace(options(*cures, parts=RODS, looks=(LEFT_OFF, AGAIN, FEEL), test_minutes=5.0), **changes)


def test_sure_remedy_costs_its_minutes_its_set_up_and_one_test() -> None:
    remedy = cure("gum", 30.0, needs_off=off("left rod"))
    ranked = advise(one_fault(gum=1.0), SEEN, options(remedy, parts=RODS, test_minutes=5.0))
    assert ranked[0].step is remedy
    assert ranked[0].minutes_to_finish == pytest.approx(10 + 30 + 12 + 5)
    assert (ranked[0].set_up.take_off, ranked[0].set_up.refit) == (off("left rod"), off())
    assert ranked[0].set_up.minutes == 10.0


def test_part_off_already_is_only_refitted() -> None:
    remedy = cure("gum", 30.0, needs_off=off("left rod"))
    ranked = advise(one_fault(gum=1.0), SEEN, options(remedy, parts=RODS, test_minutes=5.0, off=off("left rod")))
    assert ranked[0].minutes_to_finish == pytest.approx(30 + 12 + 5)
    assert ranked[0].set_up.minutes == 0.0


def test_remedy_that_needs_a_part_fitted_pays_for_it_once() -> None:
    remedy = cure("gum", 30.0, needs_fitted=off("left rod"))
    ranked = advise(one_fault(gum=1.0), SEEN, options(remedy, parts=RODS, test_minutes=5.0, off=off("left rod")))
    assert ranked[0].minutes_to_finish == pytest.approx(12 + 30 + 5)
    assert ranked[0].set_up.refit == off("left rod")


def test_failed_remedy_leads_to_handing_over() -> None:
    ranked = advise(
        one_fault(gum=1.0), SEEN, options(cure("gum", 30.0, 0.6), test_minutes=5.0, hand_over_minutes=200.0)
    )
    assert ranked[0].minutes_to_finish == pytest.approx(30 + 5 + 0.4 * 200, rel=1e-6)


def test_remedies_that_share_a_set_up_share_one_test_when_testing_is_dear() -> None:
    # together: 10 off + 20 + 20 + 12 on + 30 test = 92; apart: 72 + half of 72 = 108
    cures = [cure(cause, 20.0, needs_off=off("left rod")) for cause in ("gum", "rust")]
    ranked = advise(one_fault(gum=0.5, rust=0.5), SEEN, options(*cures, parts=RODS, test_minutes=30.0))
    assert ranked[0].minutes_to_finish == pytest.approx(92.0, rel=1e-6)


def test_remedies_are_tested_one_by_one_when_testing_is_cheap() -> None:
    # 20 + 1, and with one half 20 + 1 more
    ranked = advise(
        one_fault(gum=0.5, rust=0.5), SEEN, options(cure("gum", 20.0), cure("rust", 20.0), test_minutes=1.0)
    )
    assert ranked[0].minutes_to_finish == pytest.approx(31.5, rel=1e-6)


def test_waits_run_side_by_side() -> None:
    soaks = [cure(cause, 20.0, days=3.0) for cause in ("left", "right")]
    model = one_fault(left=0.5, right=0.5)
    ranked = advise(model, SEEN, options(*soaks, test_minutes=100.0, price_per_day=10.0))
    assert ranked[0].minutes_to_finish == pytest.approx(20 + 20 + 30 + 100, rel=1e-6)


def test_risk_is_priced() -> None:
    ranked = advise(one_fault(gum=1.0), SEEN, options(cure("gum", 30.0, risk=2.0), price_per_risk=15.0))
    assert ranked[0].minutes_to_finish == pytest.approx(60.0)


def test_handing_over_is_one_of_the_choices_and_wins_when_it_is_cheap() -> None:
    ranked = advise(one_fault(gum=1.0), SEEN, options(cure("gum", 30.0), hand_over_minutes=12.0))
    assert ranked[0].step == HandOver(12.0)
    assert ranked[0].minutes_to_finish == 12.0


def test_function_test_is_offered_once_a_remedy_may_have_worked() -> None:
    history = [*SEEN, Remedied("left", 0.8)]
    assert not any(isinstance(advice.step, FunctionTest) for advice in advise(STIFF, SEEN, stiff_options()))
    test = next(a for a in advise(STIFF, history, stiff_options(off=off("left rod"))) if a.step == FunctionTest(5.0))
    assert test.set_up.refit == off("left rod")
    gone = posterior_by_enumeration(STIFF, [*history, Observed("stiff", 0)]).log_evidence
    chance = math.exp(gone - posterior_by_enumeration(STIFF, history).log_evidence)
    assert test.outcomes[0].probability == pytest.approx(chance, rel=1e-9)


@pytest.mark.parametrize(
    "history",
    [
        SEEN,
        [Observed("stiff", 2), Observed("hot", 0)],
        [*SEEN, Observed("hot", 1), Remedied("box", 0.9), Observed("stiff", 1)],
        [*SEEN, Observed("stiff", 1, frozenset({"right"})), Remedied("left", 0.7)],
        [
            *[Observed("hot", 1, frozenset({"left"}))] * 40,
            *[Observed("stiff", 1), Observed("stiff", 1, off("box"))] * 40,
        ],
        [Observed("stiff", 2), Observed("stiff", 1, fresh=True), Observed("hot", 1, frozenset({"left"}))],
    ],
)
@pytest.mark.parametrize("listed", [True, False], ids=["all worlds", "samples"])
def test_chances_of_outcomes_follow_the_definition(
    history: list[Event], listed: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not listed:
        monkeypatch.setattr(possible_worlds, "FEW_TRAJECTORIES", 0)
    ranked = advise(STIFF, history, stiff_options(), samples=4000, seed=3)
    before = posterior_by_enumeration(STIFF, history).log_evidence
    checks = [advice for advice in ranked if isinstance(advice.step, Look)]
    for advice in checks:
        silent = advice.step.silent(advice.step.needs_off)
        for outcome in advice.outcomes:
            after = [*history, Observed(advice.step.finding, outcome.level, silent)]
            expected = math.exp(posterior_by_enumeration(STIFF, after).log_evidence - before)
            # 4000 samples: five standard errors are at most 0.04
            assert outcome.probability == pytest.approx(expected, abs=1e-9 if listed else 0.04)
    assert checks


def test_look_already_made_in_this_state_is_never_advised() -> None:
    assert "turn again" not in minutes(advise(STIFF, SEEN, stiff_options()))
    assert "turn, left rod off" in minutes(advise(STIFF, SEEN, stiff_options()))
    seen = [*SEEN, Observed("stiff", 1, frozenset({"left"}))]
    assert "turn, left rod off" not in minutes(advise(STIFF, seen, stiff_options(off=off("left rod"))))


def test_look_is_worth_making_again_after_a_remedy() -> None:
    assert "turn again" in minutes(advise(STIFF, [*SEEN, Remedied("left", 0.8)], stiff_options()))


def test_parts_off_anyhow_silence_what_acts_through_them() -> None:
    plain = Look("turn", "stiff", 5.0, through={"left": (off("left rod", "right rod"),)})
    one_off, both_off = (
        advise(STIFF, SEEN, stiff_options(looks=(plain,), off=parts))
        for parts in (off("left rod"), off("left rod", "right rod"))
    )
    assert "turn" not in minutes(one_off)
    assert "turn" in minutes(both_off)


def test_examination_made_is_not_advised_again_until_the_cause_is_remedied() -> None:
    peer = Examination("peer", "left", 0.9, 0.05, 3.0)
    choices = stiff_options(examinations=(peer,))
    seen = [*SEEN, Inspected("left", True, 0.9, 0.05)]
    assert "peer" in minutes(advise(STIFF, SEEN, choices))
    assert "peer" not in minutes(advise(STIFF, seen, choices))
    assert "peer" in minutes(advise(STIFF, [*seen, Remedied("left", 0.8)], choices))


def test_examination_may_be_made_once_more_where_that_is_asked_for() -> None:
    # half each; not found by a look that finds 8 in 10 leaves 1 in 6, and 8 in 10 of that are found the next time
    peer = Examination("peer", "gum", 0.8, 0.0, 1.0)
    choices = options(cure("gum", 40.0), cure("rust", 60.0), examinations=(peer,), test_minutes=10.0)
    seen = [*SEEN, Inspected("gum", False, 0.8, 0.0)]
    model = one_fault(gum=0.5, rust=0.5)
    assert "peer" not in minutes(advise(model, seen, choices))
    again = next(a for a in advise(model, seen, replace(choices, examine_again=True)) if a.step is peer)
    assert again.outcomes[1].probability == pytest.approx(0.8 / 6, rel=1e-6)


def test_outlook_says_what_advice_and_remaining_work_say(monkeypatch: pytest.MonkeyPatch) -> None:
    history = [*SEEN, Observed("hot", 1), Remedied("right", 0.5)]
    for fewest in (possible_worlds.FEW_TRAJECTORIES, 0):
        monkeypatch.setattr(possible_worlds, "FEW_TRAJECTORIES", fewest)
        ahead = outlook(posterior(STIFF, history), stiff_options(), samples=4000, n=50, seed=3)
        work = remaining_work(STIFF, history, stiff_options(), 50, 3)
        assert ahead.advice == advise(STIFF, history, stiff_options(), samples=4000, seed=3)
        assert (ahead.work.minutes.tolist(), ahead.work.handed_over) == (work.minutes.tolist(), work.handed_over)
    gone = outlook(posterior(STIFF, [*SEEN, Observed("stiff", 0, fresh=True)]), stiff_options(), n=2)
    assert (gone.advice, gone.work.minutes.tolist()) == ((), [0.0, 0.0])


def test_gated_step_keeps_its_place_and_shows_its_gate() -> None:
    gated = cure("left", 20.0, 0.8, gate="a mentor must say yes")
    plain = stiff_options()
    with_gate = replace(plain, remedies=(gated, *plain.remedies[1:]))
    free, asked = advise(STIFF, SEEN, plain), advise(STIFF, SEEN, with_gate)
    assert [advice.step.name for advice in asked] == [advice.step.name for advice in free]
    assert minutes(asked) == minutes(free)
    assert {advice.step.name: advice.gate for advice in asked if advice.gate} == {"cure left": "a mentor must say yes"}


def test_nothing_is_advised_once_the_complaint_is_gone() -> None:
    gone = [*SEEN, Remedied("left"), Observed("stiff", 0)]
    assert advise(STIFF, gone, stiff_options()) == ()
    assert remaining_minutes(STIFF, gone, stiff_options(), 5, 0).tolist() == [0.0] * 5
    work = remaining_work(STIFF, gone, stiff_options(), 5, 0)
    assert (work.minutes.tolist(), work.handed_over) == ([0.0] * 5, 0.0)


def test_complaint_gone_only_with_a_part_off_is_not_gone() -> None:
    seen = [*SEEN, Observed("stiff", 0, frozenset({"left"}))]
    assert advise(STIFF, seen, stiff_options(off=off("left rod")))
    assert advise(STIFF, seen, stiff_options(test_inactive={"stiff": frozenset({"left"})})) == ()


def test_free_perfect_check_that_decides_comes_first() -> None:
    # known: 40 or 60, and a test of 10; half each
    decide = Examination("look inside", "gum", 1.0, 0.0, 0.0)
    cures = (cure("gum", 40.0), cure("rust", 60.0))
    ranked = advise(one_fault(gum=0.5, rust=0.5), SEEN, options(*cures, examinations=(decide,), test_minutes=10.0))
    assert ranked[0].step is decide
    assert ranked[0].minutes_to_finish == pytest.approx(60.0, rel=1e-6)
    assert [outcome.minutes_to_finish for outcome in ranked[0].outcomes] == pytest.approx([70.0, 50.0], rel=1e-6)
    assert ranked[0].saves == pytest.approx(min(40 + 10 + 0.5 * 70, 60 + 10 + 0.5 * 50, 110) - 60, rel=1e-5)


def test_cause_present_but_not_at_work_need_not_be_cured() -> None:
    # freed by taking the left rod off: box is silent in this draw, so curing left alone is enough
    seen = [*SEEN, Observed("stiff", 0, frozenset({"left"}))]
    cures = (cure("left", 20.0), cure("box", 60.0), cure("right", 30.0))
    ranked = advise(STIFF, seen, options(*cures, test_minutes=5.0))
    assert ranked[0].minutes_to_finish == pytest.approx(25.0)
    assert {advice.step.name for advice in ranked} == {"cure left", "hand over"}


def test_order_of_the_complaint_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(possible_worlds, "FEW_TRAJECTORIES", 0)
    history = [*SEEN, Observed("hot", 1)]
    first, second = (advise(STIFF, history, stiff_options(complaint=c)) for c in (("stiff", "hot"), ("hot", "stiff")))
    assert first == second


def test_samples_and_all_worlds_agree(monkeypatch: pytest.MonkeyPatch) -> None:
    history = [*SEEN, Observed("hot", 1), Remedied("right", 0.5)]
    exact = minutes(advise(STIFF, history, stiff_options()))
    monkeypatch.setattr(possible_worlds, "FEW_TRAJECTORIES", 0)
    sampled = minutes(advise(STIFF, history, stiff_options(), samples=40_000, seed=1))
    assert sampled.keys() == exact.keys()
    assert [sampled[name] for name in exact] == pytest.approx(list(exact.values()), rel=0.05)


def test_contradiction_is_named_not_advised_on() -> None:
    model = one_fault(gum=1.0)
    with pytest.raises(ImpossibleEvidence):
        advise(model, [*SEEN, Inspected("gum", False, 1.0, 0.0)], options(cure("gum", 5.0)))


def test_remaining_minutes_average_what_the_plan_costs() -> None:
    cures = (cure("left", 20.0, 0.8), cure("right", 30.0), cure("box", 60.0, 0.9, needs_off=off("left rod")))
    choices = options(*cures, parts=RODS, test_minutes=5.0, hand_over_minutes=300.0, off=off("right rod"))
    plan = min(advice.minutes_to_finish + advice.saves for advice in advise(STIFF, SEEN, choices))
    sampled = remaining_minutes(STIFF, SEEN, choices, 20_000, 1)
    assert sampled.shape == (20_000,)
    assert sampled.mean() == pytest.approx(plan, abs=4 * sampled.std() / math.sqrt(20_000))
    assert np.array_equal(sampled, remaining_minutes(STIFF, SEEN, choices, 20_000, 1))


def test_remaining_minutes_are_attended_minutes_only() -> None:
    choices = options(cure("gum", 30.0, days=2.0, risk=1.0), test_minutes=5.0, price_per_day=50.0, price_per_risk=50.0)
    assert remaining_minutes(one_fault(gum=1.0), SEEN, choices, 3, 0).tolist() == [35.0] * 3


def test_remaining_work_tells_handing_over_from_minutes_on_the_way() -> None:
    # four in ten are still stiff after 30 + 5 min and go elsewhere; the price of that is no work of the club's
    choices = options(cure("gum", 30.0, 0.6), test_minutes=5.0, hand_over_minutes=200.0)
    work = remaining_work(one_fault(gum=1.0), SEEN, choices, 20_000, 1)
    assert set(work.minutes.tolist()) == {35.0}
    assert work.handed_over == pytest.approx(0.4, abs=4 * math.sqrt(0.24 / 20_000))
    with_price = remaining_minutes(one_fault(gum=1.0), SEEN, choices, 20_000, 1)
    assert (with_price == 235.0).mean() == work.handed_over


def test_what_is_handed_over_comes_last_among_the_remaining_minutes() -> None:
    choices = options(cure("left", 20.0), cure("right", 30.0), test_minutes=5.0, hand_over_minutes=500.0)
    work = remaining_work(STIFF, SEEN, choices, 1000, 2)
    finished = round((1 - work.handed_over) * 1000)
    with_price = np.sort(remaining_minutes(STIFF, SEEN, choices, 1000, 2))
    assert 0 < finished < 1000
    assert work.minutes[:finished].tolist() == with_price[:finished].tolist()
    assert (work.minutes[finished:] + 500.0).tolist() == with_price[finished:].tolist()


def test_engine_without_remedies_or_parts_is_handed_over() -> None:
    ranked = advise(STIFF, SEEN, options(hand_over_minutes=90.0))
    assert minutes(ranked) == {"hand over": 90.0}
    assert remaining_minutes(STIFF, SEEN, options(hand_over_minutes=90.0), 2, 0).tolist() == [90.0, 90.0]
    work = remaining_work(STIFF, SEEN, options(hand_over_minutes=90.0), 2, 0)
    assert (work.minutes.tolist(), work.handed_over) == ([0.0, 0.0], 1.0)


def test_complaint_no_cause_is_linked_to_is_handed_over() -> None:
    model = one_fault(gum=1.0).to_mapping()
    model["findings"]["squeak"] = {"leak": [0.1], "links": {}}
    ranked = advise(
        type(STIFF).from_mapping(model),
        [Observed("squeak", 1)],
        options(cure("gum", 5.0), complaint=("squeak",), hand_over_minutes=90.0),
    )
    assert minutes(ranked) == {"hand over": 90.0}


def test_two_steps_ahead_sees_what_checks_sharing_a_set_up_are_worth_together() -> None:
    # three noisy examinations that cost next to nothing share one dear strip-down
    strip = {"cover": Part(15.0, 15.0)}
    peers = tuple(Examination(f"peer {n}", "gum", 0.8 + n / 100, 0.2, 1.0, needs_off=off("cover")) for n in range(3))
    cures = (cure("gum", 100.0, needs_off=off("cover")), cure("rust", 100.0))
    choices = options(*cures, parts=strip, examinations=peers, test_minutes=30.0)
    one, two = (advise(one_fault(gum=0.5, rust=0.5), SEEN, choices, depth=depth)[0] for depth in (1, 2))
    assert two.minutes_to_finish < one.minutes_to_finish - 0.5


def test_remedy_of_several_causes_cures_them_all() -> None:
    clean = Remedy("clean", frozenset({"gum", "rust"}), 1.0, 25.0)
    ranked = advise(one_fault(gum=0.5, rust=0.5), SEEN, options(clean, test_minutes=5.0))
    assert ranked[0].minutes_to_finish == pytest.approx(30.0)
