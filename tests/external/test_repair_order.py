"""Orders of repair that the literature gives, or that follow from its formula on paper.

Each case has exactly one fault, as the papers assume: tiny priors in the wanted ratio give that to a hundred-millionth.
"""

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restorations.calc.diagnosis import Examination, Remedied, Remedy, advise
from tests.calc.next_step_cases import SEEN, cure, one_fault, options

HAND_OVER = 1e4


def expected_cost_of_repair(chances: list[float], costs: list[float]) -> float:
    """ECR = sum of (1 - chance that an earlier one was it) x cost: each is done, and proved, until one helps."""
    return sum((1.0 - sum(chances[:i])) * cost for i, cost in enumerate(costs))


@settings(max_examples=40, derandomize=True, deadline=None)
@given(st.lists(st.tuples(st.floats(0.05, 1.0), st.floats(1.0, 100.0)), min_size=2, max_size=5))
def test_one_fault_is_repaired_in_the_best_of_all_orders(causes: list[tuple[float, float]]) -> None:
    """Kalagnanam & Henrion 1990 (arXiv 1304.2362): cost over probability is the optimal order for a single fault."""
    total = sum(share for share, _ in causes)
    pairs = [(share / total, cost) for share, cost in causes]
    model = one_fault(**{f"c{i}": share for i, (share, _) in enumerate(pairs)})
    choices = options(*(cure(f"c{i}", cost) for i, (_, cost) in enumerate(pairs)))
    best = min(expected_cost_of_repair(*map(list, zip(*order, strict=True))) for order in permutations(pairs))
    assert advise(model, SEEN, choices)[0].minutes_to_finish == pytest.approx(best, rel=1e-5)


def test_observe_and_repair_costs_what_the_formula_says() -> None:
    """Heckerman, Breese & Rommelse 1995 (formula RECALLED); numbers by hand: p .5 .3 .2, Co 10 3 4, Cr 100 20 5.

    ECR = sum of (1 - earlier p) Co + p Cr; p/Co puts y before x before z: 3 + .7 x 10 + .2 x 4 + 57 = 67.8. What is
    paid for the repair itself is the same in every order, so the plan is made of the observations.
    """
    chances, observe, repair = {"x": 0.5, "y": 0.3, "z": 0.2}, {"x": 10.0, "y": 3.0, "z": 4.0}, (100.0, 20.0, 5.0)
    ranked = advise(one_fault(**chances), SEEN, options(*(cure(name, cost) for name, cost in observe.items())))
    repairs = sum(p * cost for p, cost in zip(chances.values(), repair, strict=True))
    assert ranked[0].step.name == "cure y"
    assert ranked[0].minutes_to_finish + repairs == pytest.approx(67.8, rel=1e-6)
    after_y = advise(one_fault(x=0.5, z=0.2), SEEN, options(cure("x", 10.0), cure("z", 4.0)))
    assert after_y[0].step.name == "cure x"


LIGHT_PRINT = one_fault(c1=0.4, c2=0.3, c3=0.2, c4=0.1)
SHAKE_TONER = Remedy("A1", frozenset({"c1"}), 0.9, 5.0)
TRY_TONER = Remedy("A2", frozenset({"c1", "c2"}), 0.9, 15.0)
CYCLE_POWER = Remedy("A3", frozenset({"c3"}), 0.9, 1.0)
# what all three leave behind: c1 twice missed, c2 and c3 once, c4 for certain
LEFT_OVER = 0.4 * 0.01 + 0.3 * 0.1 + 0.2 * 0.1 + 0.1


def light_print(*remedies: Remedy, seen: tuple[Remedied, ...] = ()) -> dict[str, float]:
    choices = options(*remedies, hand_over_minutes=HAND_OVER)
    history = [*SEEN, *seen, *(SEEN if seen else [])]
    return {a.step.name: a.minutes_to_finish for a in advise(LIGHT_PRINT, history, choices)}


def test_light_print_takes_the_cheaper_order() -> None:
    """Vomlel 2007: p .4 .3 .2 .1, costs 5, 15, 1; which action solves what and the 0.9 RECALLED; ECR 12.00."""
    minutes = light_print(SHAKE_TONER, TRY_TONER, CYCLE_POWER)
    assert min(minutes, key=minutes.__getitem__) == "A3"
    assert minutes["A3"] - LEFT_OVER * HAND_OVER == pytest.approx(12.00, abs=1e-3)


def test_light_print_costs_more_in_the_other_order() -> None:
    """Vomlel 2007, order A3, A2, A1: ECR 14.25 (0.9 RECALLED)."""
    not_solved = 1.0 - 0.2 * 0.9
    power_cycled = light_print(SHAKE_TONER, TRY_TONER, seen=(Remedied("c3", 0.9),))
    whole = 1.0 + not_solved * power_cycled["A2"]
    assert whole - LEFT_OVER * HAND_OVER == pytest.approx(14.25, abs=1e-3)
    assert power_cycled["A1"] < power_cycled["A2"]


def test_observation_is_made_only_when_it_pays_for_itself() -> None:
    """Heckerman, Breese & Rommelse 1995 (rule SEEN in secondary text): observe iff its cost + ECR after < ECR now.

    Two causes, .5 each, repairs 40 and 40: blind 40 + .5 x 40 = 60; knowing which, 40. So at most 20 may be paid.
    """
    model, cures = one_fault(x=0.5, y=0.5), (cure("x", 40.0), cure("y", 40.0))
    for price, pays in ((19.0, True), (21.0, False)):
        look = Examination("look", "x", 1.0, 0.0, price)
        best = advise(model, SEEN, replace(options(*cures), examinations=(look,)))[0]
        assert (best.step is look) == pays
