"""The options laid out for planning, and worlds grouped by what a repair plan can tell apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np

from restorations.calc.diagnosis.belief import Belief
from restorations.calc.diagnosis.mechanisms import Bools, Floats, Ints
from restorations.calc.diagnosis.options import Check, FunctionTest, HandOver, Options, Remedy, Step
from restorations.calc.diagnosis.repair_plan import RepairList, repair_list

LONGEST_PLAN = 20  # remedies a repair plan looks at; what only the others would cure is handed over


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
    """Lay the options out for planning, with the remedies a repair plan should consider."""
    steps, parts = options.steps(), tuple(sorted(options.parts))
    remedies = _worth_planning(belief, [step for step in steps if isinstance(step, Remedy)], options)
    cured = frozenset[str]().union(*(remedy.causes for remedy in remedies))
    names = [cause for cause in belief.scene.causes if cause in cured]
    return Problem(
        options=options,
        parts=parts,
        checks=tuple(step for step in steps if not isinstance(step, Remedy)),
        remedies=remedies,
        columns=tuple(belief.scene.column(name) for name in names),
        repairs=repair_list(options, remedies, names, parts),
    )


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


def _worth_planning(belief: Belief, remedies: Sequence[Remedy], options: Options) -> tuple[Remedy, ...]:
    """The remedies with most chance per minute of curing what is at work, by name; none without a chance."""
    working = belief.at_work()
    rates: dict[Remedy, float] = {}
    for remedy in remedies:
        columns = [belief.scene.column(cause) for cause in sorted(remedy.causes)]
        missed = (1.0 - remedy.success) ** working[:, columns].sum(axis=1)
        chance = 1.0 - float(belief.weights @ missed)
        if chance > 1e-12:
            rates[remedy] = chance / max(_minutes(remedy, options), 1e-9)
    hopeful = sorted(rates, key=lambda remedy: -rates[remedy])
    return tuple(sorted(hopeful[:LONGEST_PLAN], key=lambda remedy: remedy.name))


def _minutes(remedy: Remedy, options: Options) -> float:
    """Cost of a remedy with its set-up there and back, everything fitted."""
    set_up = sum(
        options.parts[part].off_minutes + options.parts[part].refit_minutes for part in sorted(remedy.needs_off)
    )
    return remedy.minutes + remedy.risk * options.price_per_risk + set_up
