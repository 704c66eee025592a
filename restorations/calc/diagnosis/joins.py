"""The arithmetic of tables over "explained yet?" axes. Every sum is of non-negative terms: nothing cancels.

A table (cases, cells) gives, for each set of axes, the weight with which the rows joined so far explain exactly that
set; each axis has two places, 0 not explained and 1 explained. Joining a factor q is a convolution under set union:
after[x] = sum of q[s] * before[y] over all s | y = x. Three ways to do it, each with its transpose for the way back:

    SmallJoin    a cause on few axes: as a matrix M[x, y] = sum of q[s] over s with s | y = x
    WideJoin     a cause on many axes: each trajectory's draws one after the other, in place
    MessageJoin  a table from another bucket: a few axes as a matrix; each further one spread to three places, which
                 in (table, message) are (0, 0), (1, 0 or 1), (0, 1)
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

import numpy as np

from restorations.calc.diagnosis.model import Floats, Ints

Layout = tuple[int, ...]  # axes of a table, the slowest running first
Table = TypeVar("Table", Floats, Ints)
INNER = 4  # axes of a message joined as a matrix


@lru_cache
def union_tensor(n_axes: int) -> Floats:
    """Return C of shape (sets s, sets x * sets y): 1 where s | y = x."""
    sets = np.arange(1 << n_axes)
    union = sets[:, None] | sets[None, :]
    tensor: Floats = (union[:, None, :] == sets[None, :, None]).astype(np.float64)
    return tensor.reshape(len(sets), -1)


@lru_cache
def sets_without(n_axes: int, new: int) -> Ints:
    """Return the sets over n axes that hold none of the bits in `new`, ascending."""
    return np.array([number for number in range(1 << n_axes) if number & new == 0])


def rearrange(table: Table, layout: Layout, wanted: Layout) -> Table:
    """Rearrange a table (cases, cells) from one layout of its axes to another."""
    if layout == wanted:
        return table
    place: dict[int, int] = {axis: number for number, axis in enumerate(layout, start=1)}
    split = table.reshape((len(table),) + (2,) * len(layout))
    moved: Table = split.transpose((0, *[place[axis] for axis in wanted])).reshape(len(table), -1)
    return moved


def old_first(axes: Layout, layout: Layout) -> tuple[Layout, Layout]:
    """Return those of `axes` that the layout has, and the layout with them in front."""
    old = tuple(axis for axis in axes if axis in layout)
    if layout[: len(old)] == old:
        return old, layout
    return old, old + tuple(axis for axis in layout if axis not in old)


class SmallJoin:
    """Join one cause whose draws are given as q over the sets of its few axes."""

    def __init__(self, cause: int, axes: Layout, q: Floats, matrix: Floats, pairs: Floats) -> None:
        """`q` (trajectories, sets); `matrix` (sets, sets) is M of their sum; `pairs` (cases, sets, sets) takes the
        sums over (x, y) on the way back."""
        self.cause, self.axes, self.q, self.matrix, self.pairs = cause, axes, q, matrix, pairs

    def forward(self, table: Floats, layout: Layout) -> tuple[Floats, Layout]:
        """Return the table after the join, and its layout."""
        old, front = old_first(self.axes, layout)
        self.layout, self.front = layout, front
        self.before = rearrange(table, layout, front).reshape(len(table), 1 << len(old), -1)
        self.columns: Ints | None = None
        matrix = self.matrix
        if len(old) < len(self.axes):
            new = sum(1 << bit for bit, axis in enumerate(reversed(self.axes)) if axis not in old)
            self.columns = sets_without(len(self.axes), new)
            matrix = matrix[:, self.columns]
        self.used = matrix
        self.after = matrix @ self.before
        return self.after.reshape(len(table), -1), self.axes + front[len(old) :]

    def backward(self, weight: Floats) -> Floats:
        """Turn the weight of every cell after the join into the weight of every cell before."""
        weight = weight.reshape(self.after.shape)
        pairs = weight @ self.before.transpose(0, 2, 1)
        if self.columns is None:
            self.pairs[...] = pairs
        else:
            self.pairs[:, :, self.columns] = pairs
        before = self.used.T @ weight
        return rearrange(before.reshape(len(before), -1), self.front, self.layout)


@dataclass(frozen=True, slots=True)
class Draw:
    """One draw that explains all of `axes` at once, or nothing; `fire` is one chance, or one for each case."""

    axes: Layout
    fire: float | Floats

    def forward(self, table: Floats, layout: Layout) -> Floats:
        """t -> (1 - fire) t, plus fire x (t summed over the axes) where all axes are explained."""
        view, places, fire = self._split(table, layout)
        after = view * (1.0 - fire)
        after[_explained(view, places)] += (fire * view.sum(axis=places, keepdims=True))[_first(view, places)]
        return after.reshape(table.shape)

    def backward(self, weight: Floats, layout: Layout) -> Floats:
        """Transpose of `forward`."""
        view, places, fire = self._split(weight, layout)
        explained = np.expand_dims(view[_explained(view, places)], places)
        return (view * (1.0 - fire) + fire * explained).reshape(weight.shape)

    def _split(self, table: Floats, layout: Layout) -> tuple[Floats, tuple[int, ...], Floats]:
        """View with one dimension for each own axis, runs of other axes kept together."""
        shape, places, run = [len(table)], [], 1
        for axis in layout:
            if axis in self.axes:
                shape += [run, 2]
                places.append(len(shape) - 1)
                run = 1
            else:
                run *= 2
        view = table.reshape((*shape, run))
        return view, tuple(places), np.reshape(self.fire, (-1,) + (1,) * (view.ndim - 1))


def _explained(view: Floats, places: tuple[int, ...]) -> tuple[slice | int, ...]:
    return tuple(1 if place in places else slice(None) for place in range(view.ndim))


def _first(view: Floats, places: tuple[int, ...]) -> tuple[slice | int, ...]:
    return tuple(0 if place in places else slice(None) for place in range(view.ndim))


class WideJoin:
    """Join one cause, or a fixed row, as the weighted sum over its trajectories of their draws."""

    def __init__(self, cause: int, axes: Layout, weights: Sequence[float], draws: Sequence[Sequence[Draw]]) -> None:
        """`cause` is negative for a fixed row, which has a single trajectory of weight 1."""
        self.cause, self.axes, self.weights, self.draws = cause, axes, weights, draws

    def forward(self, table: Floats, layout: Layout) -> tuple[Floats, Layout]:
        """Return the table after the join, and its layout."""
        new = tuple(axis for axis in self.axes if axis not in layout)
        self.layout, self.n_cells = new + layout, table.shape[1]
        self.before = np.concatenate([table, np.zeros((len(table), table.shape[1] * ((1 << len(new)) - 1)))], axis=1)
        self.each = []
        for draws in self.draws:
            after = self.before
            for draw in draws:
                after = draw.forward(after, self.layout)
            self.each.append(after)
        self.after: Floats = np.einsum("t,tbc->bc", self.weights, np.stack(self.each))
        return self.after, self.layout

    def backward(self, weight: Floats) -> Floats:
        """Turn the weight of every cell after the join into the weight of every cell before."""
        self.support = np.stack(
            [p * (weight * each).sum(axis=1) for p, each in zip(self.weights, self.each, strict=True)], axis=1
        )
        total = np.zeros_like(weight)
        for chance, draws in zip(self.weights, self.draws, strict=True):
            part = weight
            for draw in reversed(draws):
                part = draw.backward(part, self.layout)
            total += chance * part
        return total[:, : self.n_cells]


Places = Callable[..., tuple[Floats, ...]]

# An axis in both tables has three places: (0, 0) stays 0; (1, 0 or 1) and (0, 1) give 1.
SPREAD_TABLE: Places = lambda t0, t1: (t0, t1, t0)  # noqa: E731
SPREAD_MESSAGE: Places = lambda m0, m1: (m0, m0 + m1, m1)  # noqa: E731
GATHER_AFTER: Places = lambda p0, p1, p2: (p0, p1 + p2)  # noqa: E731
# and their transposes
SPREAD_AFTER: Places = lambda w0, w1: (w0, w1, w1)  # noqa: E731
GATHER_TABLE: Places = lambda p0, p1, p2: (p0 + p2, p1)  # noqa: E731
GATHER_MESSAGE: Places = lambda p0, p1, p2: (p0 + p1, p1 + p2)  # noqa: E731


def each_axis(places: Places, table: Floats, n_axes: int) -> list[Floats]:
    """Change the places of every axis of (lead, cells, rest), slowest axis first; return every stage, input first."""
    lead, cells, rest = table.shape
    size = 3 if places in (GATHER_AFTER, GATHER_TABLE, GATHER_MESSAGE) else 2
    stages, done = [table], 1
    for _ in range(n_axes):
        cells //= size
        view = stages[-1].reshape(lead * done, size, cells * rest)
        changed = np.stack(places(*(view[:, i] for i in range(size))), axis=1)
        done *= changed.shape[1]
        stages.append(changed.reshape(lead, done * cells, rest))
    return stages


class MessageJoin:
    """Join the closed table of another bucket."""

    def __init__(self, axes: Layout, message: Floats) -> None:
        """`message` (cases, sets) with its axes in the order of `axes`, the slowest first."""
        self.axes, self.message = axes, message

    def forward(self, table: Floats, layout: Layout) -> tuple[Floats, Layout]:
        """Return the table after the join, and its layout; into an empty table the message goes as it is."""
        self.layout = layout
        if not layout:
            return self.message, self.axes
        old, self.front = old_first(self.axes, layout)
        n_cases, self.inner = len(table), min(len(old), INNER)
        self.outer = len(old) - self.inner
        self.own = tuple(axis for axis in self.axes if axis not in old) + old
        before = rearrange(table, layout, self.front).reshape(n_cases, 1 << self.outer, -1)
        message = rearrange(self.message, self.axes, self.own).reshape(-1, 1 << self.outer, 1 << self.inner)
        self.messages = each_axis(SPREAD_MESSAGE, message, self.outer)
        spread = each_axis(SPREAD_TABLE, before, self.outer)[-1]
        size = 1 << self.inner
        self.tables = spread.reshape(n_cases, 1, 3**self.outer, size, -1)
        matrices = self.messages[-1] @ union_tensor(self.inner)
        self.matrices = matrices.reshape(n_cases, -1, 3**self.outer, size, size)
        product = (self.matrices @ self.tables).reshape(len(message), 3**self.outer, -1)
        self.products = each_axis(GATHER_AFTER, product, self.outer)
        return self.products[-1].reshape(n_cases, -1), self.own + self.front[len(old) :]

    def backward(self, weight: Floats) -> Floats:
        """Turn the weight of every cell after the join into that before, and into that of the message."""
        if not self.layout:
            self.message_weight = weight
            return weight[:, :1]
        n_cases = len(weight)
        after = each_axis(SPREAD_AFTER, weight.reshape(self.products[-1].shape), self.outer)[-1]
        after = after.reshape(*self.matrices.shape[:4], -1)
        table = (self.matrices.swapaxes(3, 4) @ after).sum(axis=1).reshape(n_cases, 3**self.outer, -1)
        pairs = (after @ self.tables.swapaxes(3, 4)).reshape(*self.messages[-1].shape[:2], -1)
        message = each_axis(GATHER_MESSAGE, pairs @ union_tensor(self.inner).T, self.outer)[-1]
        self.message_weight = rearrange(message.reshape(n_cases, -1), self.own, self.axes)
        before = each_axis(GATHER_TABLE, table, self.outer)[-1]
        return rearrange(before.reshape(n_cases, -1), self.front, self.layout)
