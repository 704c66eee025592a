"""Spells out of traffic as half-open intervals: merged where they overlap, and the share of a period that is left.

An interval (start, end) holds from start up to, but not including, end; an end of None is open. Starts and ends are
dates, moments or plain numbers of days, all of one kind.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Protocol, TypeVar

from restorations.calc.errors import OutOfRange
from restorations.calc.schedule.errors import EndsBeforeItBegins


class OnATimeScale(Protocol):
    """Anything that comes before or after another of its kind: a date, a moment, a number of days."""

    def __lt__(self, other: Any, /) -> bool: ...

    def __sub__(self, other: Any, /) -> Any: ...


At = TypeVar("At", bound=OnATimeScale)


@dataclass(frozen=True, slots=True)
class Availability:
    """How much of a period an engine was to be had.

    Attributes
    ----------
    days_lost : float - days of the period in which at least one stoppage held.
    days : float - days of the period.
    fraction : float - share of the period it was available, 0..1: up time over up and down time.
    """

    days_lost: float
    days: float

    @property
    def fraction(self) -> float:
        return 1.0 - self.days_lost / self.days


def days_between(start: At, end: At) -> float:
    """Give the days from start to end.

    Parameters
    ----------
    start, end : date, moment or number of days - of one kind.

    Returns
    -------
    float - days, negative where end comes first.

    Examples
    --------
    >>> days_between(3, 10.5)
    7.5
    """
    span: Any = end - start
    return float(span.total_seconds() / 86400.0 if hasattr(span, "total_seconds") else span)


def merged(intervals: Iterable[tuple[At, At | None]], period: tuple[At, At]) -> tuple[tuple[At, At], ...]:
    """Give the parts of a period that lie in at least one of the intervals, apart from one another and in order.

    Open intervals end with the period; those that overlap or touch become one; what lies outside is left out.

    Parameters
    ----------
    intervals : iterable of (start, end or None) - half open, in any order.
    period : (start, end) - half open.

    Returns
    -------
    tuple of (start, end) - in order of time, none empty, none touching another.

    Raises
    ------
    EndsBeforeItBegins (an OutOfRange) - an interval or the period ends before it begins; it is named.

    Examples
    --------
    >>> merged([(1, 5), (4, 7), (9, None)], (3, 12))
    ((3, 7), (9, 12))
    """
    first, last = _lawful("period", "the period", period)
    inside: list[tuple[At, At]] = []
    for number, (start, end) in enumerate(intervals, 1):
        if end is not None:
            _lawful("stoppages", f"interval {number}", (start, end))
        begin, stop = _later(start, first), last if end is None else _earlier(end, last)
        if begin < stop:
            inside.append((begin, stop))
    joined: list[tuple[At, At]] = []
    for begin, stop in sorted(inside, key=_start):
        if joined and not joined[-1][1] < begin:
            joined[-1] = (joined[-1][0], _later(joined[-1][1], stop))
        else:
            joined.append((begin, stop))
    return tuple(joined)


def availability(stoppages: Sequence[tuple[At, At | None]], period: tuple[At, At]) -> Availability:
    """Give the days lost to stoppages in a period, and the share of it that was left.

    A day on which several stoppages held is lost once. A stoppage that goes on counts up to the end of the period:
    give the day after today as that end where the period is not over.

    Parameters
    ----------
    stoppages : sequence of (start, end or None) - half open: the end is the first day the stop no longer held.
    period : (start, end) - half open: the end is the first day after it.

    Returns
    -------
    Availability - `.days_lost` [days], `.fraction` (share available, 0..1).

    Raises
    ------
    EndsBeforeItBegins (an OutOfRange) - a stoppage or the period ends before it begins; it is named.
    OutOfRange - the period has no length.

    References
    ----------
    IEC 60050-192, 192-08-05 and EN 13306 (up time over up and down time), here by calendar days (RECALLED).

    Examples
    --------
    Ten days, of which the third to the sixth and the ninth on are lost, by hand:

    >>> had = availability(stoppages=[(2, 4), (3, 6), (8, None)], period=(0, 10))
    >>> had.days_lost, round(had.fraction, 9)
    (6.0, 0.4)
    """
    first, last = _lawful("period", "the period", period)
    days = days_between(first, last)
    if days == 0.0:
        raise OutOfRange("period", 0.0, 1.0, None, "days")
    return Availability(sum((days_between(*spell) for spell in merged(stoppages, period)), 0.0), days)


def _lawful(name: str, which: str, interval: tuple[At, At]) -> tuple[At, At]:
    start, end = interval
    if end < start:
        raise EndsBeforeItBegins(name, which, start, end, days_between(start, end))
    return interval


def _start(interval: tuple[At, At]) -> At:
    return interval[0]


def _later(one: At, other: At) -> At:
    return other if one < other else one


def _earlier(one: At, other: At) -> At:
    return one if one < other else other
