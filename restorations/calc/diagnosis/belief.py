"""What is believed about the engine at one moment of a plan, as weighted possible worlds.

A world says which causes are present and how strongly each is at work in the complaint's findings. All worlds are
listed when there are few, so small models are exact; else they are exact posterior samples. Findings outside the
complaint are not spelt out in the worlds: their chances are worked out from what is present and what was seen.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from restorations.calc.diagnosis.mechanisms import Bools, Floats, Ints, Levels, Seen, outcome_chances
from restorations.calc.diagnosis.options import Examination, Look, Remedy

Examined = tuple[str, float, float]


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of one finding: `columns` (parents,) of the worlds; `strengths` (parents + 1, K), the leak last."""

    names: tuple[str, ...]
    columns: Ints
    strengths: Floats

    def active(self, present: Bools, inactive: frozenset[str]) -> Bools:
        """Which rows act when these causes (n, causes) are present and those are silenced; (n, rows)."""
        return self.acting(present[:, self.columns], inactive)

    def acting(self, present: Bools, inactive: frozenset[str]) -> Bools:
        """The same from the presence of the linked causes alone, (n, parents); the leak always acts."""
        loud = np.array([name not in inactive for name in self.names], dtype=bool)
        return np.hstack([present & loud, np.ones((len(present), 1), dtype=bool)])


@dataclass(frozen=True, slots=True)
class Scene:
    """What stays the same through a plan: the causes that matter, the findings' rows, the complaint."""

    causes: tuple[str, ...]
    rows: Mapping[str, Rows]
    complaint: tuple[str, ...]
    test_inactive: Mapping[str, frozenset[str]]

    def column(self, cause: str) -> int:
        """The worlds' column of a cause."""
        return self.causes.index(cause)


@dataclass(frozen=True, slots=True)
class Belief:
    """Weighted worlds: `weights` (n,), `present` (n, causes), contributions to each complaint finding (n, rows).

    `seen` holds, for every other finding, the looks the next one shares its draw with; `examined` the examinations
    (cause, sensitivity, false alarm) made since the cause was last remedied, which would only be made again.
    """

    scene: Scene
    weights: Floats
    present: Bools
    contributions: Mapping[str, Levels]
    seen: Mapping[str, tuple[Seen, ...]]
    examined: frozenset[Examined] = frozenset()

    def at_work(self) -> Bools:
        """Causes at work in the complaint as the function test shows it, the leak in the last column; (n, causes+1)."""
        working = np.zeros((len(self.weights), len(self.scene.causes) + 1), dtype=bool)
        for finding, drawn in self.contributions.items():
            rows = self.scene.rows[finding]
            acts = rows.active(self.present, self.scene.test_inactive.get(finding, frozenset())) & (drawn > 0)
            working[:, rows.columns] |= acts[:, :-1]
            working[:, -1] |= acts[:, -1]
        return working

    def look_chances(self, look: Look, off: frozenset[str]) -> Floats:
        """P(level | world) of a look made with these parts off; (n, levels)."""
        rows = self.scene.rows[look.finding]
        active = rows.active(self.present, look.silent(off))
        drawn = self.contributions.get(look.finding)
        if drawn is None:
            return outcome_chances(rows.strengths, self.seen.get(look.finding, ()), active)
        level = np.where(active, drawn, 0).max(axis=1)
        shown: Bools = level[:, None] == np.arange(rows.strengths.shape[1] + 1)
        return shown.astype(float)

    def examination_chances(self, examination: Examination) -> Floats:
        """P(not found | world) and P(found | world); (n, 2)."""
        there = self.present[:, self.scene.column(examination.cause)]
        found = np.where(there, examination.sensitivity, examination.false_alarm)
        return np.column_stack([1.0 - found, found])

    def weighted(self, chances: Floats) -> Belief:
        """The belief after evidence of this chance in each world, normalised; impossible worlds are dropped."""
        weights = self.weights * chances
        kept = np.flatnonzero(weights > 0.0)
        return replace(self._worlds(kept), weights=weights[kept] / weights.sum())

    def after_look(self, look: Look, off: frozenset[str], level: int) -> Belief:
        """The belief after this look, made with these parts off, showed this level."""
        after = self.weighted(self.look_chances(look, off)[:, level])
        if look.finding in self.contributions:
            return after
        active = self.scene.rows[look.finding].active(after.present, look.silent(off))
        looks = (*after.seen.get(look.finding, ()), Seen(level, active))
        return replace(after, seen={**after.seen, look.finding: looks})

    def after_examination(self, examination: Examination, level: int) -> Belief:
        """The belief after this examination found (1) or did not find (0) its cause."""
        after = self.weighted(self.examination_chances(examination)[:, level])
        return replace(after, examined=self.examined | {signature(examination)})

    def after_remedy(self, remedy: Remedy) -> Belief:
        """The belief after a remedy was done: worlds where it may or may not have cured a cause are split."""
        belief = self
        for cause in sorted(remedy.causes):
            belief = belief._cured(self.scene.column(cause), remedy.success)
        return replace(belief, examined=frozenset(made for made in self.examined if made[0] not in remedy.causes))

    def _cured(self, column: int, success: float) -> Belief:
        there = np.flatnonzero(self.present[:, column])
        survives = there if success < 1.0 else there[:0]
        split = self._worlds(np.concatenate([np.arange(len(self.weights)), survives]))
        first = len(self.weights)
        present, weights = split.present.copy(), split.weights.copy()
        present[:first, column] = False
        weights[there] *= success
        weights[first:] *= 1.0 - success
        return replace(split, present=present, weights=weights)

    def _worlds(self, kept: Ints) -> Belief:
        return replace(
            self,
            weights=self.weights[kept],
            present=self.present[kept],
            contributions={finding: drawn[kept] for finding, drawn in self.contributions.items()},
            seen={
                finding: tuple(Seen(seen.level, seen.active[kept]) for seen in looks)
                for finding, looks in self.seen.items()
            },
        )


def signature(examination: Examination) -> Examined:
    """What makes two examinations the same one made again."""
    return examination.cause, examination.sensitivity, examination.false_alarm
