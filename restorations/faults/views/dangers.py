"""What a sheet's page says before anything else: the state of the engine, dangers with their cards, other stops."""

from datetime import date
from typing import Any

from restorations.engines.services.emergency import card
from restorations.engines.state import state_of
from restorations.faults.danger import danger_notes
from restorations.faults.page import SheetPage


def danger_pieces(page: SheetPage, on: date) -> dict[str, Any]:
    """Context of _dangers; one query, and one for each card that has to be shown."""
    state = state_of(page.sheet.engine, on)
    notes = danger_notes(page.steps, page.expanded, state.stoppages)
    mine = {note.stoppage.pk for note in notes if note.stoppage is not None}
    wanted = list(dict.fromkeys(note.card for note in notes if note.card and note.is_now))
    return {
        "engine_state": state, "danger_notes": notes, "emergency_cards": [card(kind) for kind in wanted],
        "other_stops": [stop for stop in state.stoppages if stop.pk not in mine and stop.is_of_boiler],
    }  # fmt: skip
