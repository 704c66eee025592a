"""In which order to eliminate the axes: min-fill with several tie-breaks, the cheapest by prediction kept."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from restorations.calc.diagnosis.network import axes_of

# A better order is looked for only where it can save more than the search costs.
SEARCH_ABOVE = 1 << 13
SEARCH_HARDER_ABOVE = 1 << 16
HOPELESS_ABOVE = 1 << 26


@dataclass(frozen=True, slots=True)
class Order:
    """Axes in order of elimination and the number of table cells this takes."""

    axes: tuple[int, ...]
    cells: int


def elimination_order(cliques: Sequence[int]) -> tuple[int, ...]:
    """Return the axes of all cliques (bit sets of axes tied together) in a cheap order, component by component."""
    neighbours: dict[int, int] = {}
    for clique in set(cliques):
        for axis in axes_of(clique):
            neighbours[axis] = neighbours.get(axis, 0) | clique
    axes: list[int] = []
    for component in _components(neighbours):
        axes.extend(_best_order({axis: neighbours[axis] for axis in axes_of(component)}).axes)
    return tuple(axes)


def _components(neighbours: dict[int, int]) -> list[int]:
    left, found = set(neighbours), []
    while left:
        component, frontier = 0, 1 << min(left)
        while frontier:
            component |= frontier
            reached = 0
            for axis in axes_of(frontier):
                reached |= neighbours[axis]
            frontier = reached & ~component
        found.append(component)
        left.difference_update(axes_of(component))
    return found


TieBreak = Callable[[int, int], int]  # (axis, number of neighbours) -> smaller is taken first


def _best_order(neighbours: dict[int, int]) -> Order:
    ties: list[TieBreak] = [
        lambda _axis, degree: degree,
        lambda _axis, degree: -degree,
        lambda axis, _degree: axis,
        lambda axis, _degree: -axis,
        lambda axis, _degree: axis * 37 % 101,
        lambda axis, _degree: axis * 53 % 97,
    ]
    best = _min_fill(neighbours, ties[0], None)
    assert best is not None  # noqa: S101 - without a limit there is always an order
    for number, tie in enumerate(ties[1:]):
        if not (SEARCH_ABOVE if number < 1 else SEARCH_HARDER_ABOVE) <= best.cells <= HOPELESS_ABOVE:
            break
        best = _min_fill(neighbours, tie, best.cells) or best
    return best


def _min_fill(neighbours: dict[int, int], tie: TieBreak, limit: int | None) -> Order | None:
    """Eliminate the axis that ties the fewest new pairs together, over and over; None once it costs the limit."""
    around = dict(neighbours)  # each axis with itself and its neighbours
    score = {axis: (_fill(around, axis), tie(axis, around[axis].bit_count())) for axis in around}
    axes, cells = [], 0
    while around:
        axis = min(score, key=score.__getitem__)
        bucket = around.pop(axis)
        fill = score.pop(axis)[0]
        axes.append(axis)
        cells += 1 << bucket.bit_count()
        if limit is not None and cells >= limit:
            return None
        others = bucket & ~(1 << axis)
        if fill == 0 and others.bit_count() == len(around):  # one clique is left: any order serves
            axes.extend(around)
            return Order(tuple(axes), cells + (1 << len(around) + 1))
        _connect(around, axis, others, fill, score, tie)
    return Order(tuple(axes), cells)


def _connect(
    around: dict[int, int], axis: int, others: int, fill: int, score: dict[int, tuple[int, int]], tie: TieBreak
) -> None:
    changed = others
    gone = ~(1 << axis)
    for other in axes_of(others):
        around[other] = (around[other] | others) & gone
        if fill:  # new pairs change the fill of whoever sees both ends
            changed |= around[other]
    for other in axes_of(changed):
        score[other] = (_fill(around, other), tie(other, around[other].bit_count()))


def _fill(around: dict[int, int], axis: int) -> int:
    """Twice the number of pairs of neighbours that are not yet tied together."""
    near = around[axis]
    missing = 0
    rest = near & ~(1 << axis)
    while rest:
        low = rest & -rest
        missing += (near & ~around[low.bit_length() - 1]).bit_count()
        rest ^= low
    return missing
