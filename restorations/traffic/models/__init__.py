"""Running days, sessions, papers' pictures, forecasts, returns, feeds: rows of their own."""

from restorations.traffic.models.feeds import FeedAddress
from restorations.traffic.models.forecast import Forecast
from restorations.traffic.models.incidents import Incident, IncidentNote
from restorations.traffic.models.papers import CertificateScan, PaperReminder
from restorations.traffic.models.returning import FitForTraffic, ReturnToTraffic
from restorations.traffic.models.running import Allocation, Attendance, RunningDay
from restorations.traffic.models.sessions import BoilerTestSession
from restorations.traffic.models.working import ClosedSpell, WorkingPattern, WorkingSession
from restorations.traffic.models.yard import EngineStands, Road

__all__ = [
    "Allocation",
    "Attendance",
    "BoilerTestSession",
    "CertificateScan",
    "ClosedSpell",
    "EngineStands",
    "FeedAddress",
    "FitForTraffic",
    "Forecast",
    "Incident",
    "IncidentNote",
    "PaperReminder",
    "ReturnToTraffic",
    "Road",
    "RunningDay",
    "WorkingPattern",
    "WorkingSession",
]
