"""Forms of the engine pages."""

from restorations.engines.forms.configuration import ConfigurationForm
from restorations.engines.forms.history import HistoryForm, PastWorkForm, StrikeForm
from restorations.engines.forms.identity import IdentityForm, NewEngineForm, OwnerForm, SearchForm
from restorations.engines.forms.papers import CertificateForm, ConsentForm
from restorations.engines.forms.people import GuestForm, HandForm

__all__ = [
    "CertificateForm",
    "ConfigurationForm",
    "ConsentForm",
    "GuestForm",
    "HandForm",
    "HistoryForm",
    "IdentityForm",
    "NewEngineForm",
    "OwnerForm",
    "PastWorkForm",
    "SearchForm",
    "StrikeForm",
]
