from restorations.engines.models.configuration import EngineConfiguration
from restorations.engines.models.engine import Design, Engine, Guest, Hand
from restorations.engines.models.history import PastWork, SystemHistory
from restorations.engines.models.papers import Certificate, OwnerConsent

__all__ = [
    "Certificate",
    "Design",
    "Engine",
    "EngineConfiguration",
    "Guest",
    "Hand",
    "OwnerConsent",
    "PastWork",
    "SystemHistory",
]
