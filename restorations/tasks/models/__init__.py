from restorations.tasks.models.boxes import Box
from restorations.tasks.models.connections import CARRIES, CLOSINGS, FLOWS, Connection
from restorations.tasks.models.day_book import DayBookEntry
from restorations.tasks.models.holdings import Holding
from restorations.tasks.models.jobs import CardOrder, JobCard, Restoration
from restorations.tasks.models.parts import ENDINGS, FixingSet, StrippedPart
from restorations.tasks.models.readings import Reading
from restorations.tasks.models.soaks import PUSHES, FreeingAttempt, Soak
from restorations.tasks.models.tags import TAG_KINDS, Tag
from restorations.tasks.models.wanted import Wanted

__all__ = [
    "CARRIES",
    "CLOSINGS",
    "ENDINGS",
    "FLOWS",
    "PUSHES",
    "TAG_KINDS",
    "Box",
    "CardOrder",
    "Connection",
    "DayBookEntry",
    "FixingSet",
    "FreeingAttempt",
    "Holding",
    "JobCard",
    "Reading",
    "Restoration",
    "Soak",
    "StrippedPart",
    "Tag",
    "Wanted",
]
