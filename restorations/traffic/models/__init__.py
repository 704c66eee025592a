"""Running days, sessions, forecasts, reports: rows of their own."""

from restorations.traffic.models.returning import FitForTraffic, ReturnToTraffic

__all__ = ["FitForTraffic", "ReturnToTraffic"]
