"""Exact joint samples of the trajectories: the forward pass is walked back, drawing at every join what led there.

Along the way each sample has one cell of the current table, its flat index in the table's layout.
"""

from functools import singledispatch

import numpy as np

from restorations.calc.diagnosis.elimination import Bucket, Elimination, Join, folded_fires
from restorations.calc.diagnosis.joins import Draw, Layout, MessageJoin, SmallJoin, WideJoin, rearrange, union_tensor
from restorations.calc.diagnosis.model import Bools, Floats, Ints


class Walk:
    """Samples on their way back through the tables.

    case : (n,) case of each sample.  trajectories : (n, causes), filled on the way.
    unexplained : (n, axes) whether explaining the axis is left to leak, conditioned and folded causes.
    cells : cell of each sample in the closed tables still to be opened.
    """

    def __init__(self, forward: Elimination, n: int, rng: np.random.Generator) -> None:
        network = forward.network
        chance = np.exp(forward.log_cases - forward.log_cases.max())
        self.rng = rng
        self.case = rng.choice(len(chance), size=n, p=chance / chance.sum())
        self.trajectories: Ints = np.zeros((n, len(network.weights)), dtype=np.int8)
        self.trajectories[:, network.conditioned] = network.cases[self.case]
        self.unexplained = np.ones((n, network.n_axes), dtype=bool)
        self.cells: dict[MessageJoin, Ints] = {}


def sample_trajectories(forward: Elimination, n: int, seed: int) -> Ints:
    """Draw n joint samples of all causes' trajectories, (n, causes). The evidence must be possible."""
    network, walk = forward.network, Walk(forward, n, np.random.default_rng(seed))
    for bucket in reversed(forward.buckets):
        cell = _open(bucket, forward.leak, walk)
        for join in reversed(bucket.joins):
            cell = draw_join(join, walk, cell)
    loose = np.concatenate([network.free, network.folded])
    walk.trajectories[:, loose] = _choose_alike(network.weights[loose], n, walk.rng)
    _draw_folded(forward, walk)
    return walk.trajectories


def _choose(weights: Floats, rng: np.random.Generator) -> Ints:
    """Draw a column for each row of weights (n, columns), in proportion to them; never one of weight 0."""
    running = np.cumsum(np.ascontiguousarray(weights.T), axis=0)
    mark = rng.random(len(weights)) * running[-1]
    return np.asarray(((running <= mark) & (running < running[-1])).sum(axis=0))


def _choose_alike(weights: Floats, n: int, rng: np.random.Generator) -> Ints:
    """Draw n columns for each row of weights (rows, columns) that sum to 1; shape (n, rows)."""
    running = np.cumsum(weights, axis=1)
    running[running >= running[:, -1:]] = np.inf  # no column of weight 0 beyond the last that has any
    mark = rng.random((n, len(weights)))
    chosen: Ints = np.zeros(mark.shape, dtype=np.int8)
    for limit in running.T[:-1]:
        chosen += mark >= limit
    return chosen


def _open(bucket: Bucket, leak: Floats, walk: Walk) -> Ints:
    """From the cell of the closed table to the cell before closing: had the eliminated causes explained the axis?"""
    view = bucket.split(bucket.table)
    closed = walk.cells.pop(bucket.message, np.zeros(len(walk.case), dtype=np.int64))
    slow, fast = np.divmod(closed, view.shape[3])
    explained = view[walk.case, slow, 1, fast]
    left = leak[walk.case, bucket.axis] * view[walk.case, slow, 0, fast]
    bit: Bools = walk.rng.random(len(closed)) * (explained + left) >= left
    walk.unexplained[:, bucket.axis] = ~bit
    before: Ints = (slow * 2 + bit) * view.shape[3] + fast
    return before


def _in_layout(cell: Ints, layout: Layout, wanted: Layout) -> Ints:
    """Translate cells of one layout to cells of another layout of the same axes."""
    if layout == wanted:
        return cell
    number: Ints = np.arange(1 << len(layout))[None]
    translated: Ints = rearrange(number, wanted, layout)[0, cell]
    return translated


@singledispatch
def draw_join(join: Join, walk: Walk, cell: Ints) -> Ints:
    """Draw what a join did for each sample that is in `cell` after it; return the cell before it."""
    raise TypeError(type(join))


@draw_join.register
def _(join: SmallJoin, walk: Walk, cell: Ints) -> Ints:
    n_sets, n_before, n_rest = len(join.matrix), *join.before.shape[1:]
    own, rest = np.divmod(cell, n_rest)
    columns = np.arange(n_sets) if join.columns is None else join.columns
    column_of = np.full(n_sets, n_before)
    column_of[columns] = np.arange(n_before)
    before = column_of[own]
    absent = np.zeros(len(cell))
    kept = before < n_before
    absent[kept] = join.q[0, 0] * join.before[walk.case[kept], before[kept], rest[kept]]
    there = np.flatnonzero(walk.rng.random(len(cell)) * join.after[walk.case, own, rest] >= absent)
    if len(there):
        matrices = (join.q[1:] @ union_tensor(len(join.axes))).reshape(-1, n_sets, n_sets)[:, :, columns]
        chance = matrices[:, own[there]] * join.before[walk.case[there], :, rest[there]]
        picked = _choose(chance.transpose(1, 0, 2).reshape(len(there), -1), walk.rng)
        trajectory, before[there] = np.divmod(picked, n_before)
        walk.trajectories[there, join.cause] = trajectory + 1
    return _in_layout(before * n_rest + rest, join.front, join.layout)


