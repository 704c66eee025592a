"""Minutes to the finish for every step that could come next: one step ahead by the repair plan, deeper by recursion."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

import numpy as np

from restorations.calc.diagnosis.belief import Belief, signature
from restorations.calc.diagnosis.mechanisms import Bools, Floats
from restorations.calc.diagnosis.options import (
    Check,
    FunctionTest,
    HandOver,
    Look,
    Remedy,
    Step,
)
from restorations.calc.diagnosis.problem import Problem, patterns_of
from restorations.calc.diagnosis.repair_plan import ANY, plan_minutes

CERTAIN = 1.0 - 1e-9


@dataclass(frozen=True, slots=True)
class Prospect:
    """A step with the expected minutes to the finish [min], and for each outcome (level, probability, minutes)."""

    step: Step
    minutes: float
    outcomes: tuple[tuple[int, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class _Leaf:
    """A repair plan wanted: weights of the worlds (n,), parts off, the remedy it must begin with or ANY."""

    weights: Floats
    off: frozenset[str]
    first: int = ANY


def _plan_leaves(problem: Problem, working: Bools, leaves: Sequence[_Leaf]) -> list[float]:
    patterns = patterns_of(problem, working)
    weights = patterns.grouped(np.column_stack([leaf.weights for leaf in leaves]))
    off = np.array([problem.off_row(leaf.off) for leaf in leaves], dtype=bool).reshape(len(leaves), len(problem.parts))
    first = np.array([leaf.first for leaf in leaves], dtype=np.intp)
    return [float(value) for value in plan_minutes(problem.repairs, patterns.patterns, weights, off, first)]


@dataclass(frozen=True, slots=True)
class Prospects:
    """The minutes of the plain repair plan and of every step that could come first [min]."""

    plan: float
    steps: tuple[Prospect, ...]

    @property
    def best(self) -> float:
        """The least minutes to the finish."""
        return min([self.plan, *(prospect.minutes for prospect in self.steps)])


@dataclass(frozen=True, slots=True)
class _Choice:
    """A check worth making: the chance of each outcome in each world (n, levels), and the parts off afterwards."""

    check: Check
    chances: Floats
    off: frozenset[str]


def prospects(problem: Problem, belief: Belief, off: frozenset[str], depth: int) -> Prospects:
    """Every step that could come next with its minutes, looking `depth` steps ahead before the repair plan."""
    working = belief.at_work()
    wrong: Bools = np.any(working, axis=1)
    choices = list(_telling(problem, belief, off))
    after_checks = [_Leaf(belief.weights * chance, it.off) for it in choices for chance in it.chances.T]
    leaves = [
        _Leaf(belief.weights, off),
        _Leaf(belief.weights * wrong, frozenset()),
        *(_Leaf(belief.weights, off, first) for first in range(len(problem.remedies))),
        *after_checks,
    ]
    plan, failed, *values = _plan_leaves(problem, working, leaves)
    now = _Now(problem, belief, off, depth)
    forced, after = values[: len(problem.remedies)], iter(values[len(problem.remedies) :])
    steps = [Prospect(HandOver(problem.options.hand_over_minutes), problem.options.hand_over_minutes)]
    steps += [now.remedy(remedy, minutes) for remedy, minutes in zip(problem.remedies, forced, strict=True)]
    steps += now.test(wrong, failed)
    steps += [now.check(choice, list(islice(after, choice.chances.shape[1]))) for choice in choices]
    return Prospects(plan, tuple(steps))


def _telling(problem: Problem, belief: Belief, off: frozenset[str]) -> Iterator[_Choice]:
    """The checks that can tell something: neither made already in this state, nor certain in their outcome."""
    for check in problem.checks:
        off_then = problem.off_after(check, off)
        if isinstance(check, Look):
            chances = belief.look_chances(check, off_then)
        elif signature(check) in belief.examined and not problem.options.examine_again:
            continue
        else:
            chances = belief.examination_chances(check)
        if (belief.weights @ chances).max() < CERTAIN:
            yield _Choice(check, chances, off_then)


@dataclass(frozen=True, slots=True)
class _Now:
    """The moment a step is weighed up at."""

    problem: Problem
    belief: Belief
    off: frozenset[str]
    depth: int

    def remedy(self, remedy: Remedy, as_planned: float) -> Prospect:
        """A remedy: the repair plan that begins with it, or what looking further ahead makes of it."""
        if self.depth == 1:
            return Prospect(remedy, as_planned)
        after, off = self.belief.after_remedy(remedy), self.problem.off_after(remedy, self.off)
        ahead = prospects(self.problem.without(remedy), after, off, self.depth - 1).best
        return Prospect(remedy, min(as_planned, self.problem.cost(remedy, self.off) + ahead))

    def test(self, wrong: Bools, failed: float) -> list[Prospect]:
        """The function test, unless it is sure to fail; `failed` is the repair plan after that, times its chance."""
        chance = float(self.belief.weights @ wrong)
        if chance >= CERTAIN:
            return []
        if self.depth > 1 and chance > 0.0:
            failed = chance * self._ahead(self.belief.weighted(wrong.astype(float)), frozenset())
        test = FunctionTest(self.problem.options.test_minutes)
        outcomes = [(0, 1.0 - chance, 0.0), *([(1, chance, failed / chance)] if chance > 0.0 else [])]
        return [Prospect(test, self.problem.cost(test, self.off) + failed, tuple(outcomes))]

    def check(self, choice: _Choice, planned: Sequence[float]) -> Prospect:
        """A check; `planned` are the minutes of the repair plan after each outcome, times its chance."""
        chances = self.belief.weights @ choice.chances
        joint = planned
        if self.depth > 1:
            joint = [min(planned[level], self._after(choice, level, float(p))) for level, p in enumerate(chances)]
        outcomes = [(level, float(p), joint[level] / float(p)) for level, p in enumerate(chances) if p > 0.0]
        return Prospect(choice.check, self.problem.cost(choice.check, self.off) + sum(joint), tuple(outcomes))

    def _after(self, choice: _Choice, level: int, chance: float) -> float:
        if chance <= 0.0:
            return 0.0
        if isinstance(choice.check, Look):
            belief = self.belief.after_look(choice.check, choice.off, level)
        else:
            belief = self.belief.after_examination(choice.check, level)
        return chance * self._ahead(belief, choice.off)

    def _ahead(self, belief: Belief, off: frozenset[str]) -> float:
        return prospects(self.problem, belief, off, self.depth - 1).best
