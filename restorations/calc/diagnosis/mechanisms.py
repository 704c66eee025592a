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

LOG_OF_ZERO = -1e4  # under which a chance is 0 in double precision; an infinity would not survive a product with 0


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
    return cast(Floats, silent * _explaining(strengths, looks, ceiling).every_look())


def outcome_chances(strengths: Floats, earlier: Sequence[Seen], active: Bools) -> Floats:
    """P(next look at level k | earlier looks of the draw, what is present), k = 0 .. K; (n, K+1).

    Where the same rows act as in an earlier look, the same shows again.
    """
    if not earlier:
        return _first_look(strengths, active)
    chances = np.zeros((len(active), strengths.shape[1] + 1))
    new = np.ones(len(active), dtype=bool)
    for seen in earlier:
        same = new & (seen.active == active).all(axis=1)
        chances[same, seen.level] = 1.0
        new &= ~same
    who = np.flatnonzero(new)
    if len(who):
        chances[who] = _another_look(strengths, [Seen(seen.level, seen.active[who]) for seen in earlier], active[who])
    return chances


def _another_look(strengths: Floats, earlier: Sequence[Seen], active: Bools) -> Floats:
    """The chances, worked out once for all worlds in which the same rows act in every look."""
    first, alike = _alike([active, *(seen.active for seen in earlier)])
    looks, active = [Seen(seen.level, seen.active[first]) for seen in earlier], active[first]
    levels = range(strengths.shape[1] + 1)
    joint = np.column_stack([chance_of_looks(strengths, [*looks, Seen(k, active)]) for k in levels])
    total = joint.sum(axis=1, keepdims=True)
    return cast(Floats, np.divide(joint, total, out=np.zeros_like(joint), where=total > 0.0)[alike])


def _alike(told: Sequence[Bools]) -> tuple[Ints, Ints]:
    """The first of each kind of world, by what is told of it (n, any), and for every world its kind; (kinds,), (n,)."""
    packed = np.packbits(np.concatenate(told, axis=1), axis=1)
    _, first, kind = np.unique(packed.view(f"V{packed.shape[1]}")[:, 0], return_index=True, return_inverse=True)
    return first, kind


def _first_look(strengths: Floats, active: Bools) -> Floats:
    with np.errstate(divide="ignore"):
        quiet = np.maximum(np.log1p(-strengths), LOG_OF_ZERO)
    cumulative = np.zeros((len(active), strengths.shape[1] + 2))
    cumulative[:, 1:-1] = np.exp(active.astype(np.float64) @ quiet)
    cumulative[:, -1] = 1.0
    return cast(Floats, np.diff(cumulative, axis=1))


def sample_contributions(
    strengths: Floats, looks: Sequence[Seen], present: Bools, generator: np.random.Generator
) -> Levels:
    """Contribution of every row drawn from its distribution given the looks; 0 where the row is not there; (n, rows).

    A present-set the looks are impossible for gets an arbitrary draw: give it no weight.
    """
    ceiling = ceilings(strengths, looks, present)
    explaining = _explaining(strengths, looks, ceiling)
    drawn = np.zeros(present.shape, dtype=np.int8)
    there = np.nonzero(present)
    drawn[there] = _below(strengths, there[1], ceiling[there], explaining.bits[there] > 0, generator)
    needed = np.full(len(present), (1 << explaining.width) - 1)
    for row, later in explaining.from_last_row().later:
        who = np.flatnonzero(explaining.bits[:, row])
        fired = who[_fired(explaining, row, later, needed[who], generator)]
        drawn[fired, row] = ceiling[fired, row]
        needed[fired] &= ~explaining.bits[fired, row]
    return drawn


