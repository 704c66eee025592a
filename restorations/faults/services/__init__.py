from restorations.faults.services.go_aheads import Decision, answer_go_ahead, ask_go_ahead, look_at_step, unlooked
from restorations.faults.services.sheets import answer_history, change_state, open_sheet, rank_anew
from restorations.faults.services.steps import StepDraft, accept_step, record_step, strike_step, undo_step

__all__ = [
    "Decision",
    "StepDraft",
    "accept_step",
    "answer_go_ahead",
    "answer_history",
    "ask_go_ahead",
    "change_state",
    "look_at_step",
    "open_sheet",
    "rank_anew",
    "record_step",
    "strike_step",
    "undo_step",
    "unlooked",
]
