"""The best policy for a small problem, and the exact cost of any policy, straight from the definition.

Nothing of the package's inference is used. A *world* fixes everything chance can decide: which causes are present,
what each contributes to each finding, what each examination shows, whether each remedy works. Every step is then a
sure thing in every world, a belief is a set of worlds, and the optimum is a recursion over sets of worlds. All
findings have two levels; each remedy is tried once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from restorations.calc.diagnosis.history import Event, Inspected, Observed, Remedied
from restorations.calc.diagnosis.options import Examination, FunctionTest, HandOver, Look, Remedy, Step
from tests.benchmarks.advice_models import COMPLAINT, Case

Bools = npt.NDArray[np.bool_]
Floats = npt.NDArray[np.float64]
Policy = Callable[[Case], Step]
Coins = list[tuple[float, dict[str, bool]]]
LEAK = "leak"


@dataclass(frozen=True, slots=True)
class Moment:
    """Where a plan stands: the worlds still possible, remedies tried, parts off."""

    possible: Bools
    tried: frozenset[str]
    off: frozenset[str]

    def key(self) -> tuple[bytes, frozenset[str], frozenset[str]]:
        return np.packbits(self.possible).tobytes(), self.tried, self.off


class Worlds:
    """All worlds of a case that agree with what was seen first, with their weights."""

    def __init__(self, case: Case) -> None:
        self.case, self.options = case, case.options
        self.steps = [*case.options.steps(), FunctionTest(case.options.test_minutes)]
        self.remedies = {remedy.name: remedy for remedy in case.options.remedies}
        self._shown: dict[tuple[str, frozenset[str], frozenset[str]], Bools] = {}
        self._bounds: dict[tuple[frozenset[str], frozenset[str]], Floats] = {}
        self._list(self._factors())
        seen = self.shows(FunctionTest(0.0), frozenset(), frozenset())
        self.start = Moment(seen, frozenset(), case.options.off)

    def _factors(self) -> list[Coins]:
        """Independent pieces of chance: each a list of (probability, what it fixes)."""
        model = self.case.model
        leaks = [_coins([(f"{finding}/{LEAK}", float(model.leaks[f][0]))]) for f, finding in enumerate(model.findings)]
        return [*(self._cause_factor(number, cause) for number, cause in enumerate(model.causes)), *leaks]

    def _cause_factor(self, number: int, cause: str) -> Coins:
        model, prior = self.case.model, float(self.case.model.prior[number])
        examinations = [e for e in self.options.examinations if e.cause == cause]
        missing = _coins([(e.name, e.false_alarm) for e in examinations])
        there = _coins(
            [(e.name, e.sensitivity) for e in examinations]
            + [(remedy.name, remedy.success) for remedy in self.options.remedies if cause in remedy.causes]
            + [
                (f"{finding}/{cause}", float(model.strengths[f][list(model.parents[f]).index(number), 0]))
                for f, finding in enumerate(model.findings)
                if number in model.parents[f]
            ]
        )
        return [
            *((p * (1.0 - prior), fixed) for p, fixed in missing),
            *((p * prior, {**fixed, cause: True}) for p, fixed in there),
        ]

    def _list(self, factors: list[Coins]) -> None:
        """Every combination of the factors, as one array of truth values per fact."""
        weights, facts = np.ones(1), dict[str, Bools]()
        for factor in factors:
            chances = np.array([p for p, _ in factor])
            names = sorted({name for _, fixed in factor for name in fixed})
            facts = {name: np.repeat(values, len(factor)) for name, values in facts.items()}
            for name in names:
                facts[name] = np.tile([fixed.get(name, False) for _, fixed in factor], len(weights))
            weights = np.repeat(weights, len(factor)) * np.tile(chances, len(weights))
        self.weights, self.facts = weights, facts

    def _fact(self, name: str) -> Bools:
        return self.facts.get(name, np.zeros(len(self.weights), dtype=bool))

    def _at_work(self, finding: str, tried: frozenset[str], silent: frozenset[str]) -> Bools:
        """Worlds in which something makes the finding show."""
        shown = self._fact(f"{finding}/{LEAK}")
        for cause in self.case.model.causes:
            if cause not in silent:
                shown = shown | (self._fact(f"{finding}/{cause}") & ~self._cured(cause, tried))
        return shown

    def _cured(self, cause: str, tried: frozenset[str]) -> Bools:
        cured = np.zeros(len(self.weights), dtype=bool)
        for name in tried:
            if cause in self.remedies[name].causes:
                cured = cured | self._fact(name)
        return cured

    def shows(self, step: Step, tried: frozenset[str], off: frozenset[str]) -> Bools:
        """Worlds in which a check, made with these parts off, shows something; a test fails."""
        key = step.name, tried, off
        if key not in self._shown:
            self._shown[key] = self._work_out(step, tried, off)
        return self._shown[key]

    def _work_out(self, step: Step, tried: frozenset[str], off: frozenset[str]) -> Bools:
        if isinstance(step, Look):
            return self._at_work(step.finding, tried, step.silent(off))
        if isinstance(step, Examination):
            return self._fact(step.name)
        return self._at_work(COMPLAINT, tried, frozenset())

    def mass(self, moment: Moment) -> float:
        """Probability of the worlds still possible."""
        return float(self.weights @ moment.possible)

    def cost(self, step: Step, off: frozenset[str]) -> tuple[float, frozenset[str]]:
        """Attended minutes with set-up, and the parts off afterwards."""
        parts = self.options.parts
        if isinstance(step, HandOver):
            return step.minutes, off
        if isinstance(step, FunctionTest):
            return step.minutes + sum(parts[part].refit_minutes for part in off), frozenset()
        minutes = step.minutes + sum(parts[part].off_minutes for part in step.needs_off - off)
        minutes += sum(parts[part].refit_minutes for part in step.needs_fitted & off)
        return minutes, (off | step.needs_off) - step.needs_fitted

    def after(self, step: Step, moment: Moment) -> tuple[float, list[tuple[bool, Moment]]]:
        """Cost of a step, and the moments it may lead to; none after handing over or where the test passes."""
        minutes, off = self.cost(step, moment.off)
        if isinstance(step, HandOver):
            return minutes, []
        if isinstance(step, Remedy):
            return minutes, [(True, Moment(moment.possible, moment.tried | {step.name}, off))]
        shows = self.shows(step, moment.tried, off)
        yes = Moment(moment.possible & shows, moment.tried, off)
        no = Moment(moment.possible & ~shows, moment.tried, off)
        after = [(True, yes)] if isinstance(step, FunctionTest) else [(True, yes), (False, no)]
        return minutes, [(shown, then) for shown, then in after if then.possible.any()]

    def least_minutes(self, tried: frozenset[str], off: frozenset[str]) -> Floats:
        """What each world costs at least, were it known: the remedies it needs, or handing over."""
        key = tried, off
        if key not in self._bounds:
            self._bounds[key] = self._bound(tried, off)
        return self._bounds[key]

    def _bound(self, tried: frozenset[str], off: frozenset[str]) -> Floats:
        parts = self.options.parts
        least = np.full(len(self.weights), self.options.test_minutes + sum(parts[p].refit_minutes for p in off))
        need = {part: np.zeros(len(self.weights), dtype=bool) for part in parts}
        hopeless = self._fact(f"{COMPLAINT}/{LEAK}")
        for cause in self.case.model.causes:
            working = self._fact(f"{COMPLAINT}/{cause}") & ~self._cured(cause, tried)
            remedy = next(remedy for remedy in self.remedies.values() if cause in remedy.causes)
            least = least + working * remedy.minutes
            hopeless = hopeless | (working & ((remedy.name in tried) | ~self._fact(remedy.name)))
            for part in remedy.needs_off - off:
                need[part] |= working
        for part, needed in need.items():
            least = least + needed * (parts[part].off_minutes + parts[part].refit_minutes)
        return np.where(hopeless, self.options.hand_over_minutes, np.minimum(least, self.options.hand_over_minutes))


class Optimum:
    """Branch and bound over sets of worlds: least expected minutes from a moment on, times its probability."""

    def __init__(self, worlds: Worlds) -> None:
        self.worlds = worlds
        self.known: dict[tuple[bytes, frozenset[str], frozenset[str]], float] = {}

    def minutes(self) -> float:
        """Expected minutes of the best policy from the start."""
        return self._value(self.worlds.start) / self.worlds.mass(self.worlds.start)

    def _value(self, moment: Moment) -> float:
        key = moment.key()
        if key not in self.known:
            self.known[key] = self._search(moment)
        return self.known[key]

    def _search(self, moment: Moment) -> float:
        worlds, mass = self.worlds, self.worlds.mass(moment)
        best = mass * worlds.options.hand_over_minutes
        choices = []
        for step in worlds.steps:
            if self._pointless(step, moment):
                continue
            minutes, after = worlds.after(step, moment)
            bounds = [self._bound(then) for _, then in after]
            choices.append((mass * minutes + sum(bounds), mass * minutes, list(zip(after, bounds, strict=True))))
        for bound, cost, after in sorted(choices, key=lambda choice: choice[0]):
            if bound < best:
                best = min(best, self._follow(bound, cost, after, best))
        return best

    def _follow(self, bound: float, cost: float, after: list[tuple[tuple[bool, Moment], float]], best: float) -> float:
        """Value of one step; given up as soon as it cannot beat the best so far."""
        for (_, then), least in after:
            value = self._value(then)
            cost, bound = cost + value, bound + value - least
            if bound >= best:
                return best
        return cost

    def _bound(self, moment: Moment) -> float:
        least = self.worlds.least_minutes(moment.tried, moment.off)
        return float((self.worlds.weights * least) @ moment.possible)

    def _pointless(self, step: Step, moment: Moment) -> bool:
        """A check or test with a sure outcome that does not end the job; a remedy tried, or for nothing at work."""
        worlds = self.worlds
        if isinstance(step, Remedy):
            working = [worlds._fact(f"{COMPLAINT}/{c}") & ~worlds._cured(c, moment.tried) for c in step.causes]
            return step.name in moment.tried or not any((w & moment.possible).any() for w in working)
        shows = worlds.shows(step, moment.tried, worlds.cost(step, moment.off)[1])[moment.possible]
        return bool(shows.all() or (not isinstance(step, FunctionTest) and not shows.any()))


def policy_minutes(case: Case, worlds: Worlds, policy: Policy) -> float:
    """Expected minutes when this policy is followed from the start to the end, worked out exactly."""
    return _followed(case, worlds, worlds.start, policy) / worlds.mass(worlds.start)


def _followed(case: Case, worlds: Worlds, moment: Moment, policy: Policy) -> float:
    step = policy(case)
    minutes, after = worlds.after(step, moment)
    value = worlds.mass(moment) * minutes
    for shown, then in after:
        events = _events(step, shown, then.off)
        left = tuple(remedy for remedy in case.options.remedies if remedy.name not in then.tried)
        options = replace(case.options, remedies=left, off=then.off)
        value += _followed(replace(case, history=(*case.history, *events), options=options), worlds, then, policy)
    return value


def _events(step: Step, shown: bool, off: frozenset[str]) -> list[Event]:
    if isinstance(step, Look):
        return [Observed(step.finding, int(shown), step.silent(off))]
    if isinstance(step, Examination):
        return [Inspected(step.cause, shown, step.sensitivity, step.false_alarm)]
    if isinstance(step, Remedy):
        return [Remedied(cause, step.success) for cause in sorted(step.causes)]
    return [Observed(COMPLAINT, int(shown))]


def _coins(chances: list[tuple[str, float]]) -> Coins:
    """Every way these independent coins can fall that has a chance."""
    ways: Coins = [(1.0, {})]
    for name, p in chances:
        ways = [(q * r, {**fixed, name: up}) for q, fixed in ways for up, r in ((True, p), (False, 1.0 - p)) if r > 0.0]
    return ways
