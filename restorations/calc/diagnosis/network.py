"""From a compiled history to the part that has to be eliminated.

Every kept look is an *axis*: "explained yet?". What costs nothing is done here for all causes at once: silent factors
go into the weights; a cause that fires on no axis is finished, one that fires on a single axis is folded into that
axis's leak; a cause that fires on very many axes is conditioned on, each of its trajectories being one *case*.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from restorations.calc.diagnosis.draws import CompiledHistory
from restorations.calc.diagnosis.model import Bools, Floats, Ints


@dataclass(frozen=True, slots=True)
class JointUpdate:
    """One draw of a cause (or of the leak) that explains several axes at once."""

    cause: int
    trajectory: int
    axes: int  # bit set
    fire: float


@dataclass(frozen=True, slots=True)
class FixedUpdate:
    """A joint update of the leak or of a conditioned cause: `fire` has shape (cases,)."""

    axes: int  # bit set
    fire: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Network:
    """What is left to eliminate, and what is already settled.

    weights : (causes, trajectories) prior x remedies x inspections x silent factors, each row summing to 1.
    log_scale : natural log of what the rows were divided by, the leak's silent factors included.
    fire : (causes + 1, trajectories, axes) chance of explaining that axis alone; last row the leak.
    joint : updates of several axes at once, by causes that are neither conditioned nor the leak.
    free, folded, conditioned, eliminated : cause numbers; every cause is in one of the four.
    folded_axis : (folded,) the one axis each folded cause fires on.
    masks : bit set of axes of each eliminated cause.
    cases : (cases, conditioned) trajectory of each conditioned cause.  log_case : (cases,) log of their weight.
    base : (cases, axes) chance that the leak or a conditioned cause explains the axis.
    fixed : joint updates of leak and conditioned causes.
    """

    weights: Floats
    log_scale: float
    fire: Floats
    joint: tuple[JointUpdate, ...]
    free: Ints
    folded: Ints
    folded_axis: Ints
    conditioned: Ints
    eliminated: Ints
    masks: tuple[int, ...]
    cases: Ints
    log_case: Floats
    base: Floats
    fixed: tuple[FixedUpdate, ...]

    @property
    def n_axes(self) -> int:
        """Number of axes."""
        return int(self.fire.shape[2])


@dataclass(frozen=True, slots=True, eq=False)
class Survey:
    """What every cause can explain, before it is decided which of them to condition on; fields as in Network.

    joint : updates of several axes at once, those of the leak included.
    touches : (causes, axes) whether the cause can explain the axis, alone or with others.
    """

    weights: Floats
    log_scale: float
    fire: Floats
    joint: tuple[JointUpdate, ...]
    touches: Bools

    def widest(self, above: int, most: int) -> Ints:
        """Return the causes that touch more than `above` axes, ascending; if too many, the `most` widest of them."""
        count = self.touches.sum(axis=1)
        order = np.argsort(-count, kind="stable")
        return np.sort(order[: min(most, int((count > above).sum()))])


def survey(compiled: CompiledHistory) -> Survey | None:
    """Return what every cause can explain, None if some cause has no possible trajectory left."""
    weights, log_scale = _weigh(compiled)
    if not np.isfinite(log_scale):
        return None
    fire, joint = _explanations(compiled, weights)
    leak = len(weights)
    touches: Bools = np.any(fire[:leak] > 0.0, axis=1)
    for update in joint:
        if update.cause != leak:
            touches[update.cause] |= _bools(update.axes, fire.shape[2])
    return Survey(weights, log_scale, fire, tuple(joint), touches)


def build_network(surveyed: Survey, conditioned: Ints) -> Network:
    """Return what is left to eliminate when these causes are conditioned on."""
    weights, fire, leak = surveyed.weights, surveyed.fire, len(surveyed.weights)
    count = surveyed.touches.sum(axis=1)
    plain = np.ones(leak, dtype=bool)
    plain[conditioned] = False
    folded, eliminated = np.flatnonzero(plain & (count == 1)), np.flatnonzero(plain & (count > 1))
    cases, log_case = _cases(weights, conditioned)
    return Network(
        weights=weights,
        log_scale=surveyed.log_scale,
        fire=fire,
        joint=tuple(update for update in surveyed.joint if update.cause < leak and plain[update.cause]),
        free=np.flatnonzero(plain & (count == 0)),
        folded=folded,
        folded_axis=surveyed.touches[folded].argmax(axis=1) if count.any() else folded,
        conditioned=conditioned,
        eliminated=eliminated,
        masks=bit_sets(surveyed.touches[eliminated]),
        cases=cases,
        log_case=log_case,
        base=_base(weights, fire, conditioned),
        fixed=_fixed_updates(surveyed.joint, leak, conditioned, cases),
    )


def bit_sets(rows: Bools) -> tuple[int, ...]:
    """Return each row of booleans as the bits of one whole number, column 0 lowest."""
    packed = np.packbits(rows, axis=1, bitorder="little")
    return tuple(int.from_bytes(row.tobytes(), "little") for row in packed)


def axes_of(bits: int) -> tuple[int, ...]:
    """Return the axes in a bit set, ascending."""
    axes = []
    while bits:
        axes.append((bits & -bits).bit_length() - 1)
        bits &= bits - 1
    return tuple(axes)


def _bools(bits: int, size: int) -> Bools:
    row = np.zeros(size, dtype=bool)
    row[list(axes_of(bits))] = True
    return row


def _weigh(compiled: CompiledHistory) -> tuple[Floats, float]:
    """Multiply the silent factors into the weights, in logs so that no product can underflow; normalise each row."""
    table = compiled.table
    with np.errstate(divide="ignore"):
        logs = np.log(np.concatenate([compiled.weights, np.ones((1, compiled.weights.shape[1]))]))
        silent = np.log(table.silent)
    np.add.at(logs, (table.causes[..., None], np.arange(logs.shape[1])), silent)
    greatest = logs[:-1].max(axis=1, keepdims=True)
    if not np.isfinite(greatest).all() or not np.isfinite(logs[-1, 0]):
        return compiled.weights, -np.inf
    weights = np.exp(logs[:-1] - greatest)
    total = weights.sum(axis=1, keepdims=True)
    return weights / total, float(logs[-1, 0] + greatest.sum() + np.log(total).sum())


def _explanations(compiled: CompiledHistory, weights: Floats) -> tuple[Floats, list[JointUpdate]]:
    """Chance of explaining single axes as one dense array; draws that explain several axes as a list."""
    table, leak = compiled.table, len(weights)
    possible = np.concatenate([weights, np.zeros((1, weights.shape[1]))]) > 0.0
    possible[leak, 0] = True
    offset = np.cumsum(table.width) - table.width
    fire = np.zeros((leak + 1, weights.shape[1], int(table.width.sum())))
    group, row, trajectory = np.nonzero(table.explains)
    cause = table.causes[group, row]
    able = possible[cause, trajectory]
    group, row, trajectory, cause = group[able], row[able], trajectory[able], cause[able]
    mask, chance = table.explains[group, row, trajectory], table.fire[group, row, trajectory]
    alone = np.bitwise_count(mask) == 1
    axis = offset[group[alone]] + np.bitwise_count(mask[alone] - 1)
    fire[cause[alone], trajectory[alone], axis] = chance[alone]
    joint = [
        JointUpdate(int(cause[i]), int(trajectory[i]), int(mask[i]) << int(offset[group[i]]), float(chance[i]))
        for i in np.flatnonzero(~alone)
    ]
    return fire, joint


def _cases(weights: Floats, conditioned: Ints) -> tuple[Ints, Floats]:
    """All combinations of possible trajectories of the conditioned causes, with the log of their weight."""
    cases, log_case = np.zeros((1, 0), dtype=np.int64), np.zeros(1)
    for cause in conditioned:
        possible = np.flatnonzero(weights[cause])
        cases = np.column_stack([np.repeat(cases, len(possible), axis=0), np.tile(possible, len(cases))])
        log_case = np.add.outer(log_case, np.log(weights[cause, possible])).ravel()
    return cases, log_case


def _base(weights: Floats, fire: Floats, conditioned: Ints) -> Floats:
    """Chance that the leak or a conditioned cause explains each axis, for the combinations in the order of `_cases`."""
    explained = fire[-1, :1]
    for cause in conditioned:
        more = fire[cause, np.flatnonzero(weights[cause])]
        explained = (explained[:, None] + (1.0 - explained)[:, None] * more).reshape(-1, explained.shape[1])
    return explained


def _fixed_updates(joint: Sequence[JointUpdate], leak: int, conditioned: Ints, cases: Ints) -> tuple[FixedUpdate, ...]:
    fixed = []
    columns = {int(cause): column for column, cause in enumerate(conditioned)}
    for update in joint:
        if update.cause == leak:
            fixed.append(FixedUpdate(update.axes, np.full(len(cases), update.fire)))
        elif update.cause in columns:
            applies = cases[:, columns[update.cause]] == update.trajectory
            fixed.append(FixedUpdate(update.axes, np.where(applies, update.fire, 0.0)))
    return tuple(fixed)
