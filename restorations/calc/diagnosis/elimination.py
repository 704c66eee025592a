"""Bucket elimination over the axes, forward for the evidence and back for every cause's trajectories at once."""

from dataclasses import dataclass

import numpy as np

from restorations.calc.diagnosis.joins import Draw, Layout, MessageJoin, SmallJoin, WideJoin, union_tensor
from restorations.calc.diagnosis.model import Floats, Ints
from restorations.calc.diagnosis.network import Network, axes_of
from restorations.calc.diagnosis.plan import SMALL, Plan, PlannedBucket

Join = SmallJoin | WideJoin | MessageJoin


@dataclass(frozen=True, slots=True, eq=False)
class SmallCauses:
    """All causes on the same small number of axes.

    q : (causes, trajectories, sets) weight with which the trajectory explains each set.
    pairs : (causes, cases, sets, sets) filled by the way back.
    """

    causes: Ints
    q: Floats
    pairs: Floats

    def support(self) -> Floats:
        """Weight of every trajectory, (causes, cases, trajectories)."""
        n_causes, n_cases, n_sets, _ = self.pairs.shape
        each_set = self.pairs.reshape(n_causes, n_cases, -1) @ union_tensor(n_sets.bit_length() - 1).T
        return each_set @ self.q.transpose(0, 2, 1)


@dataclass(frozen=True, slots=True, eq=False)
class Bucket:
    """A bucket after the forward pass: its joins, its table (cases, cells) before closing, the closed table's join."""

    axis: int
    joins: tuple[Join, ...]
    table: Floats
    layout: Layout
    message: MessageJoin

    def split(self, table: Floats) -> Floats:
        """View a table of this bucket as (cases, slower cells, own axis, faster cells)."""
        return table.reshape(len(table), 1 << self.layout.index(self.axis), 2, -1)


@dataclass(frozen=True, slots=True, eq=False)
class Elimination:
    """Result of the forward pass.

    leak : (cases, axes) chance that leak, conditioned or folded causes explain the axis.
    log_cases : (cases,) natural log of evidence and weight of each case, without network.log_scale.
    """

    network: Network
    leak: Floats
    log_cases: Floats
    buckets: tuple[Bucket, ...]
    small: tuple[SmallCauses, ...]


def eliminate(plan: Plan) -> Elimination:
    """Forward pass: the evidence of every case."""
    network = plan.network
    leak = fold(network.base, *folded_fires(network))
    alone = np.ones(network.n_axes, dtype=bool)
    alone[[bucket.axis for bucket in plan.buckets]] = False
    small, joins = _cause_joins(network)
    with np.errstate(divide="ignore"):
        log_cases = network.log_case + np.log(leak[:, alone]).sum(axis=1)
        buckets = _forward(plan, leak, joins, log_cases)
    return Elimination(network, leak, log_cases, buckets, small)


def folded_fires(network: Network) -> tuple[Floats, Ints]:
    """Chance that each folded cause explains its axis, padded to (rows, axes), and the row of each folded cause."""
    axis = network.folded_axis
    chance = (network.weights[network.folded] * network.fire[network.folded, :, axis]).sum(axis=1)
    by_axis = np.argsort(axis, kind="stable")
    start = np.searchsorted(axis[by_axis], axis[by_axis])
    row = np.empty_like(axis)
    row[by_axis] = np.arange(len(axis)) - start
    fires = np.zeros((int(row.max(initial=-1)) + 1, network.n_axes))
    fires[row, axis] = chance
    return fires, row


def fold(base: Floats, fires: Floats, _row: Ints) -> Floats:
    """Chance that `base` or any of the folded causes explains the axis; a sum of non-negative terms."""
    leak = base
    for fire in fires:
        leak = leak + (1.0 - leak) * fire
    return leak


