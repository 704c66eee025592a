"""Forms of the engine pages."""

from restorations.engines.forms.configuration import ConfigurationForm
from restorations.engines.forms.history import HistoryForm, PastWorkForm, StrikeForm
from restorations.engines.forms.identity import IdentityForm, NewEngineForm, OwnerForm, SearchForm
from restorations.engines.forms.papers import CertificateForm, ConsentForm
from restorations.engines.forms.people import GuestForm, HandForm
from restorations.engines.forms.stoppages import DefectForm, LiftForm, NoteForm, OutOfTrafficForm, UpdateForm
from restorations.engines.forms.take_in import LaterFindingForm, SignForm, TakeInForm
from restorations.engines.forms.upkeep import DesignNoteForm, FasteningForm, OilPointForm

__all__ = [
    "CertificateForm",
    "ConfigurationForm",
    "ConsentForm",
    "DefectForm",
    "DesignNoteForm",
    "FasteningForm",
    "GuestForm",
    "HandForm",
    "HistoryForm",
    "IdentityForm",
    "LaterFindingForm",
    "LiftForm",
    "NewEngineForm",
    "NoteForm",
    "OilPointForm",
    "OutOfTrafficForm",
    "OwnerForm",
    "PastWorkForm",
    "SearchForm",
    "SignForm",
    "StrikeForm",
    "TakeInForm",
    "UpdateForm",
]
