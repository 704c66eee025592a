"""Minutes to the finish for every step that could come next: one step ahead by the repair plan, deeper by recursion."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from typing import cast

import numpy as np

from restorations.calc.diagnosis.belief import Belief, signature
from restorations.calc.diagnosis.mechanisms import Bools, Floats, Ints
from restorations.calc.diagnosis.options import (
    Examination,
    FunctionTest,
    HandOver,
    Look,
    Options,
    Remedy,
    Step,
)
from restorations.calc.diagnosis.repair_plan import ANY, RepairList, plan_minutes, repair_list

LONGEST_PLAN = 20  # remedies a repair plan looks at; what only the others would cure is handed over
CERTAIN = 1.0 - 1e-9

Check = Look | Examination


@dataclass(frozen=True, slots=True)
class Prospect:
    """A step with the expected minutes to the finish [min], and for each outcome (level, probability, minutes)."""

    step: Step
    minutes: float
    outcomes: tuple[tuple[int, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Problem:
    """The options with the remedies worth a place in the repair plan; `columns` are the causes a pattern tells."""

    options: Options
    parts: tuple[str, ...]
    checks: tuple[Check, ...]
    remedies: tuple[Remedy, ...]
    columns: tuple[int, ...]
    repairs: RepairList

    def set_up(self, step: Step, off: frozenset[str]) -> tuple[frozenset[str], frozenset[str]]:
        """Parts to take off and parts to fit for a step, as the parts stand now."""
        if isinstance(step, FunctionTest):
            return frozenset(), off
        if isinstance(step, HandOver):
            return frozenset(), frozenset()
        return step.needs_off - off, step.needs_fitted & off

    def set_up_minutes(self, step: Step, off: frozenset[str]) -> float:
        """Attended minutes of the set-up of a step [min]."""
        take_off, refit = self.set_up(step, off)
        parts = self.options.parts
        minutes = [parts[part].off_minutes for part in sorted(take_off)]
        return sum(minutes) + sum(parts[part].refit_minutes for part in sorted(refit))

    def cost(self, step: Step, off: frozenset[str]) -> float:
        """Minutes of a step alone with its set-up, waiting and risk at their prices [min]."""
        cost = step.minutes + self.set_up_minutes(step, off)
        if isinstance(step, FunctionTest | HandOver):
            return cost
        return cost + step.days * self.options.price_per_day + step.risk * self.options.price_per_risk

    def off_after(self, step: Step, off: frozenset[str]) -> frozenset[str]:
        """Parts off once a step has been set up."""
        take_off, refit = self.set_up(step, off)
        return (off | take_off) - refit

    def without(self, remedy: Remedy) -> Problem:
        """The problem once a remedy was tried: a plan tries each only once."""
        kept = [row for row, other in enumerate(self.remedies) if other != remedy]
        return replace(self, remedies=tuple(self.remedies[row] for row in kept), repairs=self.repairs.keeping(kept))

    def off_row(self, off: frozenset[str]) -> list[bool]:
        """Parts off as a row of the repair plan's array."""
        return [part in off for part in self.parts]


def pose(belief: Belief, options: Options) -> Problem:
    """Choose the remedies a repair plan should consider, and lay the options out for it."""
    parts = tuple(sorted(options.parts))
    steps = options.steps()
    remedies = _worth_planning(belief, [step for step in steps if isinstance(step, Remedy)], options)
    cured = frozenset[str]().union(*(remedy.causes for remedy in remedies))
    names = [cause for cause in belief.scene.causes if cause in cured]
    return Problem(
        options=options,
        parts=parts,
        checks=tuple(step for step in steps if isinstance(step, Look | Examination)),
        remedies=remedies,
        columns=tuple(belief.scene.column(name) for name in names),
        repairs=repair_list(options, remedies, names, parts),
    )


def _worth_planning(belief: Belief, remedies: Sequence[Remedy], options: Options) -> tuple[Remedy, ...]:
    """The remedies with most chance per minute of curing what is at work, by name; none without a chance."""
    working = belief.at_work()
    rates: dict[str, float] = {}
    for remedy in remedies:
        columns = [belief.scene.column(cause) for cause in sorted(remedy.causes)]
        missed = (1.0 - remedy.success) ** working[:, columns].sum(axis=1)
        chance = 1.0 - float(belief.weights @ missed)
        set_up = sum(options.parts[part].off_minutes + options.parts[part].refit_minutes for part in remedy.needs_off)
        rates[remedy.name] = chance / max(remedy.minutes + remedy.risk * options.price_per_risk + set_up, 1e-9)
    hopeful = sorted((remedy for remedy in remedies if rates[remedy.name] > 1e-12), key=lambda r: -rates[r.name])
    return tuple(sorted(hopeful[:LONGEST_PLAN], key=lambda remedy: remedy.name))


@dataclass(frozen=True, slots=True)
class Patterns:
    """The distinct sets of causes at work, (D, columns + 1), and how the worlds fall into them."""

    patterns: Bools
    by_pattern: Ints
    starts: Ints

    def grouped(self, weights: Floats) -> Floats:
        """Weights of the worlds (n, B) added up by pattern (D, B)."""
        return cast(Floats, np.add.reduceat(weights[self.by_pattern], self.starts, axis=0))


def patterns_of(problem: Problem, working: Bools) -> Patterns:
    """Group worlds by the causes at work; the last column is anything the problem's remedies do not cure."""
    known = np.zeros(working.shape[1], dtype=bool)
    known[list(problem.columns)] = True
    told = np.column_stack([working[:, list(problem.columns)], working[:, ~known].any(axis=1)])
    packed = np.packbits(told, axis=1)
    by_pattern = np.lexsort(packed.T)
    changes = (packed[by_pattern][1:] != packed[by_pattern][:-1]).any(axis=1)
    starts = np.concatenate([[0], np.flatnonzero(changes) + 1])
    return Patterns(told[by_pattern[starts]], by_pattern, starts)


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
        *(after_checks if depth == 1 else ()),
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
        elif signature(check) in belief.examined:
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
        """A check; `planned` are the minutes of the repair plan after each outcome, times its chance (depth 1 only)."""
        chances = self.belief.weights @ choice.chances
        joint = planned if self.depth == 1 else [self._after(choice, level, p) for level, p in enumerate(chances)]
        outcomes = [(level, float(p), joint[level] / float(p)) for level, p in enumerate(chances) if p > 0.0]
        return Prospect(choice.check, self.problem.cost(choice.check, self.off) + sum(joint), tuple(outcomes))

    def _after(self, choice: _Choice, level: int, chance: float) -> float:
        if chance <= 0.0:
            return 0.0
        if isinstance(choice.check, Look):
            belief = self.belief.after_look(choice.check, choice.off, level)
        else:
            belief = self.belief.after_examination(choice.check, level)
        return float(chance) * self._ahead(belief, choice.off)

    def _ahead(self, belief: Belief, off: frozenset[str]) -> float:
        return prospects(self.problem, belief, off, self.depth - 1).best