@draw_join.register
def _(join: WideJoin, walk: Walk, cell: Ints) -> Ints:
    chance = [p * each[walk.case, cell] for p, each in zip(join.weights, join.each, strict=True)]
    picked = _choose(np.stack(chance, axis=1), walk.rng)
    if join.cause >= 0:
        walk.trajectories[:, join.cause] = picked
    for trajectory, draws in enumerate(join.draws):
        stages = [join.before]
        for draw in draws[:-1]:
            stages.append(draw.forward(stages[-1], join.layout))
        taken = picked == trajectory
        for draw, before in zip(reversed(draws), reversed(stages[: len(draws)]), strict=True):
            cell[taken] = _undo(draw, before, join.layout, walk, taken, cell[taken])
    return cell


def _undo(draw: Draw, before: Floats, layout: Layout, walk: Walk, taken: Bools, cell: Ints) -> Ints:
    """Draw whether `draw` fired, and from which cell if it did."""
    bits = [1 << (len(layout) - 1 - layout.index(axis)) for axis in draw.axes]
    subsets = np.array([sum(b for i, b in enumerate(bits) if s >> i & 1) for s in range(1 << len(bits))])
    case = walk.case[taken]
    fire = np.broadcast_to(draw.fire, (len(before),))[case]
    fired = np.where(cell & subsets[-1] == subsets[-1], fire, 0.0)
    origins = (cell & ~subsets[-1])[:, None] | subsets
    chance = np.concatenate(
        [((1.0 - fire) * before[case, cell])[:, None], fired[:, None] * before[case[:, None], origins]], axis=1
    )
    picked = _choose(chance, walk.rng)
    return np.where(picked == 0, cell, origins[np.arange(len(cell)), picked - 1])


@draw_join.register
def _(join: MessageJoin, walk: Walk, cell: Ints) -> Ints:
    if not join.layout:
        walk.cells[join] = cell
        return np.zeros_like(cell)
    size, n_rest = join.tables.shape[3:]
    lead, rest = np.divmod(cell, (size * n_rest) << join.outer)
    old, rest = np.divmod(rest, size * n_rest)
    row = walk.case * join.matrices.shape[1] + lead
    places = _split_places(join, walk.rng, row, old, rest)
    after, rest = np.divmod(rest, n_rest)
    chance = join.matrices[walk.case, lead, places, after] * join.tables[walk.case, 0, places, :, rest]
    before = _choose(chance, walk.rng)
    fits = before[:, None] | np.arange(size) == after[:, None]
    of_message = _choose(np.where(fits, join.messages[-1][row, places], 0.0), walk.rng)
    table, message = _bits_of_places(join, walk.rng, row, places, of_message)
    walk.cells[join] = _in_layout(((lead << join.outer) + message) * size + of_message, join.own, join.axes)
    return _in_layout((table * size + before) * n_rest + rest, join.front, join.layout)


def _split_places(join: MessageJoin, rng: np.random.Generator, row: Ints, old: Ints, rest: Ints) -> Ints:
    """Which of the places (0, 0), (1, 0 or 1), (0, 1) each spread axis had: digits to base 3, slowest axis first."""
    binary, ternary = old, np.zeros_like(old)
    for done, product in enumerate(reversed(join.products[:-1])):
        unit = 3**done
        start = (binary >> 1) * 3 * unit + ternary
        first, second = product[row, start + unit, rest], product[row, start + 2 * unit, rest]
        place = np.where(rng.random(len(old)) * (first + second) < first, 1, 2)
        ternary = ternary + np.where(binary & 1, place, 0) * unit
        binary = binary >> 1
    return ternary


def _bits_of_places(
    join: MessageJoin, rng: np.random.Generator, row: Ints, places: Ints, inner: Ints
) -> tuple[Ints, Ints]:
    """Cells over the spread axes in the table and in the message, from their common places."""
    table, message = np.zeros_like(places), np.zeros_like(places)
    for done, stage in enumerate(reversed(join.messages[:-1])):
        places, place = np.divmod(places, 3)
        start = (places << (done + 1)) + message
        zero, one = stage[row, start, inner], stage[row, start + (1 << done), inner]
        either = rng.random(len(row)) * (zero + one) >= zero
        message = message + (((place == 2) | ((place == 1) & either)).astype(np.int64) << done)
        table = table + ((place == 1).astype(np.int64) << done)
    return table, message


def _draw_folded(forward: Elimination, walk: Walk) -> None:
    """Draw again the folded causes of each axis in the samples where one of them, or the leak, must explain it."""
    network = forward.network
    fires, row = folded_fires(network)
    later = [network.base]  # chance that the leak or a cause in a later row explains the axis
    for fire in fires[:0:-1]:
        later.append(later[-1] + (1.0 - later[-1]) * fire)
    later.reverse()
    needed = walk.unexplained.copy()
    for number in np.argsort(row, kind="stable"):
        cause, axis = network.folded[number], network.folded_axis[number]
        who = np.flatnonzero(needed[:, axis])
        fire = network.fire[cause, :, axis]
        quiet = network.weights[cause] * (1.0 - fire) * later[row[number]][walk.case[who], axis, None]
        fired = np.broadcast_to(network.weights[cause] * fire, quiet.shape)
        explains, trajectory = np.divmod(_choose(np.concatenate([quiet, fired], axis=1), walk.rng), len(fire))
        walk.trajectories[who, cause] = trajectory
        needed[who, axis] = explains == 0
