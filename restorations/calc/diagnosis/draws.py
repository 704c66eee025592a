"""From a history to draw groups: which looks share one draw, and what each row contributes to them.

A *row* is one possible contribution to a finding: a linked cause, or the leak (row 0). In one draw group each row has a
single contribution X, shared by all looks of the group in which the row is active; a look shows the greatest active X.
For a row on a given trajectory, with u = the least level among the looks it is active in:

    silent = P(X <= u)               or the row would have shown more than was seen
    fire   = P(X = u) / P(X <= u)    one draw that explains every look of level u > 0 at once: the set `explains`
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from restorations.calc.diagnosis.errors import InvalidHistory
from restorations.calc.diagnosis.history import Event, Inspected, Observed, Remedied, check_history
from restorations.calc.diagnosis.model import Bools, CausalModel, Floats, Ints

FOREVER = np.iinfo(np.int64).max // 2
NEVER = -1
MOST_LOOKS = 60  # different looks of one draw group; they are bits of a 64-bit number


@dataclass(frozen=True, slots=True)
class TimedLook:
    """A look at a finding and its place in the history."""

    time: int
    level: int
    inactive: frozenset[str]


@dataclass(frozen=True, slots=True, eq=False)
class DrawTable:
    """Contributions of every row to every draw group; `explains` has one bit for each look that needs explaining.

    finding, width : (groups,) finding number, number of looks that need explaining.
    causes : (groups, rows) cause number; the leak and padding carry the number of causes.
    silent, fire, explains : (groups, rows, trajectories)
    """

    finding: Ints
    width: Ints
    causes: Ints
    silent: Floats
    fire: Floats
    explains: Ints


@dataclass(frozen=True, slots=True, eq=False)
class DrawGroup:
    """One draw of one finding: the looks that share it, and the contribution of each row."""

    finding: str
    looks: tuple[TimedLook, ...]
    table: DrawTable  # of this group alone

    def likelihood(self, trajectories: Ints) -> Floats:
        """P(every look of the group | trajectories), for each of n assignments.

        Parameters
        ----------
        trajectories : ndarray of int, shape (n, causes) - trajectory number of every cause.

        Returns
        -------
        ndarray of shape (n,) - probability, 0..1.
        """
        rows, state = self._rows(trajectories)
        silent: Floats = self.table.silent[0, 0, 0] * np.prod(self.table.silent[0, rows, state], axis=1)
        return silent * self.explained(trajectories) if self.table.width[0] else silent

    def explained(self, trajectories: Ints) -> Floats:
        """P(every look of the group is explained | no row shows more than was seen, trajectories), shape (n,)."""
        table, width = self.table, int(self.table.width[0])
        rows, state = self._rows(trajectories)
        so_far = np.zeros((1 << width, len(state)))  # chance that exactly this set of looks is explained
        so_far[0] = 1.0
        for row, taken in [(0, np.zeros(len(state), dtype=np.int64)), *zip(rows, state.T, strict=True)]:
            for explains in set(table.explains[0, row].tolist()) - {0}:
                fire = np.where(table.explains[0, row] == explains, table.fire[0, row], 0.0)[taken]
                if not fire.any():
                    continue
                fired = fire * so_far
                so_far *= 1.0 - fire
                for subset in range(1 << width):
                    so_far[subset | explains] += fired[subset]
        every: Floats = so_far[-1]
        return every

    def _rows(self, trajectories: Ints) -> tuple[Ints, Ints]:
        """Numbers of the rows of causes, and the trajectory of each, (n, rows)."""
        causes = self.table.causes[0]
        rows = np.flatnonzero(causes < trajectories.shape[1])
        return rows, trajectories[:, causes[rows]]


@dataclass(frozen=True, eq=False)
class CompiledHistory:
    """A history checked against its model, with trajectories and draw groups.

    Trajectory of a cause: 0 absent from the start; j cured by its j-th remedy; m + 1 (after m remedies) still there.

    Attributes
    ----------
    still_there : ndarray of int, shape (causes,) - trajectory number that means present now.
    cured_at : ndarray of int, shape (causes + 1, trajectories) - until which event it acts; last row the leak.
    weights : ndarray of shape (causes, trajectories) - prior x remedies x inspections, looks left out.
    looks : for each draw group its finding's number and its looks.
    table : DrawTable of all groups.
    notes : tuple of str - looks that opened a new draw because no draw could reconcile them with the earlier ones.
    """

    model: CausalModel
    events: tuple[Event, ...]
    still_there: Ints
    cured_at: Ints
    weights: Floats
    looks: tuple[tuple[int, tuple[TimedLook, ...]], ...]
    table: DrawTable = field(repr=False)
    notes: tuple[str, ...]

    @cached_property
    def _open_groups(self) -> dict[str, DrawGroup]:
        return {group.finding: group for group in self.groups}

    @cached_property
    def groups(self) -> tuple[DrawGroup, ...]:
        """All draw groups, in the order in which they were opened."""
        return tuple(
            DrawGroup(self.model.findings[finding], looks, _only(self.table, number))
            for number, (finding, looks) in enumerate(self.looks)
        )

    def open_group(self, finding: str) -> DrawGroup | None:
        """Return the draw group that the next look at this finding joins, None if it was never looked at."""
        return self._open_groups.get(finding)

    def with_look(
        self, finding: str, level: int, inactive: frozenset[str] = frozenset(), fresh: bool = False
    ) -> DrawGroup:
        """Return the open group of this finding (or a new one) with one more look, made now."""
        group = None if fresh else self.open_group(finding)
        looks = (*(group.looks if group else ()), TimedLook(len(self.events), level, inactive))
        return DrawGroup(
            finding, looks, _draw_table(self.model, self.cured_at, [(self.model.finding_index[finding], looks)])
        )

    def outcome_probabilities(self, finding: str, inactive: frozenset[str], trajectories: Ints) -> Floats:
        """P(level of a look made now | trajectories, earlier looks of its draw), shape (n, levels)."""
        group, levels = self.open_group(finding), range(self.model.levels(finding))
        if group is None:
            return self._first_look(self.model.finding_index[finding], inactive, trajectories)
        joint = np.stack([self.with_look(finding, k, inactive).likelihood(trajectories) for k in levels], axis=1)
        total = group.likelihood(trajectories)[:, None]
        return np.divide(joint, total, out=np.zeros_like(joint), where=total > 0.0)

    def _first_look(self, finding: int, inactive: frozenset[str], trajectories: Ints) -> Floats:
        parents = self.model.parents[finding]
        able = np.array([self.model.causes[c] not in inactive for c in parents], dtype=bool)
        acting = (trajectories[:, parents] == self.still_there[parents]) & able
        exceed = self.model.strengths[finding]
        below = (1.0 - self.model.leaks[finding]) * np.prod(np.where(acting[..., None], 1.0 - exceed, 1.0), axis=1)
        edges = np.concatenate([np.zeros((len(below), 1)), below, np.ones((len(below), 1))], axis=1)
        return np.diff(edges, axis=1)

    def present_at(self, trajectories: Ints, time: int) -> Bools:
        """Return which causes were present at the event of this number, shape (n, causes)."""
        present = self.present_now(trajectories)
        for cause in np.flatnonzero(self.still_there > 1):  # only what was remedied was ever otherwise
            present[:, cause] = self.cured_at[cause, trajectories[:, cause]] > time
        return present

    def present_now(self, trajectories: Ints) -> Bools:
        """Return which causes are present now, shape (n, causes)."""
        present: Bools = trajectories == self.still_there
        return present


def compile_history(model: CausalModel, history: Sequence[Event]) -> CompiledHistory:
    """Check a history and group its looks into draws.

    Raises
    ------
    InvalidHistory
        Names the first event that does not fit the model.
    """
    events = check_history(model, history)
    still_there, cured_at, chances = _trajectories(model, events)
    looks, notes = _group_looks(model, events, cured_at, chances)
    return CompiledHistory(
        model=model,
        events=events,
        still_there=still_there,
        cured_at=cured_at,
        weights=_inspect(model, events, cured_at, chances),
        looks=looks,
        table=_draw_table(model, cured_at, looks),
        notes=notes,
    )


def _trajectories(model: CausalModel, events: Sequence[Event]) -> tuple[Ints, Ints, Floats]:
    """Still-there numbers, end of action and prior weight of every trajectory."""
    remedies = [(t, model.cause_index[e.cause], e.success) for t, e in enumerate(events) if isinstance(e, Remedied)]
    counts = np.bincount([c for _, c, _ in remedies], minlength=len(model.causes)).astype(np.int64)
    still_there = np.ones(len(model.causes), dtype=np.int64)
    size = 2 + int(counts.max(initial=0))
    cured_at = np.full((len(model.causes) + 1, size), NEVER, dtype=np.int64)
    cured_at[:-1, 1] = FOREVER
    cured_at[-1] = FOREVER
    chances = np.zeros((len(model.causes), size))
    chances[:, 0], chances[:, 1] = 1.0 - model.prior, model.prior
    for time, cause, success in remedies:
        last = still_there[cause]
        chances[cause, last + 1] = chances[cause, last] * (1.0 - success)
        chances[cause, last] *= success
        cured_at[cause, last], cured_at[cause, last + 1] = time, FOREVER
        still_there[cause] = last + 1
    return still_there, cured_at, chances


def _inspect(model: CausalModel, events: Sequence[Event], cured_at: Ints, chances: Floats) -> Floats:
    weights = chances.copy()
    for time, event in enumerate(events):
        if isinstance(event, Inspected):
            if_there, if_not = event.sensitivity, event.false_alarm
            if not event.present:
                if_there, if_not = 1.0 - if_there, 1.0 - if_not
            cause = model.cause_index[event.cause]
            weights[cause] *= np.where(cured_at[cause] > time, if_there, if_not)
    return weights


Looks = tuple[tuple[int, tuple[TimedLook, ...]], ...]


def _group_looks(
    model: CausalModel, events: Sequence[Event], cured_at: Ints, chances: Floats
) -> tuple[Looks, tuple[str, ...]]:
    """Assign every look to a draw group, using earlier looks only, so that prefixes of a history group alike.

    A look that repeats one of its group with nothing done in between says nothing and is left out.
    """
    groups: list[tuple[int, tuple[TimedLook, ...]]] = []
    last_group: dict[int, int] = {}
    notes = []
    for time, event in enumerate(events):
        if not isinstance(event, Observed):
            continue
        look = TimedLook(time, int(event.level), frozenset(event.inactive))
        finding = model.finding_index[event.finding]
        number = last_group.get(finding)
        if number is not None and not event.fresh:
            earlier = groups[number][1]
            if _is_repeated(look, earlier, events):
                continue
            if _reconcilable(model, cured_at, chances, finding, (*earlier, look)):
                groups[number] = (finding, (*earlier, look))
                continue
            notes.append(f"{event}: taken as a fresh look, because it cannot be so together with the earlier ones.")
        last_group[finding] = len(groups)
        groups.append((finding, (look,)))
    return tuple(groups), tuple(notes)


def _is_repeated(look: TimedLook, earlier: Sequence[TimedLook], events: Sequence[Event]) -> bool:
    same = [other.time for other in earlier if (other.level, other.inactive) == (look.level, look.inactive)]
    return bool(same) and not any(isinstance(event, Remedied) for event in events[same[-1] : look.time])


def _reconcilable(
    model: CausalModel, cured_at: Ints, chances: Floats, finding: int, looks: tuple[TimedLook, ...]
) -> bool:
    """Whether one draw can have given all these looks: closure of the unions of `explains` that rows can reach."""
    table = _draw_table(model, cured_at, [(finding, looks)])
    possible = np.concatenate([chances, np.ones((1, chances.shape[1]))])[table.causes[0]] > 0.0
    possible &= table.silent[0] > 0.0
    reached = {0}
    for row in range(table.causes.shape[1]):
        choices = set()
        for fire, explains, able in zip(table.fire[0, row], table.explains[0, row], possible[row], strict=True):
            if able and explains:
                choices.add(int(explains))
            if able and fire < 1.0:
                choices.add(0)
        reached = {before | more for before in reached for more in choices}
    return (1 << int(table.width[0])) - 1 in reached


def _draw_table(model: CausalModel, cured_at: Ints, groups: Sequence[tuple[int, tuple[TimedLook, ...]]]) -> DrawTable:
    """Contributions of every row to each group, from the rule in this module's heading."""
    n_looks = max((len(looks) for _, looks in groups), default=1)
    finding = np.array([f for f, _ in groups], dtype=np.int64)
    times = np.full((len(groups), n_looks), FOREVER)
    levels = np.zeros((len(groups), n_looks), dtype=np.int64)
    for g, (_, looks) in enumerate(groups):
        for m, look in enumerate(looks):
            times[g, m], levels[g, m] = look.time, look.level
    causes = model.rows.causes[finding]
    active = cured_at[causes][..., None] > times[:, None, None, :]
    for g, (f, looks) in enumerate(groups):
        for m, look in enumerate(looks):
            if look.inactive:
                silenced = [model.causes[c] in look.inactive for c in model.parents[f]]
                active[g, 1 : 1 + len(silenced), :, m] &= ~np.array(silenced, dtype=bool)[:, None]
    heard = np.where(active, levels[:, None, None, :], model.rows.top)
    least = heard.min(axis=-1)
    at = (finding[:, None, None], np.arange(causes.shape[1])[:, None], least)
    fire = np.where(least > 0, model.rows.fire[at], 0.0)
    explains = active & (heard == least[..., None]) & (fire > 0.0)[..., None]
    bits, width = _explaining_bits(explains, levels)
    mask = np.where(explains, bits[:, None, None, :], 0).sum(axis=-1)
    return DrawTable(finding, width, causes, model.rows.below[at], np.where(mask > 0, fire, 0.0), mask)


