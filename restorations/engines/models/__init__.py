from restorations.engines.models.configuration import EngineConfiguration
from restorations.engines.models.consent_request import ConsentRequest
from restorations.engines.models.design_notes import DesignNote
from restorations.engines.models.emergency import EmergencyCard, EmergencyNumber
from restorations.engines.models.engine import Design, Engine, Guest, Hand
from restorations.engines.models.history import PastWork, SystemHistory
from restorations.engines.models.lay_up import LayUp, LayUpCare, LayUpReminder
from restorations.engines.models.papers import Certificate, OwnerConsent
from restorations.engines.models.stoppage import Stoppage, StoppageNote
from restorations.engines.models.take_in import LaterFinding, TakeIn, TakeInSignature
from restorations.engines.models.upkeep import Fastening, OilPoint

__all__ = [
    "Certificate",
    "ConsentRequest",
    "Design",
    "DesignNote",
    "EmergencyCard",
    "EmergencyNumber",
    "Engine",
    "EngineConfiguration",
    "Fastening",
    "Guest",
    "Hand",
    "LaterFinding",
    "LayUp",
    "LayUpCare",
    "LayUpReminder",
    "OilPoint",
    "OwnerConsent",
    "PastWork",
    "Stoppage",
    "StoppageNote",
    "SystemHistory",
    "TakeIn",
    "TakeInSignature",
]
