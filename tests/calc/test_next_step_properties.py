"""What must hold of advice on any small engine: drawn at random, and held against the exhaustive optimum."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from restorations.calc.diagnosis import (
    Advice,
    Examination,
    Look,
    advise,
)
from tests.benchmarks.advice_models import Case, Recipe, random_case
from tests.benchmarks.advice_optimum import Optimum, Worlds, policy_minutes

TINY = Recipe(causes=(2, 3), checks=(1, 2), parts=2)
SEEDS = st.integers(0, 10_000)
FEW = settings(max_examples=25, derandomize=True, deadline=None)


def ranked(case: Case, depth: int = 1) -> tuple[Advice, ...]:
    return advise(case.model, case.history, case.options, depth=depth)


@FEW
@given(SEEDS)
def test_best_advice_never_costs_more_than_the_plain_repair_plan(seed: int) -> None:
    advices = ranked(random_case(Recipe(parts=2, success=(0.6, 1.0)), seed))
    assert advices[0].saves >= -1e-9
    plans = [advice.minutes_to_finish + advice.saves for advice in advices]
    assert plans == pytest.approx([plans[0]] * len(plans))
    minutes = [advice.minutes_to_finish for advice in advices]
    assert minutes == pytest.approx(sorted(minutes), rel=1e-9)


@FEW
@given(SEEDS, st.randoms(use_true_random=False))
def test_order_of_the_options_changes_nothing(seed: int, shuffler: object) -> None:
    case = random_case(Recipe(parts=3, success=(0.6, 1.0)), seed)
    options = case.options
    mixed = replace(
        options,
        looks=tuple(shuffler.sample(options.looks, len(options.looks))),
        remedies=tuple(shuffler.sample(options.remedies, len(options.remedies))),
        parts=dict(shuffler.sample(list(options.parts.items()), len(options.parts))),
    )
    assert ranked(replace(case, options=mixed)) == ranked(case)


@FEW
@given(SEEDS)
def test_looking_further_ahead_never_promises_more_minutes(seed: int) -> None:
    case = random_case(Recipe(causes=(3, 4), checks=(2, 3), parts=2), seed)
    one, two = ({a.step.name: a.minutes_to_finish for a in ranked(case, depth)} for depth in (1, 2))
    assert all(two[name] <= one[name] + 1e-9 for name in one)


@FEW
@given(SEEDS)
def test_outcomes_add_up_and_none_is_certain(seed: int) -> None:
    for advice in ranked(random_case(Recipe(parts=2), seed)):
        if isinstance(advice.step, Look | Examination):
            chances = [outcome.probability for outcome in advice.outcomes]
            assert math.isclose(sum(chances), 1.0, rel_tol=1e-9)
            assert max(chances) < 1.0


@FEW
@given(SEEDS)
def test_free_perfect_check_never_loses_minutes(seed: int) -> None:
    case = random_case(Recipe(parts=2, success=(0.6, 1.0)), seed)
    free = tuple(Examination(f"know {cause}", cause, 1.0, 0.0, 0.0) for cause in case.model.causes)
    advices = ranked(replace(case, options=replace(case.options, examinations=free)))
    known = [advice for advice in advices if advice.step in free]
    assert known
    assert all(advice.saves >= -1e-9 for advice in known)


@FEW
@given(SEEDS)
def test_dearer_check_saves_exactly_so_much_less(seed: int) -> None:
    case = random_case(Recipe(parts=2), seed)
    dearer = tuple(replace(look, minutes=look.minutes + 7.0) for look in case.options.looks)
    after = {a.step.name: a for a in ranked(replace(case, options=replace(case.options, looks=dearer)))}
    for advice in ranked(case):
        extra = 7.0 if isinstance(advice.step, Look) else 0.0
        assert after[advice.step.name].minutes_to_finish == pytest.approx(advice.minutes_to_finish + extra)


@pytest.mark.parametrize("least_success", [1.0, 0.6])
@pytest.mark.parametrize(("parts", "seed", "depth"), [(0, 0, 3), (0, 5, 3), (0, 6, 3), (1, 7, 4), (1, 0, 5)])
def test_looking_to_the_end_finds_the_exhaustive_optimum(
    parts: int, seed: int, depth: int, least_success: float
) -> None:
    case = random_case(Recipe(causes=(2, 2), checks=(1, 1), parts=parts, success=(least_success, 1.0)), seed)
    optimum = Optimum(Worlds(case)).minutes()
    assert ranked(case, depth)[0].minutes_to_finish == pytest.approx(optimum, rel=1e-9)


@settings(max_examples=12, derandomize=True, deadline=None)
@given(SEEDS)
def test_promised_minutes_can_be_kept_and_are_near_the_optimum(seed: int) -> None:
    case = random_case(TINY, seed)
    worlds = Worlds(case)
    optimum = Optimum(worlds).minutes()
    followed = policy_minutes(case, worlds, lambda now: ranked(now)[0].step)
    assert optimum - 1e-6 <= followed <= 1.15 * optimum
    assert optimum - 1e-6 <= ranked(case)[0].minutes_to_finish
