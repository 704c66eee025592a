"""Days lost, by whom and why: arithmetic on stops that were read before.

Definitions. A stop holds on the days [began, ended). A day on which several stops held is lost once, and counts under
the one that had begun first. Availability is up time over up and down time (IEC 60050-192, 192-08-05 for the ratio,
RECALLED; 192-01-23 for the ability itself; EN 13306:2017), here in whole calendar days. Waiting for parts, for the
inspector or for hands is down time: it is delay, not a want of outside resources (192-02-21). A failure is a stop for a
defect or on the boiler that began in the period.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from restorations.calc.schedule import availability
from restorations.engines.models import Stoppage
from restorations.traffic.report.period import Period

FAILURES = ("defect", "boiler")
FEWEST_FOR_A_MEAN = 5


@dataclass(frozen=True, slots=True)
class Lost:
    """What the stops of one engine took from a period; `fraction` is None where no day of it has gone by."""

    days: int
    of: int
    by_cause: dict[str, int]
    running_days: int = 0
    running_days_of: int = 0

    @property
    def fraction(self) -> float | None:
        return None if self.of == 0 else 1 - self.days / self.of

    @property
    def running_fraction(self) -> float | None:
        return None if self.running_days_of == 0 else 1 - self.running_days / self.running_days_of


def lost(stops: Sequence[Stoppage], period: Period, running_days: Sequence[date] = ()) -> Lost:
    """What these stops of one engine took from the period; the running days are in their order."""
    if period.days == 0:
        return Lost(0, 0, {})
    spells = [(stop.began_on, stop.ended_on) for stop in stops]
    had = availability(spells, (period.start, period.end))
    missed = set[int]().union(*(_between(running_days, *_clipped(stop, period)) for stop in stops))
    wanted = _between(running_days, period.start, period.end)
    return Lost(int(had.days_lost), period.days, _by_cause(stops, period), len(missed), len(wanted))


def _clipped(stop: Stoppage, period: Period) -> tuple[date, date]:
    return max(stop.began_on, period.start), min(stop.ended_on or period.end, period.end)


def _between(days: Sequence[date], start: date, end: date) -> range:
    """The places of those from start up to, but not including, end."""
    return range(bisect_left(days, start), bisect_left(days, end))


def _by_cause(stops: Iterable[Stoppage], period: Period) -> dict[str, int]:
    """Each lost day under the stop that had begun first, so that the causes add up to the days lost."""
    counted, found = period.start, dict[str, int]()
    for stop in sorted(stops, key=lambda stop: (stop.began_on, stop.pk)):
        begin, end = max(stop.began_on, counted), min(stop.ended_on or period.end, period.end)
        if begin < end:
            found[stop.cause_class] = found.get(stop.cause_class, 0) + (end - begin).days
            counted = end
    return found


@dataclass(frozen=True, slots=True)
class Failures:
    """How many, and the means, which are None below five: a mean of four says nothing."""

    count: int
    restored: int
    mean_days_to_restore: float | None
    mean_days_up_between: float | None


def failures(stops: Iterable[Stoppage], period: Period, days_up: int) -> Failures:
    """Of all engines together: failures that began in the period, and those that ended in it."""
    of_kind = [stop for stop in stops if stop.kind in FAILURES]
    began = [stop for stop in of_kind if period.start <= stop.began_on < period.end]
    took = [
        (stop.ended_on - stop.began_on).days
        for stop in of_kind
        if stop.ended_on is not None and period.start <= stop.ended_on < period.end
    ]
    return Failures(
        count=len(began),
        restored=len(took),
        mean_days_to_restore=sum(took) / len(took) if len(took) >= FEWEST_FOR_A_MEAN else None,
        mean_days_up_between=days_up / len(began) if len(began) >= FEWEST_FOR_A_MEAN else None,
    )
