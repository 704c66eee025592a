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
    return cast(Floats, silent * _explaining(strengths, looks, ceiling).from_last_row().explained[:, -1])


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
    later = explaining.from_last_row().later
    needed = np.full(len(present), (1 << explaining.width) - 1)
    drawn = np.zeros(present.shape, dtype=np.int8)
    for row in range(present.shape[1]):
        there = np.flatnonzero(present[:, row])
        may_fire = explaining.bits[there, row] > 0
        drawn[there, row] = _below(strengths[row], ceiling[there, row], may_fire, generator)
        who = there[may_fire]
        fired = _fired(explaining, row, later[row], needed[who], generator)
        drawn[who[fired], row] = ceiling[who[fired], row]
        needed[who[fired]] &= ~explaining.bits[who[fired], row]
    return drawn


def _fired(explaining: _Explaining, row: int, later: Floats, needed: Ints, generator: np.random.Generator) -> Bools:
    """Whether a row contributes its ceiling, in the worlds where it may; `later` (worlds, 2^width) is of later rows."""
    who = np.flatnonzero(explaining.bits[:, row])
    fire, bits, each = explaining.fires[who, row], explaining.bits[who, row], np.arange(len(who))
    with_fire = fire * later[each, needed & ~bits]
    without = (1.0 - fire) * later[each, needed]
    fired: Bools = generator.random(len(who)) * (with_fire + without) < with_fire
    return fired


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

    def from_last_row(self) -> _Back:
        """Go through the rows from the last to the first."""
        sets = np.arange(1 << self.width)
        explained = np.zeros((len(self.bits), len(sets)))
        explained[:, 0] = 1.0
        later: list[Floats] = []
        for row in range(self.bits.shape[1] - 1, -1, -1):
            who = np.flatnonzero(self.bits[:, row])
            before, fire = explained[who], self.fires[who, row, None]
            fired = np.take_along_axis(before, sets & ~self.bits[who, row, None], axis=1)
            explained[who] = fire * fired + (1.0 - fire) * before
            later.append(before)
        return _Back(explained, later[::-1])


@dataclass(frozen=True, slots=True)
class _Back:
    """Chance that the rows explain a set of looks: all rows (n, 2^width), and for each row the `later` ones alone, in
    the worlds where that row has something to explain."""

    explained: Floats
    later: list[Floats]


def _explaining(strengths: Floats, looks: Sequence[Seen], ceiling: Ints) -> _Explaining:
    most = at_most(strengths)
    chances = np.divide(exactly(strengths), most, out=np.zeros_like(most), where=most > 0.0)
    fires = chances[np.arange(ceiling.shape[1]), ceiling]
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