def _cause_joins(network: Network) -> tuple[tuple[SmallCauses, ...], list[Join]]:
    """A join for each eliminated cause; small ones are prepared all at once for each number of axes."""
    joins: list[Join | None] = [None] * len(network.masks)
    axes = [axes_of(mask) for mask in network.masks]
    small = []
    for n_axes in range(2, SMALL + 1):
        chosen = [number for number, own in enumerate(axes) if len(own) == n_axes]
        if chosen:
            group = _small_causes(network, chosen, [axes[number] for number in chosen])
            matrices = group.q.sum(axis=1) @ union_tensor(n_axes)
            for number, q, matrix, pairs in zip(chosen, group.q, matrices, group.pairs, strict=True):
                cause = int(network.eliminated[number])
                joins[number] = SmallJoin(cause, axes[number], q, matrix.reshape(pairs.shape[1:]), pairs)
            small.append(group)
    return tuple(small), [join or _wide_cause(network, number, axes[number]) for number, join in enumerate(joins)]


def _small_causes(network: Network, numbers: list[int], axes: list[Layout]) -> SmallCauses:
    causes, n_sets = network.eliminated[numbers], 1 << len(axes[0])
    fire = network.fire[causes[:, None], :, np.array(axes)]  # (causes, axes, trajectories)
    q = network.weights[causes][..., None]
    for bit in range(fire.shape[1]):
        chance = fire[:, bit, :, None]
        q = np.stack([q * (1.0 - chance), q * chance], axis=-1).reshape(*q.shape[:2], -1)
    place = {int(cause): number for number, cause in enumerate(causes)}
    for update in network.joint:
        if update.cause in place:
            number = place[update.cause]
            local = sum(1 << bit for bit, axis in enumerate(reversed(axes[number])) if update.axes >> axis & 1)
            before = q[number, update.trajectory].copy()
            q[number, update.trajectory] *= 1.0 - update.fire
            np.add.at(q[number, update.trajectory], np.arange(n_sets) | local, update.fire * before)
    return SmallCauses(causes, q, np.zeros((len(causes), len(network.cases), n_sets, n_sets)))


def _wide_cause(network: Network, number: int, axes: Layout) -> WideJoin:
    cause = int(network.eliminated[number])
    draws = [[Draw((axis,), float(fire[axis])) for axis in axes if fire[axis] > 0.0] for fire in network.fire[cause]]
    for update in network.joint:
        if update.cause == cause:
            draws[update.trajectory].append(Draw(axes_of(update.axes), update.fire))
    return WideJoin(cause, axes, network.weights[cause].tolist(), draws)


def _forward(plan: Plan, leak: Floats, joins: list[Join], log_cases: Floats) -> tuple[Bucket, ...]:
    """Fill and close every bucket in turn; adds to `log_cases` what the tables were divided by."""
    buckets: list[Bucket] = []
    for planned in plan.buckets:
        own = tuple(_joins_of(plan.network, planned, buckets, joins))
        table: Floats = np.ones((len(leak), 1))
        layout: Layout = ()
        for join in own:
            table, layout = join.forward(table, layout)
        view = table.reshape(len(table), 1 << layout.index(planned.axis), 2, -1)
        closed = view[:, :, 1] + leak[:, planned.axis, None, None] * view[:, :, 0]
        closed = closed.reshape(len(table), -1)
        greatest = closed.max(axis=1)
        log_cases += np.log(greatest)
        closed = closed / np.where(greatest > 0.0, greatest, 1.0)[:, None]
        rest = tuple(axis for axis in layout if axis != planned.axis)
        buckets.append(Bucket(planned.axis, own, table, layout, MessageJoin(rest, closed)))
    return tuple(buckets)


def _joins_of(network: Network, planned: PlannedBucket, buckets: list[Bucket], joins: list[Join]) -> list[Join]:
    fixed = [network.fixed[number] for number in planned.fixed]
    return [
        *(buckets[child].message for child in planned.children),
        *(joins[number] for number in planned.causes),
        *(WideJoin(-1, axes_of(u.axes), [1.0], [[Draw(axes_of(u.axes), u.fire)]]) for u in fixed),
    ]


