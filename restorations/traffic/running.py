"""Which days the club runs, for whoever counts by them."""

from datetime import date

from restorations.traffic.models import RunningDay


def running_days_in(start: date, end: date) -> list[date]:
    """Those that took or take place, from start up to, but not including, end."""
    return list(RunningDay.objects.taking_place().between(start, end).values_list("on", flat=True))
