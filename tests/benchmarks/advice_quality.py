"""How far advice is from the best policy there is, beside simpler rules.

Run with `python -m tests.benchmarks.advice_quality [--cases N]`. Small random problems, one table for each kind; every
policy is followed to the end in every world and its expected minutes divided by those of the exhaustive optimum.
Problems with too many worlds to search in seconds are passed over.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from restorations.calc.diagnosis import (
    FunctionTest,
    HandOver,
    Options,
    Remedied,
    Remedy,
    Step,
    advise,
    posterior_by_enumeration,
)
from tests.benchmarks.advice_models import Case, Recipe, random_case
from tests.benchmarks.advice_optimum import Optimum, Policy, Worlds, policy_minutes
from tests.benchmarks.asked import cases_asked

MOST_WORLDS = 3000
Worth = Callable[[float, Remedy], float]


def one_by_one(worth: Worth) -> Policy:
    """Remedies by worth (chance, remedy), highest first, with a function test after each."""

    def policy(case: Case) -> Step:
        if isinstance(case.history[-1], Remedied):
            return FunctionTest(case.options.test_minutes)
        now = posterior_by_enumeration(case.model, case.history).now
        left = [(now[cause], remedy) for remedy in case.options.remedies for cause in remedy.causes]
        left = [(chance, remedy) for chance, remedy in left if chance > 1e-12]
        if not left:
            return HandOver(case.options.hand_over_minutes)
        return max(left, key=lambda pair: (worth(*pair), pair[1].name))[1]

    return policy


def repair_plan(case: Case) -> Step:
    """The repair plan with its tests well placed, no checks."""
    return next(a.step for a in advise(case.model, case.history, _without_checks(case.options)))


def blind_to_set_up(case: Case) -> Step:
    """One step ahead, with a repair plan that thinks remedies need no set-up."""
    remedies = tuple(replace(remedy, needs_off=frozenset()) for remedy in case.options.remedies)
    best = advise(case.model, case.history, replace(case.options, remedies=remedies))[0].step
    return next((remedy for remedy in case.options.remedies if remedy.name == best.name), best)


def ahead(depth: int) -> Policy:
    """The first advice, looking this far ahead."""
    return lambda case: advise(case.model, case.history, case.options, depth=depth)[0].step


def _without_checks(options: Options) -> Options:
    return replace(options, looks=(), examinations=())


RULES: dict[str, Policy] = {
    "cheapest remedy, test each": one_by_one(lambda chance, remedy: -remedy.minutes),
    "most probable, test each": one_by_one(lambda chance, remedy: chance),
    "chance per minute, test each": one_by_one(lambda chance, remedy: chance / remedy.minutes),
    "repair plan with placed tests": repair_plan,
    "one step ahead, blind to set-up": blind_to_set_up,
    "advice, depth 1": ahead(1),
    "advice, depth 2": ahead(2),
}
KINDS = {
    "no set-up": Recipe(),
    "light set-up, 2 parts of 3-15 min each way": Recipe(parts=2, part_minutes=(3.0, 15.0)),
    "heavy set-up, 3 parts of 5-40 min each way": Recipe(parts=3),
    "heavy set-up, remedies that may fail": Recipe(causes=(4, 4), checks=(3, 3), parts=3, success=(0.7, 1.0)),
}


def small_cases(recipe: Recipe, wanted: int) -> Iterator[tuple[Case, Worlds]]:
    """Cases of a kind, in order of seed, as far as they can be searched."""
    seed = found = 0
    while found < wanted:
        case = random_case(recipe, seed)
        worlds = Worlds(case)
        seed += 1
        if len(worlds.weights) <= MOST_WORLDS:
            found += 1
            yield case, worlds


def ratios(recipe: Recipe, cases: int) -> dict[str, list[float]]:
    """Minutes of every rule divided by those of the optimum, case by case."""
    table: dict[str, list[float]] = {rule: [] for rule in RULES}
    for case, worlds in small_cases(recipe, cases):
        best = Optimum(worlds).minutes()
        for rule, policy in RULES.items():
            table[rule].append(policy_minutes(case, worlds, policy) / best)
    return table


def main(cases: int) -> None:
    """Print one table for each kind of problem."""
    for kind, recipe in KINDS.items():
        print(f"\n{kind}: minutes / optimum over {cases} cases")
        print(f"{'rule':<34}{'mean':>8}{'p90':>8}{'worst':>8}{'within 1 %':>12}")
        for rule, found in ratios(recipe, cases).items():
            mean, p90, worst = np.mean(found), np.percentile(found, 90), np.max(found)
            print(f"{rule:<34}{mean:>8.3f}{p90:>8.3f}{worst:>8.3f}{np.mean(np.array(found) < 1.01):>12.0%}")


if __name__ == "__main__":
    main(cases_asked(20))
