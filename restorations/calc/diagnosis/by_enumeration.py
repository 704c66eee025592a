"""The same posterior straight from the definition: slow, and a check on the fast way.

Nothing is shared with it but the model and the events. Every combination of trajectories is listed; for each draw of a
finding every way in which the contributions can come out is followed by the greatest contribution each look has met.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np

from restorations.calc.diagnosis.errors import ImpossibleEvidence, TooEntangled
from restorations.calc.diagnosis.history import Event, Inspected, Observed, Remedied, check_history
from restorations.calc.diagnosis.model import CausalModel, Floats

MOST_CAUSES = 16
MOST_COMBINATIONS = 1 << 20
SECONDS_PER_COMBINATION = 1e-4
NEVER, ALWAYS = -1, 1 << 62  # when a trajectory's cause stops acting


@dataclass(frozen=True, slots=True)
class EnumeratedPosterior:
    """Result of `posterior_by_enumeration`.

    Attributes
    ----------
    now, at_start : mapping of str to float - P(present now), P(present at the start) of each cause, 0..1.
    log_evidence : float - natural log of the probability of everything seen.
    notes : tuple of str - looks taken as fresh because no draw could reconcile them with the earlier ones.
    combinations : mapping of frozenset of str to float - P(exactly these causes are present now), 0..1.
    """

    now: Mapping[str, float]
    at_start: Mapping[str, float]
    log_evidence: float
    notes: tuple[str, ...]
    combinations: Mapping[frozenset[str], float]

    def most_probable(self, n: int) -> list[tuple[frozenset[str], float]]:
        """Return the n most probable combinations of all causes present now, most probable first."""
        return sorted(self.combinations.items(), key=lambda item: (-item[1], sorted(item[0])))[:n]


@dataclass(frozen=True, slots=True)
class _Trajectory:
    """One thing that can have become of a cause: its chance, and the event at which it stopped acting."""

    chance: float
    until: int


def posterior_by_enumeration(model: CausalModel, history: Sequence[Event]) -> EnumeratedPosterior:
    """Work out the posterior from the definition, by listing every combination of causes and cures.

    Parameters
    ----------
    model : CausalModel - 16 causes at most.
    history : sequence of Observed, Inspected, Remedied - in the order in which they happened.

    Returns
    -------
    EnumeratedPosterior

    Raises
    ------
    InvalidHistory
        An event does not fit the model.
    ImpossibleEvidence
        No combination of causes can have given these events.
    TooEntangled
        More than 16 causes, or so many remedies that more than about a million combinations would have to be listed.
    """
    events = check_history(model, history)
    trajectories = [_trajectories(model, events, c) for c in model.causes]
    count = float(np.prod([float(len(each)) for each in trajectories]))
    if len(model.causes) > MOST_CAUSES or count > MOST_COMBINATIONS:
        raise TooEntangled(count * SECONDS_PER_COMBINATION, MOST_COMBINATIONS * SECONDS_PER_COMBINATION)
    prior = _joint([[t.chance for t in each] for each in trajectories])
    joint = prior * _joint([_inspected(events, c, each) for c, each in zip(model.causes, trajectories, strict=True)])
    notes = []
    for finding in model.findings:
        for draw, reconciled in _draws(model, events, finding, trajectories, prior):
            joint = joint * _draw_chance(model, finding, draw, trajectories)
            notes += [] if reconciled else [draw[0]]
    evidence = float(joint.sum())
    if evidence <= 0.0:
        raise ImpossibleEvidence([event for event in events if not isinstance(event, Remedied)])
    return _summarise(model, trajectories, joint / evidence, float(np.log(evidence)), _notes(events, notes))


Look = tuple[int, Observed]  # number of the event, and the look


def _trajectories(model: CausalModel, events: Sequence[Event], cause: str) -> list[_Trajectory]:
    prior = float(model.prior[model.cause_index[cause]])
    found, left = [_Trajectory(1.0 - prior, NEVER)], prior
    for time, event in enumerate(events):
        if isinstance(event, Remedied) and event.cause == cause:
            found.append(_Trajectory(left * event.success, time))
            left *= 1.0 - event.success
    return [*found, _Trajectory(left, ALWAYS)]


def _inspected(events: Sequence[Event], cause: str, trajectories: Sequence[_Trajectory]) -> list[float]:
    """P(what the inspections of this cause showed | trajectory)."""
    chances = [1.0] * len(trajectories)
    for time, event in enumerate(events):
        if isinstance(event, Inspected) and event.cause == cause:
            for number, trajectory in enumerate(trajectories):
                shows = event.sensitivity if trajectory.until > time else event.false_alarm
                chances[number] *= shows if event.present else 1.0 - shows
    return chances


def _joint(columns: Sequence[Sequence[float]]) -> Floats:
    """Product over causes, one dimension for each cause."""
    joint = np.ones((1,) * len(columns))
    for dimension, column in enumerate(columns):
        joint = joint * _along(column, dimension, len(columns))
    return joint


def _along(column: Sequence[float] | Floats, dimension: int, dimensions: int) -> Floats:
    shape = [1] * dimensions
    shape[dimension] = len(column)
    return np.reshape(np.asarray(column, dtype=np.float64), shape)


def _draws(
    model: CausalModel,
    events: Sequence[Event],
    finding: str,
    trajectories: Sequence[Sequence[_Trajectory]],
    prior: Floats,
) -> list[tuple[list[Look], bool]]:
    """The looks that share each draw of a finding, and whether the draw was opened by asking (or by the first look)."""
    draws: list[tuple[list[Look], bool]] = []
    for time, event in enumerate(events):
        if not isinstance(event, Observed) or event.finding != finding:
            continue
        if not draws or event.fresh:
            draws.append(([(time, event)], True))
            continue
        together = [*draws[-1][0], (time, event)]
        if float((prior * _draw_chance(model, finding, together, trajectories)).sum()) > 0.0:
            draws[-1] = (together, draws[-1][1])
        else:
            draws.append(([(time, event)], False))
    return draws


def _draw_chance(
    model: CausalModel, finding: str, looks: Sequence[Look], trajectories: Sequence[Sequence[_Trajectory]]
) -> Floats:
    """P(all these looks of one draw | trajectories), one dimension for each cause."""
    number = model.finding_index[finding]
    seen = tuple(look.level for _, look in looks)
    met: dict[tuple[int, ...], Floats] = {(0,) * len(looks): np.ones((1,) * len(trajectories))}
    met = _contribute(met, _exactly(model.leaks[number]), np.ones((1, len(looks)), dtype=bool), seen, 0)
    for cause, strength in zip(model.parents[number].tolist(), model.strengths[number], strict=True):
        name = model.causes[cause]
        acts = np.array(
            [[t.until > time and name not in look.inactive for time, look in looks] for t in trajectories[cause]]
        )
        met = _contribute(met, _exactly(strength), acts, seen, cause)
    return met.get(seen, np.zeros((1,) * len(trajectories)))


def _exactly(exceed: Floats) -> list[float]:
    """P(contribution = k) from P(contribution > k)."""
    edges = [1.0, *exceed.tolist(), 0.0]
    return [above - beyond for above, beyond in pairwise(edges)]


def _contribute(
    met: dict[tuple[int, ...], Floats], chances: Sequence[float], acts: Floats, seen: tuple[int, ...], cause: int
) -> dict[tuple[int, ...], Floats]:
    """Let one row contribute: `acts` (trajectories, looks) says in which looks it counts."""
    after: dict[tuple[int, ...], Floats] = {}
    for so_far, weight in met.items():
        for (number, looks), (level, chance) in product(enumerate(acts), enumerate(chances)):
            now = tuple(max(k, level) if counts else k for k, counts in zip(so_far, looks, strict=True))
            if chance > 0.0 and all(k <= shown for k, shown in zip(now, seen, strict=True)):
                only = np.zeros(len(acts))
                only[number] = chance
                part = weight * _along(only, cause, weight.ndim)
                after[now] = after[now] + part if now in after else part
    return after


def _notes(events: Sequence[Event], opened: Sequence[Look]) -> tuple[str, ...]:
    return tuple(
        f"{event}: taken as a fresh look, because it cannot be so together with the earlier ones."
        for time, event in enumerate(events)
        if any(time == number for number, _ in opened)
    )


def _summarise(
    model: CausalModel,
    trajectories: Sequence[Sequence[_Trajectory]],
    joint: Floats,
    log_evidence: float,
    notes: tuple[str, ...],
) -> EnumeratedPosterior:
    now, at_start = {}, {}
    for number, cause in enumerate(model.causes):
        others = tuple(d for d in range(joint.ndim) if d != number)
        each = joint.sum(axis=others)
        now[cause], at_start[cause] = float(each[-1]), float(each[1:].sum())
        kept = [joint.take(range(len(each) - 1), axis=number).sum(axis=number), joint.take(-1, axis=number)]
        joint = np.stack(kept, axis=number)
    combinations = {
        frozenset(c for c, there in zip(model.causes, index, strict=True) if there): float(p)
        for index, p in np.ndenumerate(joint)
        if p > 0.0
    }
    return EnumeratedPosterior(now, at_start, log_evidence, notes, combinations)
