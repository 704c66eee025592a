"""Working sessions ahead: the weekly pattern laid over the days to come, less those the shop is shut."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite

from restorations.calc.errors import OutOfRange

DAYS_IN_A_WEEK = 7
MOST_DAYS = 3700  # ten years


@dataclass(frozen=True, slots=True)
class Session:
    """One session: the day it is on, how long it lasts, and how many may come.

    Attributes
    ----------
    day : int - days from the day of forecasting, 0 or more.
    hours : float - how long it lasts [h], above 0 and up to 24.
    hands : tuple of float - numbers of hands that are equally likely; a single one where it is taken as certain. They
        may all be 0 at times: then nothing is done.
    """

    day: int
    hours: float
    hands: tuple[float, ...]

    def __post_init__(self) -> None:
        if self.day < 0:
            raise OutOfRange("day", self.day, 0, None)
        if not 0.0 < self.hours <= 24.0:
            raise OutOfRange("hours", self.hours, 0.0, 24.0, "h")
        if not self.hands or not all(isfinite(number) and number >= 0.0 for number in self.hands):
            raise OutOfRange("hands", min(self.hands, default=0.0), 0.0, None)


def sessions_ahead(
    week: Mapping[int, tuple[float, Sequence[float]]], first_weekday: int, days: int, closed: Collection[int] = ()
) -> tuple[Session, ...]:
    """Lay a weekly pattern over the days ahead.

    Parameters
    ----------
    week : mapping of int to (hours, hands) - by weekday, 0 for Monday to 6 for Sunday: how long the session lasts [h]
        and the equally likely numbers of hands. Weekdays left out have no session.
    first_weekday : int - weekday of day 0.
    days : int - how far ahead to look, 1 to 3700.
    closed : collection of int - days without a session, counted from day 0.

    Returns
    -------
    tuple of Session - in order; empty for a pattern without sessions.

    Raises
    ------
    OutOfRange - too many days or none, a weekday that is none, impossible hours or hands.

    Examples
    --------
    Tuesdays (1) and Saturdays (5) from a Wednesday (2) for ten days, shut on the first Saturday:

    >>> week = {1: (2.5, [2]), 5: (4.0, [3])}
    >>> [session.day for session in sessions_ahead(week, first_weekday=2, days=10, closed={3})]
    [6]
    """
    if not 1 <= days <= MOST_DAYS:
        raise OutOfRange("days", days, 1, MOST_DAYS)
    for weekday in (first_weekday, *week):
        if weekday not in range(DAYS_IN_A_WEEK):
            raise OutOfRange("first_weekday" if weekday == first_weekday else "week", weekday, 0, DAYS_IN_A_WEEK - 1)
    shut = frozenset(closed)
    return tuple(
        Session(day, week[weekday][0], tuple(week[weekday][1]))
        for day in range(days)
        if (weekday := (first_weekday + day) % DAYS_IN_A_WEEK) in week and day not in shut
    )
