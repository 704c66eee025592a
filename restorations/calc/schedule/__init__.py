"""From what is left to do to when it may be done: three-point work, critical path, availability, the return date.

Here belongs arithmetic on durations, intervals and days counted from day 0. What a day is called, and what is left to
do on an engine, belongs to whoever asks.
"""

from restorations.calc.schedule.errors import EndsBeforeItBegins, InvalidPlan
from restorations.calc.schedule.intervals import Availability, availability, days_between, merged
from restorations.calc.schedule.months import months_later
from restorations.calc.schedule.network import CriticalPath, Times, critical_path, order_of_work
from restorations.calc.schedule.plan import Plan, Wait, Work
from restorations.calc.schedule.sessions import Session, sessions_ahead
from restorations.calc.schedule.simulation import ReturnDate, simulate
from restorations.calc.schedule.three_point import ThreePoint, three_point

__all__ = [
    "Availability",
    "CriticalPath",
    "EndsBeforeItBegins",
    "InvalidPlan",
    "Plan",
    "ReturnDate",
    "Session",
    "ThreePoint",
    "Times",
    "Wait",
    "Work",
    "availability",
    "critical_path",
    "days_between",
    "merged",
    "months_later",
    "order_of_work",
    "sessions_ahead",
    "simulate",
    "three_point",
]
