"""Work in its order: what must come first, the longest chain through it, and how much slack the rest has."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from restorations.calc.schedule.errors import InvalidPlan
from restorations.calc.schedule.three_point import ThreePoint, three_point

NO_SLACK = 1e-9  # of the whole length: what is left of adding up and taking away again

Card = tuple[float, float, float, Sequence[str]]


@dataclass(frozen=True, slots=True)
class Times:
    """When one card can begin and end at the earliest, and must at the latest, if the whole is to take no longer.

    Attributes
    ----------
    early_start, early_finish, late_start, late_finish : float - from the beginning of all work, in the cards' unit.
    """

    early_start: float
    early_finish: float
    late_start: float
    late_finish: float

    @property
    def slack(self) -> float:
        return self.late_start - self.early_start


@dataclass(frozen=True, slots=True)
class CriticalPath:
    """The longest chain through the cards, each taken at its mean and worked on by hands of its own.

    Attributes
    ----------
    length : float - mean length of the longest chain, in the cards' unit. The mean of the whole is never less, and
        is more where chains run beside one another and meet (merge bias): see `simulate`.
    variance : float - sum of the variances along it, in the unit's square; the chain with the greatest where several
        are the longest. Cards are taken as independent.
    critical : tuple of str - names of the cards without slack, in order of work.
    slack : dict of str to float - how long each card can be put off without making the whole longer.
    times : dict of str to Times - the four times of each card, in order of work.
    """

    length: float
    variance: float
    critical: tuple[str, ...]
    slack: dict[str, float]
    times: dict[str, Times]


def order_of_work(after: Mapping[str, Iterable[str]]) -> list[str]:
    """Put names so that each stands after all that it waits for; as given where nothing else is asked.

    Parameters
    ----------
    after : mapping of str to names - for each name those that come first.

    Returns
    -------
    list of str - every name once.

    Raises
    ------
    InvalidPlan - something waits for itself, some wait for one another in a circle, or for a name that is not there.

    Examples
    --------
    >>> order_of_work({"refit": ["clean"], "clean": ["strip"], "strip": []})
    ['strip', 'clean', 'refit']
    """
    for name, earlier in after.items():
        for other in earlier:
            if other not in after:
                raise InvalidPlan(f"“{name}” comes after “{other}”, which is not in the plan.", (other, name))
    try:
        return list(TopologicalSorter({name: tuple(earlier) for name, earlier in after.items()}).static_order())
    except CycleError as error:
        raise _circle(tuple(error.args[1])) from None


def _circle(chain: tuple[str, ...]) -> InvalidPlan:
    if len(set(chain)) == 1:
        return InvalidPlan(f"“{chain[0]}” waits for itself. Take it out of what comes first.", chain)
    named = " → ".join(f"“{name}”" for name in chain)
    return InvalidPlan(
        f"These wait for one another for ever: {named}. Take one of them out of what comes first.", chain
    )


def critical_path(cards: Mapping[str, Card]) -> CriticalPath:
    """Give the longest chain through cards whose durations are guessed three ways.

    Forward and backward pass over the means. Any number of cards may be worked on at once; there is no calendar.

    Parameters
    ----------
    cards : mapping of str to (low, likely, high, names) - the three guesses of each card in any one unit, and the
        names of those that come first.

    Returns
    -------
    CriticalPath - all zero for no cards.

    Raises
    ------
    InvalidPlan - a card waits for itself, some wait for one another in a circle, or for one that is not there; the
        words name the chain.
    OutOfRange - guesses that are negative or out of order.

    References
    ----------
    Kelley & Walker 1959; Malcolm and others 1959 (RECALLED).

    Examples
    --------
    Taylor, Introduction to Management Science, solved problem: four activities in a row.

    >>> path = critical_path({"a": (5, 8, 17, ()), "b": (3, 5, 7, "a"), "c": (4, 6, 8, "b"), "d": (3, 4, 5, "c")})
    >>> path.length, round(path.variance, 6), path.critical
    (24.0, 5.0, ('a', 'b', 'c', 'd'))
    """
    guesses = {name: three_point(low, likely, high) for name, (low, likely, high, _) in cards.items()}
    after = {name: tuple(dict.fromkeys(first)) for name, (*_, first) in cards.items()}
    order = order_of_work(after)
    finish: dict[str, float] = {}
    for name in order:
        finish[name] = max((finish[other] for other in after[name]), default=0.0) + guesses[name].mean
    length = max(finish.values(), default=0.0)
    times = _times(order, after, finish, guesses)
    slack = {name: _plain_zero(times[name].slack, length) for name in cards}
    critical = sorted((name for name in order if slack[name] == 0.0), key=lambda name: times[name].early_start)
    return CriticalPath(length, _variance(critical, after, finish, guesses), tuple(critical), slack, times)


def _times(
    order: Sequence[str],
    after: Mapping[str, Sequence[str]],
    finish: Mapping[str, float],
    guesses: Mapping[str, ThreePoint],
) -> dict[str, Times]:
    length = max(finish.values(), default=0.0)
    latest = dict.fromkeys(order, length)
    for name in reversed(order):
        for other in after[name]:
            latest[other] = min(latest[other], latest[name] - guesses[name].mean)
    return {
        name: Times(
            finish[name] - guesses[name].mean, finish[name], latest[name] - guesses[name].mean, latest[name]
        )
        for name in order
    }  # fmt: skip


def _plain_zero(slack: float, length: float) -> float:
    return 0.0 if abs(slack) <= NO_SLACK * max(length, 1.0) else slack


def _variance(
    critical: Sequence[str],
    after: Mapping[str, Sequence[str]],
    finish: Mapping[str, float],
    guesses: Mapping[str, ThreePoint],
) -> float:
    """The greatest sum along a chain of critical cards in which each begins when the one before it ends."""
    along: dict[str, float] = {}
    for name in critical:
        start = finish[name] - guesses[name].mean
        joined = [
            along[other]
            for other in after[name]
            if other in along and finish[other] >= start - NO_SLACK * max(start, 1.0)
        ]
        along[name] = max(joined, default=0.0) + guesses[name].variance
    return max(along.values(), default=0.0)
