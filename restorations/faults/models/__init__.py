from restorations.faults.models.conclusion import Conclusion, ConfirmedCause, SignOff
from restorations.faults.models.go_ahead import GoAhead, Question
from restorations.faults.models.knowledge_change import ClubEntry, KnowledgeChange
from restorations.faults.models.learned import LearnedRates, SheetScore, StoredEvidence
from restorations.faults.models.sheet import FaultSheet, SheetClosed
from restorations.faults.models.snapshot import ExpandedModel, Snapshot
from restorations.faults.models.standing import StandingGoAhead
from restorations.faults.models.step import Step

__all__ = [
    "ClubEntry",
    "Conclusion",
    "ConfirmedCause",
    "ExpandedModel",
    "FaultSheet",
    "GoAhead",
    "KnowledgeChange",
    "LearnedRates",
    "Question",
    "SheetClosed",
    "SheetScore",
    "SignOff",
    "Snapshot",
    "StandingGoAhead",
    "Step",
    "StoredEvidence",
]
