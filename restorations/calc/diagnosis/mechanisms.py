"""One shared draw of a finding, given which causes are present: chance of its looks, and samples of what acted.

Looks at one finding that share a draw see the same contribution of every row (a cause, or the leak as the last row):
level = greatest contribution among the rows active in that look. Over many present-sets at once, n of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import cast

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.intp]
Levels = npt.NDArray[np.int8]


@dataclass(frozen=True, slots=True)
class Seen:
    """A look with its level; `active` (n, rows): the row is there, uncured, and not silenced in this look."""

    level: int
    active: Bools


def at_most(strengths: Floats) -> Floats:
    """P(contribution <= k) for k = 0 .. K from P(contribution > k), k = 0 .. K-1; (rows, K+1)."""
    return np.column_stack([1.0 - strengths, np.ones(len(strengths))])


def exactly(strengths: Floats) -> Floats:
    """P(contribution = k) for k = 0 .. K from P(contribution > k), k = 0 .. K-1; (rows, K+1)."""
    greater = np.column_stack([np.ones(len(strengths)), strengths, np.zeros(len(strengths))])
    return greater[:, :-1] - greater[:, 1:]


def chance_of_looks(strengths: Floats, looks: Sequence[Seen]) -> Floats:
    """P(all these looks came out as seen | what was present at each), (n,)."""
    ceiling = ceilings(strengths, looks, looks[0].active)
    silent = np.take_along_axis(at_most(strengths).T, ceiling, axis=0).prod(axis=1)
    return cast(Floats, silent * _explaining(strengths, looks, ceiling).tables()[0][:, -1])


def outcome_chances(strengths: Floats, earlier: Sequence[Seen], active: Bools) -> Floats:
    """P(next look at level k | earlier looks of the draw, what is present), k = 0 .. K; (n, K+1)."""
    if not earlier:
        return _first_look(strengths, active)
    levels = range(strengths.shape[1] + 1)
    joint = np.column_stack([chance_of_looks(strengths, [*earlier, Seen(k, active)]) for k in levels])
    total = joint.sum(axis=1, keepdims=True)
    return cast(Floats, np.divide(joint, total, out=np.zeros_like(joint), where=total > 0.0))


def _first_look(strengths: Floats, active: Bools) -> Floats:
    below = [np.where(active, 1.0 - strengths[:, k], 1.0).prod(axis=1) for k in range(strengths.shape[1])]
    cumulative = np.column_stack([np.zeros(len(active)), *below, np.ones(len(active))])
    return cast(Floats, np.diff(cumulative, axis=1))


def sample_contributions(
    strengths: Floats, looks: Sequence[Seen], present: Bools, generator: np.random.Generator
) -> Levels:
    """Contribution of every row drawn from its distribution given the looks; 0 where the row is not there; (n, rows).

    A present-set the looks are impossible for gets an arbitrary draw: give it no weight.
    """
    ceiling = ceilings(strengths, looks, present)
    explaining = _explaining(strengths, looks, ceiling)
    tables, fires, bits = explaining.tables(), explaining.fires, explaining.bits
    needed = np.full(len(present), (1 << explaining.width) - 1)
    drawn = np.zeros(present.shape, dtype=np.int8)
    each = np.arange(len(present))
    for row in range(present.shape[1]):
        later = tables[row + 1]
        with_fire = fires[:, row] * later[each, needed & ~bits[:, row]]
        without = (1.0 - fires[:, row]) * later[each, needed]
        fired = generator.random(len(present)) * (with_fire + without) < with_fire
        lower = _below(strengths[row], ceiling[:, row], bits[:, row] > 0, generator)
        drawn[:, row] = np.where(fired, ceiling[:, row], lower)
        needed = np.where(fired, needed & ~bits[:, row], needed)
    return np.where(present, drawn, 0).astype(np.int8)


def _below(strengths: Floats, ceiling: Ints, strictly: Bools, generator: np.random.Generator) -> Ints:
    """A contribution at most (or, where it must not fire, below) the ceiling, by inversion."""
    cumulative = at_most(strengths[None, :])[0]
    top = cumulative[np.where(strictly, ceiling - 1, ceiling)]
    return cast(Ints, np.searchsorted(cumulative, generator.random(len(ceiling)) * top, side="right"))


def ceilings(strengths: Floats, looks: Sequence[Seen], there: Bools) -> Ints:
    """Greatest contribution each row may have: the lowest level seen while it was active; (n, rows) as `there`."""
    ceiling = np.full(there.shape, strengths.shape[1], dtype=np.intp)
    for seen in looks:
        np.minimum(ceiling, seen.level, out=ceiling, where=seen.active)
    return ceiling


@dataclass(frozen=True, slots=True)
class _Explaining:
    """How rows may explain what was seen.

    `fires` (n, rows) the chance that a row contributes exactly its ceiling, `bits` (n, rows) the looks it then
    explains, `width` how many looks need explaining.
    """

    fires: Floats
    bits: Ints
    width: int

    def tables(self) -> list[Floats]:
        """For each row and after the last: chance that it and later rows explain a set of looks; (n, 2^width) each."""
        sets = np.arange(1 << self.width)
        after = np.zeros((len(self.bits), len(sets)))
        after[:, 0] = 1.0
        tables = [after]
        for row in range(self.bits.shape[1] - 1, -1, -1):
            fired = np.take_along_axis(after, sets & ~self.bits[:, row, None], axis=1)
            fire = self.fires[:, row, None]
            after = fire * fired + (1.0 - fire) * after
            tables.append(after)
        return tables[::-1]


def _explaining(strengths: Floats, looks: Sequence[Seen], ceiling: Ints) -> _Explaining:
    rows = np.arange(ceiling.shape[1])
    most = at_most(strengths)[rows, ceiling]
    fires = np.divide(exactly(strengths)[rows, ceiling], most, out=np.zeros(ceiling.shape), where=most > 0.0)
    could = [seen.active & (ceiling == seen.level) & (fires > 0.0) for seen in looks if seen.level > 0]
    kept = _not_implied(could)
    bits = np.zeros(ceiling.shape, dtype=np.intp)
    for bit, explains in enumerate(kept):
        bits |= np.where(explains, 1 << bit, 0)
    return _Explaining(np.where(bits > 0, fires, 0.0), bits, len(kept))


def _not_implied(could: Sequence[Bools]) -> list[Bools]:
    """Leave out looks that whatever explains some other look explains too; `could` (n, rows) is what explains each."""
    kept: list[Bools] = []
    for explains in could:
        if any((other <= explains).all() for other in kept):
            continue
        kept = [other for other in kept if not (explains <= other).all()]
        kept.append(explains)
    return kept
