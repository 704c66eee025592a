"""What will be joined where, and how long it will take, worked out before any table is made."""

from dataclasses import dataclass, field

from restorations.calc.diagnosis.errors import TooEntangled
from restorations.calc.diagnosis.joins import INNER
from restorations.calc.diagnosis.network import Network, axes_of
from restorations.calc.diagnosis.ordering import elimination_order

SMALL = 5  # axes up to which a cause is joined as a matrix
ALLOWED_SECONDS = 0.5  # also bounds the room: about 250 MB of tables kept for the way back
SECONDS_PER_JOIN = 40e-6  # one forward and backward pass on one thread; tests/benchmarks/diagnosis_speed.py compares
SECONDS_PER_CELL = 35e-9


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
    """Buckets in the order in which they are closed, and what that will take for one case."""

    buckets: tuple[PlannedBucket, ...]
    joins: int
    cells: int

    def seconds(self, cases: int) -> float:
        """Predicted duration of one forward and backward pass [s]."""
        return self.joins * SECONDS_PER_JOIN + cases * self.cells * SECONDS_PER_CELL


def make_plan(network: Network) -> Plan:
    """Plan the elimination of a network.

    Raises
    ------
    TooEntangled
        If the predicted time is over the budget.
    """
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
    plan = Plan(tuple(buckets), joins, cells)
    seconds = plan.seconds(len(network.cases))
    if seconds > ALLOWED_SECONDS:
        raise TooEntangled(seconds, ALLOWED_SECONDS)
    return plan


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
        cells += (1 << axes.bit_count()) * (1 if own <= SMALL else own)
    for number in bucket.fixed:
        axes |= network.fixed[number].axes
        cells += 1 << axes.bit_count()
    bucket.passes_on = axes & ~(1 << bucket.axis)
    return cells
