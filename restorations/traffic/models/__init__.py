"""Running days, sessions, forecasts, reports: rows of their own."""

from restorations.traffic.models.forecast import Forecast
from restorations.traffic.models.returning import FitForTraffic, ReturnToTraffic
from restorations.traffic.models.running import RunningDay
from restorations.traffic.models.working import ClosedSpell, WorkingPattern, WorkingSession

__all__ = [
    "ClosedSpell",
    "FitForTraffic",
    "Forecast",
    "ReturnToTraffic",
    "RunningDay",
    "WorkingPattern",
    "WorkingSession",
]
