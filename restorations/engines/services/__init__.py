"""What is done to engines: each in one transaction, written down as an act, and once per form sent."""

from restorations.engines.services.configuration import correct_configuration
from restorations.engines.services.history import answer_history, follow_general, note_past_work, strike_past_work
from restorations.engines.services.identity import change_engine, enter_engine
from restorations.engines.services.papers import record_certificate, record_consent, strike_certificate, strike_consent
from restorations.engines.services.people import add_hand, end_guest, end_hand, invite_guest

__all__ = [
    "add_hand",
    "answer_history",
    "change_engine",
    "correct_configuration",
    "end_guest",
    "end_hand",
    "enter_engine",
    "follow_general",
    "invite_guest",
    "note_past_work",
    "record_certificate",
    "record_consent",
    "strike_certificate",
    "strike_consent",
    "strike_past_work",
]
