from restorations.faults.services.conclusions import (
    OWN_WORK,
    close_sheet,
    propose_conclusion,
    reopen_sheet,
    sign_off,
    withdraw_proposal,
)
from restorations.faults.services.go_aheads import (
    AtTheElbow,
    Decision,
    Overtaken,
    answer_go_ahead,
    ask_go_ahead,
    give_at_the_elbow,
    look_at_step,
    unlooked,
    withdraw_go_ahead,
)
from restorations.faults.services.questions import answer_question, ask_about_go_ahead, ask_mentors
from restorations.faults.services.sheets import answer_history, change_state, open_sheet, rank_anew
from restorations.faults.services.standing import StandingDraft, give_standing, revoke_standing
from restorations.faults.services.steps import StepDraft, accept_step, record_step, strike_step, undo_step

__all__ = [
    "OWN_WORK",
    "AtTheElbow",
    "Decision",
    "Overtaken",
    "StandingDraft",
    "StepDraft",
    "accept_step",
    "answer_go_ahead",
    "answer_history",
    "answer_question",
    "ask_about_go_ahead",
    "ask_go_ahead",
    "ask_mentors",
    "change_state",
    "close_sheet",
    "give_at_the_elbow",
    "give_standing",
    "look_at_step",
    "open_sheet",
    "propose_conclusion",
    "rank_anew",
    "record_step",
    "reopen_sheet",
    "revoke_standing",
    "sign_off",
    "strike_step",
    "undo_step",
    "unlooked",
    "withdraw_go_ahead",
    "withdraw_proposal",
]