def _fired(explaining: _Explaining, row: int, later: Floats, needed: Ints, generator: np.random.Generator) -> Bools:
    """Whether a row contributes its ceiling, in the worlds where it may; `later` (worlds, 2^width) is of later rows."""
    who = np.flatnonzero(explaining.bits[:, row])
    fire, bits, each = explaining.fires[who, row], explaining.bits[who, row], np.arange(len(who))
    with_fire = fire * later[each, needed & ~bits]
    without = (1.0 - fire) * later[each, needed]
    fired: Bools = generator.random(len(who)) * (with_fire + without) < with_fire
    return fired


def _below(strengths: Floats, row: Ints, ceiling: Levels, strictly: Bools, generator: np.random.Generator) -> Levels:
    """Contributions of these rows (m,), at most (or, where they must not fire, below) the ceiling, by inversion."""
    cumulative = at_most(strengths)
    mark = generator.random(len(row)) * cumulative[row, ceiling - strictly]
    return cast(Levels, (mark[:, None] >= cumulative[row, :-1]).sum(axis=1, dtype=np.int8))


def ceilings(strengths: Floats, looks: Sequence[Seen], there: Bools) -> Levels:
    """Greatest contribution each row may have: the lowest level seen while it was active; (n, rows) as `there`."""
    ceiling: Levels = np.full(there.shape, strengths.shape[1], dtype=np.int8)
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

    def every_look(self) -> Floats:
        """Chance that the rows explain every look, (n,)."""
        if self.width == 0:
            return np.ones(len(self.bits))
        if self.width > 1:
            return self.from_last_row().explained[:, -1]
        with np.errstate(divide="ignore"):
            return cast(Floats, -np.expm1(np.log1p(-self.fires).sum(axis=1)))

    def from_last_row(self) -> _Back:
        """Go through the rows that may explain something, from the last to the first."""
        sets = np.arange(1 << self.width)
        explained = np.zeros((len(self.bits), len(sets)))
        explained[:, 0] = 1.0
        later: list[tuple[int, Floats]] = []
        for row in np.flatnonzero(self.bits.any(axis=0))[::-1]:
            who = np.flatnonzero(self.bits[:, row])
            before, fire = explained[who], self.fires[who, row, None]
            fired = before[np.arange(len(who))[:, None], sets & ~self.bits[who, row, None]]
            explained[who] = fire * fired + (1.0 - fire) * before
            later.append((int(row), before))
        return _Back(explained, later[::-1])


@dataclass(frozen=True, slots=True)
class _Back:
    """Chance that the rows explain a set of looks: all rows (n, 2^width), and for each row that may explain something
    the `later` ones alone, in the worlds where it may."""

    explained: Floats
    later: list[tuple[int, Floats]]


def _explaining(strengths: Floats, looks: Sequence[Seen], ceiling: Levels) -> _Explaining:
    most = at_most(strengths)
    chances = np.divide(exactly(strengths), most, out=np.zeros_like(most), where=most > 0.0)
    rows = np.arange(ceiling.shape[1])
    could = [_may_explain(seen, ceiling, chances) for seen in looks if seen.level > 0]
    kept = _not_implied(could)
    bits = np.zeros(ceiling.shape, dtype=np.intp)
    for bit, explains in enumerate(kept):
        bits[explains] |= 1 << bit
    return _Explaining(np.where(bits > 0, chances[rows, ceiling], 0.0), bits, len(kept))


def _may_explain(seen: Seen, ceiling: Levels, chances: Floats) -> Bools:
    """Which rows of which worlds may contribute just what was seen; (n, rows)."""
    able: Bools = seen.active & (ceiling == seen.level) & (chances[:, seen.level] > 0.0)
    return able


def _not_implied(could: Sequence[Bools]) -> list[Bools]:
    """Leave out looks that whatever explains some other look explains too; `could` (n, rows) is what explains each."""
    kept: list[Bools] = []
    for explains in could:
        if any((other <= explains).all() for other in kept):
            continue
        kept = [other for other in kept if not (explains <= other).all()]
        kept.append(explains)
    return kept
