"""The plain repair plan: remedies in a good order, function tests where they pay, hand over at the end.

It is the yardstick every other step is measured by, so it is worked out for many beliefs at once. A belief here is a
weight for each *pattern*: the set of causes at work in the complaint, the last column standing for whatever no
remedy of the list cures. Patterns stay the same from belief to belief; only weights and parts off differ.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import cast

import numpy as np
import numpy.typing as npt

from restorations.calc.diagnosis.options import Options, Remedy

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.intp]

ANY = -1  # no remedy is forced to be the first
HAND_OVER = -1  # no further test: the engine is handed over
_SURE = 1e-300  # stands for zero under a logarithm


@dataclass(frozen=True, slots=True)
class RepairList:
    """Remedies and parts as arrays: R remedies, P parts, C columns of a pattern.

    `attended` and `priced` are minutes of each remedy without set-up, shape (R,), the second with risk priced in;
    `days` (R,); `needs_off` (R, P); `cures` (R, C) the chance that a remedy cures a column's cause; `take_off` and
    `refit` (P,) minutes; then the function test, handing over, and the price of a day of waiting.
    """

    attended: Floats
    priced: Floats
    days: Floats
    needs_off: Bools
    cures: Floats
    take_off: Floats
    refit: Floats
    test: float
    hand_over: float
    price_per_day: float

    def keeping(self, rows: Sequence[int]) -> RepairList:
        """The list with these remedies only."""
        kept = np.array(rows, dtype=np.intp)
        return replace(
            self,
            attended=self.attended[kept],
            priced=self.priced[kept],
            days=self.days[kept],
            needs_off=self.needs_off[kept],
            cures=self.cures[kept],
        )


@dataclass(frozen=True, slots=True)
class RepairPlan:
    """One plan: `order` of remedies; a test stands after the first n of them for each n in `tests` (0 = at once)."""

    order: tuple[int, ...]
    tests: tuple[int, ...]


def repair_list(
    options: Options, remedies: Sequence[Remedy], causes: Sequence[str], parts: Sequence[str]
) -> RepairList:
    """The arrays for these remedies over the columns `causes` and one more column that nothing cures."""
    cures = np.zeros((len(remedies), len(causes) + 1))
    for row, remedy in enumerate(remedies):
        cures[row, :-1] = [remedy.success if cause in remedy.causes else 0.0 for cause in causes]
    attended = np.array([remedy.minutes for remedy in remedies], dtype=float)
    risk = np.array([remedy.risk for remedy in remedies], dtype=float)
    needs_off = np.array([[part in remedy.needs_off for part in parts] for remedy in remedies], dtype=bool)
    return RepairList(
        attended=attended,
        priced=attended + options.price_per_risk * risk,
        days=np.array([remedy.days for remedy in remedies], dtype=float),
        needs_off=needs_off.reshape(len(remedies), len(parts)),
        cures=cures,
        take_off=np.array([options.parts[part].off_minutes for part in parts], dtype=float),
        refit=np.array([options.parts[part].refit_minutes for part in parts], dtype=float),
        test=options.test_minutes,
        hand_over=options.hand_over_minutes,
        price_per_day=options.price_per_day,
    )


def plan_minutes(repairs: RepairList, patterns: Bools, weights: Floats, off: Bools, first: Ints) -> Floats:
    """Expected minutes of the repair plan for each of B beliefs, times the belief's total weight.

    Each belief is given its own order, or the order that suits the first belief if that turns out better: so what is
    learnt on the way from the first to the others never seems to do harm.

    Parameters
    ----------
    repairs : RepairList
    patterns : bool array (D, C) - causes at work in the complaint
    weights : array (D, B) - weight of each pattern in each belief, >= 0
    off : bool array (B, P) - parts off in each belief
    first : int array (B,) - the remedy the plan must begin with, or ANY

    Returns
    -------
    array (B,) - minutes, prices of waiting and risk included [min]
    """
    own = _greedy_order(repairs, patterns, weights, off, first)
    shared = np.where((first == ANY)[:, None], own[0], own)
    return cast(Floats, np.minimum(*(_follow(repairs, patterns, weights, off, first, o) for o in (own, shared))))


def _follow(repairs: RepairList, patterns: Bools, weights: Floats, off: Bools, first: Ints, order: Ints) -> Floats:
    wrong = _still_wrong(repairs, patterns, weights, order)
    return _place_tests(repairs, order, wrong, weights.sum(axis=0), off, first).minutes


def best_plan(repairs: RepairList, patterns: Bools, weights: Floats, off: Bools) -> RepairPlan:
    """The repair plan itself for one belief: weights (D,), off (P,)."""
    column, parts, free = weights[:, None], off[None, :], np.array([ANY])
    order = _greedy_order(repairs, patterns, column, parts, free)
    wrong = _still_wrong(repairs, patterns, column, order)
    placed = _place_tests(repairs, order, wrong, column.sum(axis=0), parts, free)
    tests: list[int] = []
    at = int(placed.start[0])
    while at != HAND_OVER:
        tests.append(at)
        at = int(placed.after[0, at])
    return RepairPlan(order=tuple(int(remedy) for remedy in order[0]), tests=tuple(tests))


def minutes_spent(
    repairs: RepairList, plan: RepairPlan, patterns: Bools, off: Bools, generator: np.random.Generator
) -> tuple[Floats, Bools]:
    """Attended minutes of the plan when these (n, C) are at work, cures drawn by their chances, until the test that
    passes or, without the price of that, until the engine is handed over; and whether it is; (n,) each."""
    cured: Bools = generator.random((len(patterns), *repairs.cures.shape)) < repairs.cures
    first_cure = np.full(patterns.shape, np.inf)
    for place, remedy in reversed(list(enumerate(plan.order, start=1))):
        first_cure[cured[:, remedy]] = place
    right_after = np.where(patterns, first_cure, 0.0).max(axis=1)
    marks = np.cumsum(_attended(repairs, plan, off))
    passed = np.searchsorted(np.array(plan.tests, dtype=float), right_after)
    last = marks[-1:] if len(marks) else np.zeros(1)
    return cast(Floats, np.concatenate([marks, last])[passed]), cast(Bools, passed == len(marks))


def _attended(repairs: RepairList, plan: RepairPlan, off: Bools) -> list[float]:
    """Attended minutes of each segment of the plan, its test included."""
    minutes: list[float] = []
    since, off_now = 0, off
    for test in plan.tests:
        done = list(plan.order[since:test])
        taken_off = repairs.needs_off[done].any(axis=0) & ~off_now
        set_up = taken_off @ (repairs.take_off + repairs.refit) + off_now @ repairs.refit
        minutes.append(float(repairs.attended[done].sum() + set_up + repairs.test))
        since, off_now = test, np.zeros_like(off)
    return minutes


@dataclass(frozen=True, slots=True)
class _Placed:
    """Where the tests stand: `start` (B,) the first one, `after` (B, R+1) the one after a failed test; minutes (B,)."""

    minutes: Floats
    start: Ints
    after: Ints


def _greedy_order(repairs: RepairList, patterns: Bools, weights: Floats, off: Bools, first: Ints) -> Ints:
    """Remedies by chance of curing something at work, per minute of work and of set-up not yet done; (B, R)."""
    spared = np.log(np.maximum(1.0 - repairs.cures, _SURE))
    chance = weights.T @ -np.expm1(patterns @ spared.T)
    order: Ints = np.empty_like(chance, dtype=np.intp)
    fitted = np.where(off, 0.0, repairs.take_off + repairs.refit)
    needs = repairs.needs_off.astype(float)
    rows = np.arange(len(order))
    for place in range(len(repairs.priced)):
        rate = chance / np.maximum(repairs.priced + fitted @ needs.T, _SURE)
        pick = rate.argmax(axis=1)
        if place == 0:
            pick = np.where(first == ANY, pick, first)
        order[:, place] = pick
        chance[rows, pick] = -1.0
        fitted[repairs.needs_off[pick]] = 0.0
    return order


def _still_wrong(repairs: RepairList, patterns: Bools, weights: Floats, order: Ints) -> Floats:
    """Weight of "something is still at work" after the first t remedies, t = 0 .. R; (B, R+1).

    What is left depends on which remedies were done, not on their order, and few sets of them ever come up.
    """
    done = np.zeros((len(order), order.shape[1] + 1), dtype=np.int64)
    np.cumsum(np.left_shift(1, order), axis=1, out=done[:, 1:])
    sets, which = np.unique(done, return_inverse=True)
    tried = (sets[:, None] >> np.arange(order.shape[1])) & 1
    cured = -np.expm1(tried @ np.log(np.maximum(1.0 - repairs.cures, _SURE)))
    failing = -np.expm1(np.log(np.maximum(cured, _SURE)) @ patterns.T)
    which = which.reshape(done.shape)
    by_belief = np.ascontiguousarray(weights.T)
    wrong = [np.einsum("bd,bd->b", failing[which[:, t]], by_belief) for t in range(done.shape[1])]
    return np.column_stack(wrong)


def _place_tests(repairs: RepairList, order: Ints, wrong: Floats, total: Floats, off: Bools, first: Ints) -> _Placed:
    """Best places for the tests by f(t) = min over s of wrong(t) cost(t, s) + f(s), handing over being one choice."""
    minutes = wrong * repairs.hand_over
    after = np.full(wrong.shape, HAND_OVER, dtype=np.intp)
    set_up = _SetUp(repairs, order)
    for t in range(order.shape[1] - 1, -1, -1):
        cost = _segment(repairs, order[:, t:], set_up.minutes_from(t))
        _improve(minutes, after, t, wrong[:, t, None] * cost + minutes[:, t + 1 :])
    refit = off @ repairs.refit
    first_cost = np.column_stack([refit + repairs.test, _segment(repairs, order, set_up.minutes_with(off))])
    first_cost[first != ANY, 0] = np.inf
    choices = total[:, None] * first_cost + minutes
    start = choices.argmin(axis=1)
    best = choices[np.arange(len(start)), start]
    give_up = (total * repairs.hand_over < best) & (first == ANY)
    return _Placed(np.where(give_up, total * repairs.hand_over, best), np.where(give_up, HAND_OVER, start), after)


def _improve(minutes: Floats, after: Ints, t: int, choices: Floats) -> None:
    pick = choices.argmin(axis=1)
    best = choices[np.arange(len(pick)), pick]
    better = best < minutes[:, t]
    minutes[better, t] = best[better]
    after[better, t] = pick[better] + t + 1


def _segment(repairs: RepairList, order: Ints, set_up: Floats) -> Floats:
    """Cost of doing the first s of these remedies and then one test, s = 1 ..; waits run side by side; (B, S)."""
    waiting = repairs.price_per_day * np.maximum.accumulate(repairs.days[order], axis=1)
    minutes: Floats = np.cumsum(repairs.priced[order], axis=1) + set_up + waiting + repairs.test
    return minutes


class _SetUp:
    """Set-up minutes of segments, told part by part by the first remedy of the segment that needs the part off."""

    def __init__(self, repairs: RepairList, order: Ints) -> None:
        self._both = repairs.take_off + repairs.refit
        self._refit = repairs.refit
        self._needs, self._order = repairs.needs_off, order
        beliefs, length = order.shape
        self._next = np.full((beliefs, len(self._both)), length)  # place of the next remedy that needs the part
        self._due = np.zeros((beliefs, length + 1))  # minutes of the parts first needed at each place

    def minutes_from(self, t: int) -> Floats:
        """Off and refit minutes of the segments t .. s with everything fitted before; asked from the last t down."""
        belief, part = np.nonzero(self._needs[self._order[:, t]])
        np.subtract.at(self._due, (belief, self._next[belief, part]), self._both[part])
        self._next[belief, part] = t
        np.add.at(self._due, (belief, np.full(len(part), t)), self._both[part])
        return np.cumsum(self._due[:, t:-1], axis=1)

    def minutes_with(self, off: Bools) -> Floats:
        """The same from the start, with these parts off already: they need only be refitted."""
        belief, part = np.nonzero(~off)
        due = np.zeros_like(self._due)
        np.add.at(due, (belief, self._next[belief, part]), self._both[part])
        minutes: Floats = np.cumsum(due[:, :-1], axis=1) + (off @ self._refit)[:, None]
        return minutes
