"""What will be joined where, and how long it will take, worked out before any table is made."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from math import prod

import numpy as np

from restorations.calc.diagnosis.draws import CompiledHistory
from restorations.calc.diagnosis.errors import TooEntangled
from restorations.calc.diagnosis.joins import INNER
from restorations.calc.diagnosis.model import Ints
from restorations.calc.diagnosis.network import Network, Survey, axes_of, build_network, survey
from restorations.calc.diagnosis.ordering import elimination_order

SMALL = 5  # axes up to which a cause is joined as a matrix
ALLOWED_SECONDS = 0.5  # also bounds the room: about 250 MB of tables kept for the way back
SECONDS_PER_JOIN = 40e-6  # one forward and backward pass on one thread; tests/benchmarks/diagnosis_speed.py compares
SECONDS_PER_CELL = 35e-9
SECONDS_PER_FOLD = 5e-9  # for each case, axis, and conditioned or folded cause
WORTH_ANOTHER_PLAN = 0.02  # predicted seconds above which other causes to condition on are considered
MOST_CASES = 1 << 16

# What to condition on is a matter of speed only: above 5 to 14 axes was tried, 10 is quick.
CONDITION_ABOVE = 10
MOST_CONDITIONED = 3
MORE_CONDITIONED = 6
FEW_CAUSES = 16


@dataclass(slots=True)
class PlannedBucket:
    """Joins needed before `axis` can be closed; bit sets of axes; children are numbers of earlier buckets."""

    axis: int
    causes: list[int] = field(default_factory=list)  # numbers into network.eliminated
    fixed: list[int] = field(default_factory=list)  # numbers into network.fixed
    children: list[int] = field(default_factory=list)
    passes_on: int = 0  # axes of the closed table


@dataclass(frozen=True, slots=True)
class Plan:
    """A network, its buckets in the order in which they are closed, and the predicted time of both passes [s]."""

    network: Network
    buckets: tuple[PlannedBucket, ...]
    seconds: float


def make_plan(compiled: CompiledHistory) -> Plan | None:
    """Return the quickest plan found for a compiled history, None if some cause has no possible trajectory left.

    Raises
    ------
    TooEntangled
        If the predicted time is over the budget.
    """
    surveyed = survey(compiled)
    if surveyed is None:
        return None
    best = _plan(build_network(surveyed, surveyed.widest(CONDITION_ABOVE, MOST_CONDITIONED)))
    for conditioned in _more_to_condition_on(surveyed):
        if best.seconds > WORTH_ANOTHER_PLAN and len(conditioned) != len(best.network.conditioned):
            best = min(best, _plan(build_network(surveyed, conditioned)), key=lambda plan: plan.seconds)
    if best.seconds > ALLOWED_SECONDS:
        raise TooEntangled(best.seconds, ALLOWED_SECONDS)
    return best


def _more_to_condition_on(surveyed: Survey) -> Iterator[Ints]:
    """None, more of the system-wide causes, or every cause: best where few causes explain many findings."""
    yield np.zeros(0, dtype=np.int64)
    every = surveyed.widest(1, len(surveyed.weights))
    for conditioned in (surveyed.widest(CONDITION_ABOVE, MORE_CONDITIONED), every[: FEW_CAUSES + 1]):
        cases = prod(np.count_nonzero(surveyed.weights[conditioned], axis=1).tolist())
        if len(conditioned) <= FEW_CAUSES and cases <= MOST_CASES:
            yield conditioned


def _fold_seconds(network: Network) -> float:
    rows = 1 + len(network.conditioned) + len(network.folded) / max(1, network.n_axes)
    return len(network.cases) * network.n_axes * rows * SECONDS_PER_FOLD


def _plan(network: Network) -> Plan:
    order = elimination_order([*network.masks, *(update.axes for update in network.fixed)])
    buckets = [PlannedBucket(axis) for axis in order]
    position = {axis: number for number, axis in enumerate(order)}

    def bucket_of(axes: int) -> PlannedBucket:
        return buckets[min(position[axis] for axis in axes_of(axes))]

    for number, mask in enumerate(network.masks):
        bucket_of(mask).causes.append(number)
    for number, update in enumerate(network.fixed):
        bucket_of(update.axes).fixed.append(number)
    joins, cells = 0, 0
    for number, bucket in enumerate(buckets):
        joins += len(bucket.causes) + len(bucket.fixed) + len(bucket.children)
        cells += _order_joins(network, buckets, bucket)
        if bucket.passes_on:
            bucket_of(bucket.passes_on).children.append(number)
    seconds = joins * SECONDS_PER_JOIN + len(network.cases) * cells * SECONDS_PER_CELL + _fold_seconds(network)
    return Plan(network, tuple(buckets), seconds)


def _order_joins(network: Network, buckets: list[PlannedBucket], bucket: PlannedBucket) -> int:
    """Put the joins of a bucket in an order in which the table grows late; return the cells they work through."""
    bucket.children.sort(key=lambda child: -buckets[child].passes_on.bit_count())
    axes, cells = 0, 0
    for child in bucket.children:
        message = buckets[child].passes_on
        shared = (axes & message).bit_count()
        axes |= message
        cells += round(1.5 ** max(0, shared - INNER) * (1 << axes.bit_count()))
    waiting = sorted(bucket.causes, key=lambda number: network.masks[number])
    bucket.causes = []
    while waiting:
        best = min(waiting, key=lambda number: (network.masks[number] & ~axes).bit_count())
        waiting.remove(best)
        bucket.causes.append(best)
        axes |= network.masks[best]
        own = network.masks[best].bit_count()
        cells += (1 << axes.bit_count()) * (1 if own <= SMALL else 1 + own // 4)
    for number in bucket.fixed:
        axes |= network.fixed[number].axes
        cells += 1 << axes.bit_count()
    bucket.passes_on = axes & ~(1 << bucket.axis)
    return cells
