"""What is done to engines: each in one transaction, written down as an act, and once per form sent."""

from restorations.engines.services.configuration import correct_configuration
from restorations.engines.services.history import answer_history, follow_general, note_past_work, strike_past_work
from restorations.engines.services.identity import change_engine, enter_engine
from restorations.engines.services.papers import record_certificate, record_consent, strike_certificate, strike_consent
from restorations.engines.services.people import add_hand, end_guest, end_hand, invite_guest
from restorations.engines.services.stoppages import (
    AlreadyStopped,
    StopDraft,
    add_to_stop,
    end_stop,
    lift_stop,
    place_stop,
    stop_engine,
    strike_stop,
    update_stop,
)
from restorations.engines.services.take_in import (
    Signing,
    add_later_finding,
    sign_take_in,
    strike_later_finding,
    write_take_in,
)
from restorations.engines.services.upkeep import (
    add_design_note,
    add_upkeep_row,
    change_upkeep_row,
    strike_design_note,
    strike_upkeep_row,
)

__all__ = [
    "AlreadyStopped",
    "Signing",
    "StopDraft",
    "add_design_note",
    "add_hand",
    "add_later_finding",
    "add_to_stop",
    "add_upkeep_row",
    "answer_history",
    "change_engine",
    "change_upkeep_row",
    "correct_configuration",
    "end_guest",
    "end_hand",
    "end_stop",
    "enter_engine",
    "follow_general",
    "invite_guest",
    "lift_stop",
    "note_past_work",
    "place_stop",
    "record_certificate",
    "record_consent",
    "sign_take_in",
    "stop_engine",
    "strike_certificate",
    "strike_consent",
    "strike_design_note",
    "strike_later_finding",
    "strike_past_work",
    "strike_stop",
    "strike_upkeep_row",
    "update_stop",
    "write_take_in",
]
