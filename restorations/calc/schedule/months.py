"""Months and years on a calendar: the same day of another month, or its last where there is no such day."""

from calendar import monthrange
from typing import Any, Protocol, Self, TypeVar

from restorations.calc.errors import OutOfRange

MOST_MONTHS = 1200


class OnACalendar(Protocol):
    """A date, or anything with a year, a month and a day that can be replaced."""

    @property
    def year(self) -> int: ...

    @property
    def month(self) -> int: ...

    @property
    def day(self) -> int: ...

    def replace(self, *args: Any, **kwargs: Any) -> Self: ...


Day = TypeVar("Day", bound=OnACalendar)


def months_later(day: Day, months: int) -> Day:
    """Give the same day of the month so many months on (or back); the month's last day where it is shorter.

    Always counted from the day given: two months from 31 January are 31 March, not 28 March.

    Parameters
    ----------
    day : date - where to count from.
    months : int - how many, -1200 to 1200; years are twelve.

    Returns
    -------
    date - of the same kind.

    Raises
    ------
    OutOfRange - too many months, or the calendar ends first.

    Examples
    --------
    Four years from 29 February are 29 February again; one year is the 28th:

    >>> from datetime import date
    >>> months_later(date(2024, 2, 29), 48), months_later(date(2024, 2, 29), 12)
    (datetime.date(2028, 2, 29), datetime.date(2025, 2, 28))
    """
    if not -MOST_MONTHS <= months <= MOST_MONTHS:
        raise OutOfRange("months", months, -MOST_MONTHS, MOST_MONTHS)
    years, month = divmod(day.month - 1 + months, 12)
    year = day.year + years
    if not 1 <= year <= 9999:
        raise OutOfRange("months", months, 12 * (1 - day.year), 12 * (9999 - day.year))
    return day.replace(year=year, month=month + 1, day=min(day.day, monthrange(year, month + 1)[1]))
