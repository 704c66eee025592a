"""The worlds a belief starts from: every one of them for a small model, exact posterior samples for a large one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import product
from math import prod

import numpy as np

from restorations.calc.diagnosis.belief import Belief, Examined, Rows, Scene
from restorations.calc.diagnosis.draws import CompiledHistory, compile_history
from restorations.calc.diagnosis.history import Event, Inspected, Observed, Remedied
from restorations.calc.diagnosis.mechanisms import (
    Bools,
    Floats,
    Ints,
    Levels,
    Seen,
    ceilings,
    exactly,
    sample_contributions,
)
from restorations.calc.diagnosis.model import CausalModel
from restorations.calc.diagnosis.options import Options
from restorations.calc.diagnosis.posterior import Posterior, posterior

FEW_TRAJECTORIES = 4_096
FEW_WORLDS = 20_000


def believe(model: CausalModel, history: Sequence[Event], options: Options, samples: int, seed: int) -> Belief:
    """The belief after a history: all worlds when they are few, else this many exact samples.

    Parameters
    ----------
    model : CausalModel
    history : sequence of events, oldest first
    options : Options - checked against the model already
    samples : int - worlds to draw when they cannot all be listed, >= 1
    seed : int - of the draws

    Returns
    -------
    Belief - weights add up to 1

    Raises
    ------
    InvalidHistory, ImpossibleEvidence, TooEntangled - as `posterior`
    """
    scene = _scene(model, options)
    listed = _listed(compile_history(model, history), scene, options)
    return _sample_worlds(posterior(model, history), scene, samples, seed) if listed is None else listed


def believe_from(known: Posterior, options: Options, samples: int, seed: int) -> Belief:
    """The same from a posterior that is there already."""
    scene = _scene(known.compiled.model, options)
    listed = _listed(known.compiled, scene, options)
    return _sample_worlds(known, scene, samples, seed) if listed is None else listed


def _listed(compiled: CompiledHistory, scene: Scene, options: Options) -> Belief | None:
    """All worlds, None when they are too many or, by impossible evidence, none."""
    every = _every_trajectory(compiled, _causes_in_play(compiled, scene, options))
    return None if every is None else _list_worlds(compiled, scene, every)


def _scene(model: CausalModel, options: Options) -> Scene:
    findings = {*options.complaint, *(look.finding for look in options.looks)}
    return Scene(
        causes=model.causes,
        rows={finding: _rows(model, finding) for finding in sorted(findings)},
        complaint=tuple(sorted(set(options.complaint))),
        test_inactive=options.test_inactive,
    )


def _rows(model: CausalModel, finding: str) -> Rows:
    number = model.finding_index[finding]
    parents = np.asarray(model.parents[number], dtype=np.intp)
    return Rows(
        names=tuple(model.causes[parent] for parent in parents),
        columns=parents,
        strengths=np.vstack([model.strengths[number], model.leaks[number]]),
    )


def _causes_in_play(compiled: CompiledHistory, scene: Scene, options: Options) -> list[int]:
    """Causes that anything seen, done, or still possible has to do with; the rest are as before and do not matter."""
    names: set[str] = set()
    for rows in scene.rows.values():
        names.update(rows.names)
    for event in compiled.events:
        names.update(_rows(compiled.model, event.finding).names if isinstance(event, Observed) else [event.cause])
    names.update(examination.cause for examination in options.examinations)
    names.update(cause for remedy in options.remedies for cause in remedy.causes)
    return sorted(compiled.model.cause_index[name] for name in names)


def _every_trajectory(compiled: CompiledHistory, causes: Sequence[int]) -> Ints | None:
    """All trajectories of these causes, the others absent; (n, all causes), or None when there are too many."""
    counts = [int(compiled.still_there[cause]) + 1 for cause in causes]
    if prod(counts) > FEW_TRAJECTORIES:
        return None
    every = np.zeros((prod(counts), len(compiled.model.causes)), dtype=np.intp)
    every[:, causes] = np.array(list(product(*map(range, counts))), dtype=np.intp)
    return every


def _list_worlds(compiled: CompiledHistory, scene: Scene, every: Ints) -> Belief | None:
    """Every trajectory times every way its causes and the leaks may act in the complaint; None when too many."""
    weights = np.prod(compiled.weights[np.arange(every.shape[1]), every], axis=1)
    spelt_out = [compiled.open_group(finding) for finding in scene.complaint]
    for group in compiled.groups:
        if not any(group is other for other in spelt_out):
            weights *= group.likelihood(every)
    worlds = _Worlds(np.flatnonzero(weights > 0.0), weights[weights > 0.0], {})
    past = _Past(compiled, every)
    for finding in scene.complaint:
        draw = _draw(past, scene.rows[finding], finding)
        spelt = _spell_out(worlds, finding, scene.rows[finding].strengths, draw)
        if spelt is None:
            return None
        worlds = spelt
    total = worlds.weights.sum()
    if not total > 0.0:
        return None  # impossible evidence: the posterior, asked for samples, says which events contradict each other
    past = _Past(compiled, every[worlds.trajectory])
    return _belief(past, scene, worlds.weights / total, worlds.contributions)


@dataclass(frozen=True, slots=True)
class _Worlds:
    """Worlds being listed: the trajectory each has (n,), its weight (n,), contributions spelt out so far (n, rows)."""

    trajectory: Ints
    weights: Floats
    contributions: dict[str, Levels]


@dataclass(frozen=True, slots=True)
class _Draw:
    """The draw of a finding that its next look shares: looks so far, and which rows have a part in it (n, rows)."""

    looks: tuple[Seen, ...]
    there: Bools


@dataclass(frozen=True, slots=True)
class _Past:
    """Which causes were there when, in n worlds with these `trajectories` (n, all causes)."""

    compiled: CompiledHistory
    trajectories: Ints
    _there: dict[int, Bools] = field(default_factory=dict)

    def there(self, time: int) -> Bools:
        """Present and not yet cured at the time of an event, (n, all causes)."""
        epoch = sum(isinstance(event, Remedied) for event in self.compiled.events[:time])
        if epoch not in self._there:
            self._there[epoch] = self.compiled.present_at(self.trajectories, time)
        return self._there[epoch]

    def at_last(self) -> Bools:
        """Present now, (n, all causes)."""
        return self.there(len(self.compiled.events))

    def looks(self, rows: Rows, finding: str) -> tuple[Seen, ...]:
        """The looks the next one shares its draw with, each with the rows active in it."""
        group = self.compiled.open_group(finding)
        return (
            ()
            if group is None
            else tuple(Seen(look.level, rows.active(self.there(look.time), look.inactive)) for look in group.looks)
        )


def _draw(past: _Past, rows: Rows, finding: str) -> _Draw:
    looks = past.looks(rows, finding)
    there = rows.active(past.at_last(), frozenset())
    for seen in looks:
        there = there | seen.active
    return _Draw(looks, there)


def _spell_out(worlds: _Worlds, finding: str, strengths: Floats, draw: _Draw) -> _Worlds | None:
    """Split every world by what each row contributes to the finding, keeping what the looks allow; None: too many."""
    levels = np.arange(strengths.shape[1] + 1)
    ceiling = ceilings(strengths, draw.looks, draw.there)
    at, weights = np.arange(len(worlds.weights)), worlds.weights
    drawn = np.zeros((len(at), len(strengths)), dtype=np.int8)
    for row, chances in enumerate(exactly(strengths)):
        trajectory = worlds.trajectory[at]
        allowed = np.where(levels <= ceiling[trajectory, row, None], chances, 0.0)
        each = np.where(draw.there[trajectory, row, None], allowed, levels == 0)
        who, level = np.nonzero(each)
        at, weights, drawn = at[who], weights[who] * each[who, level], drawn[who]
        drawn[:, row] = level
        if len(at) > FEW_WORLDS:
            return None
    kept = _as_seen(draw, worlds.trajectory[at], drawn)
    before = {name: other[at][kept] for name, other in worlds.contributions.items()}
    return _Worlds(worlds.trajectory[at][kept], weights[kept], {**before, finding: drawn[kept]})


def _as_seen(draw: _Draw, trajectory: Ints, drawn: Levels) -> Bools:
    """Which of these worlds show every look at the level it was seen."""
    right = np.ones(len(drawn), dtype=bool)
    for seen in draw.looks:
        right &= np.where(seen.active[trajectory], drawn, 0).max(axis=1) == seen.level
    return right


def _sample_worlds(known: Posterior, scene: Scene, samples: int, seed: int) -> Belief:
    """Exact posterior samples, each of the same weight."""
    past = _Past(known.compiled, known.trajectories(samples, seed).astype(np.intp))
    generator = np.random.default_rng([seed, samples])
    contributions = {}
    for finding in scene.complaint:
        draw = _draw(past, scene.rows[finding], finding)
        strengths = scene.rows[finding].strengths
        contributions[finding] = sample_contributions(strengths, draw.looks, draw.there, generator)
    return _belief(past, scene, np.full(samples, 1.0 / samples), contributions)


def _belief(past: _Past, scene: Scene, weights: Floats, contributions: dict[str, Levels]) -> Belief:
    return Belief(
        scene=scene,
        weights=weights,
        present=past.at_last(),
        contributions=contributions,
        seen={
            finding: looks
            for finding, rows in scene.rows.items()
            if finding not in contributions and (looks := past.looks(rows, finding))
        },
        examined=_examined(past.compiled.events),
    )


def _examined(events: Sequence[Event]) -> frozenset[Examined]:
    """The examinations made since their cause was last remedied."""
    made: set[Examined] = set()
    for event in events:
        if isinstance(event, Inspected):
            made.add((event.cause, event.sensitivity, event.false_alarm))
        elif isinstance(event, Remedied):
            made = {other for other in made if other[0] != event.cause}
    return frozenset(made)