def _explaining_bits(explains: Bools, levels: Ints) -> tuple[Ints, Ints]:
    """One bit for each look that needs explaining and is not explained whenever another one is."""
    kept = levels > 0
    for g in np.flatnonzero(kept.sum(axis=1) > 1):
        kept[g] = _not_redundant(explains[g].reshape(-1, levels.shape[1]), kept[g])
    width = kept.sum(axis=1)
    if width.max(initial=0) > MOST_LOOKS:
        raise InvalidHistory(f"One finding was looked at in more than {MOST_LOOKS} ways without a fresh look.")
    bits = np.left_shift(1, np.cumsum(kept, axis=1) - 1, where=kept, out=np.zeros_like(levels))
    return bits, width


def _not_redundant(explains: Bools, kept: Bools) -> Bools:
    """Drop look j if every row that explains some kept look i explains j too; of equals the first stays."""
    kept = kept.copy()
    for j in np.flatnonzero(kept)[::-1]:
        others = np.flatnonzero(kept & (np.arange(len(kept)) != j))
        if any(not np.any(explains[:, i] & ~explains[:, j]) for i in others):
            kept[j] = False
    return kept


def _only(table: DrawTable, number: int) -> DrawTable:
    one = slice(number, number + 1)
    return DrawTable(
        table.finding[one], table.width[one], table.causes[one], table.silent[one], table.fire[one], table.explains[one]
    )
