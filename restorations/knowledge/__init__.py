"""What the club knows of engines: data with provenance, its loader, and its expansion for one engine.

Here belong the knowledge files, what reads and checks them, and what makes of them the causes, findings, checks,
remedies, parts and gates of one engine. Not here: inference (`restorations.calc.diagnosis`), anything that is stored.
"""

from restorations.knowledge.configuration import CHOICES, LABELS, Configuration, InvalidConfiguration
from restorations.knowledge.engine import EngineKnowledge, UnknownCondition, UnknownEntry
from restorations.knowledge.expansion import UNLISTED, expand
from restorations.knowledge.facts import EngineFacts, InvalidFacts
from restorations.knowledge.gates import Gate
from restorations.knowledge.history import (
    History,
    HistoryAnswers,
    InvalidHistoryAnswers,
    class_shares,
    history_class,
)
from restorations.knowledge.loader import Knowledge, load, read
from restorations.knowledge.places import AT, Place, placed_id, split_id
from restorations.knowledge.prices import Prices
from restorations.knowledge.tables import KnowledgeError, Offender
from restorations.knowledge.wording import in_words

__all__ = [
    "AT",
    "CHOICES",
    "LABELS",
    "UNLISTED",
    "Configuration",
    "EngineFacts",
    "EngineKnowledge",
    "Gate",
    "History",
    "HistoryAnswers",
    "InvalidConfiguration",
    "InvalidFacts",
    "InvalidHistoryAnswers",
    "Knowledge",
    "KnowledgeError",
    "Offender",
    "Place",
    "Prices",
    "UnknownCondition",
    "UnknownEntry",
    "class_shares",
    "expand",
    "history_class",
    "in_words",
    "load",
    "placed_id",
    "read",
    "split_id",
]