@dataclass(frozen=True, slots=True, eq=False)
class Marginals:
    """Posterior of every cause's trajectories (causes, trajectories), rows summing to 1, and of the cases (cases,)."""

    trajectories: Floats
    cases: Floats
    log_evidence: float


def marginals(forward: Elimination) -> Marginals:
    """Backward pass: posterior probabilities of all trajectories of all causes. The evidence must be possible."""
    network = forward.network
    unexplained, explained = _backward(forward)
    greatest = forward.log_cases.max()
    cases = np.exp(forward.log_cases - greatest)
    total = cases.sum()
    cases /= total
    result = np.zeros_like(network.weights)
    result[network.free] = network.weights[network.free]
    for column, cause in enumerate(network.conditioned):
        result[cause] = np.bincount(network.cases[:, column], weights=cases, minlength=result.shape[1])
    result[network.folded] = _mix(_folded_support(network, unexplained, explained), cases)
    for group in forward.small:
        result[group.causes] = _mix(group.support(), cases)
    for bucket in forward.buckets:
        for join in bucket.joins:
            if isinstance(join, WideJoin) and join.cause >= 0:
                result[join.cause] = _mix(join.support[None], cases)[0]
    return Marginals(result, cases, network.log_scale + float(greatest + np.log(total)))


def _mix(support: Floats, cases: Floats) -> Floats:
    """Normalise (causes, cases, trajectories) within each case and average over the cases."""
    total = support.sum(axis=2, keepdims=True)
    mixed: Floats = np.einsum("ibt,b->it", support / np.where(total > 0.0, total, 1.0), cases)
    return mixed


def _backward(forward: Elimination) -> tuple[Floats, Floats]:
    """Weight of everything else when each axis is closed, (cases, axes): not yet explained, and already explained."""
    unexplained, explained = np.ones_like(forward.leak), np.zeros_like(forward.leak)
    for bucket in reversed(forward.buckets):
        table = bucket.split(bucket.table)
        if not bucket.message.axes:
            bucket.message.message_weight = np.ones((len(table), 1))
        closed = bucket.message.message_weight
        scale = closed.max(axis=1, keepdims=True)
        closed = (closed / np.where(scale > 0.0, scale, 1.0)).reshape(table[:, :, 0].shape)
        weight = np.empty_like(table)
        weight[:, :, 0] = closed * forward.leak[:, bucket.axis, None, None]
        weight[:, :, 1] = closed
        unexplained[:, bucket.axis] = (closed * table[:, :, 0]).sum(axis=(1, 2))
        explained[:, bucket.axis] = (closed * table[:, :, 1]).sum(axis=(1, 2))
        part = weight.reshape(bucket.table.shape)
        for join in reversed(bucket.joins):
            part = join.backward(part)
    return unexplained, explained


def _folded_support(network: Network, unexplained: Floats, explained: Floats) -> Floats:
    """Weight of every trajectory of the folded causes, (folded, cases, trajectories)."""
    fires, row = folded_fires(network)
    before, after = [network.base], [np.zeros_like(network.base)]
    for fire in fires[:-1]:
        before.append(before[-1] + (1.0 - before[-1]) * fire)
    for fire in fires[:0:-1]:
        after.append(after[-1] + (1.0 - after[-1]) * fire)
    others = np.stack(before) + (1.0 - np.stack(before)) * np.stack(after[::-1])  # (rows, cases, axes)
    causes, axis = network.folded, network.folded_axis
    other = others[row, :, axis][..., None]
    fire = network.fire[causes, :, axis][:, None, :]
    explains = other + (1.0 - other) * fire
    support = explained.T[axis][..., None] + unexplained.T[axis][..., None] * explains
    return network.weights[causes][:, None, :] * support
