"""The period a report is about: half open, whole days of the club's calendar."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils import timezone

LONGEST_DAYS = 366 * 30


@dataclass(frozen=True, slots=True)
class Period:
    """From `start` up to, but not including, `end`."""

    start: date
    end: date

    @property
    def last(self) -> date:
        return self.end - timedelta(days=1)

    @property
    def days(self) -> int:
        return (self.end - self.start).days

    @property
    def moments(self) -> tuple[datetime, datetime]:
        """Its first moment and the first one after it, in the club's zone."""
        first, after = (timezone.make_aware(datetime.combine(day, time.min)) for day in (self.start, self.end))
        return first, after

    def up_to(self, today: date) -> "Period":
        """As much of it as has gone by, today included: a stop that goes on has lost no day to come."""
        return Period(self.start, max(self.start, min(self.end, today + timedelta(days=1))))
