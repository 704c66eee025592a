"""What the club changed of the knowledge: one entry of its own that holds, and one that waits for the other mentor."""

from uuid import uuid4

from restorations.faults.models import KnowledgeChange
from restorations.faults.services import knowledge_answers as answers
from restorations.faults.services import knowledge_changes as changes
from restorations.home.demo.teller import Teller
from restorations.knowledge.entry_text import with_values


def accept_one(teller: Teller) -> None:
    """Before any sheet is open: the oil checks of this club stick oftener than the files say."""
    change = _proposed(
        teller, "mentor2", 70, ("causes", "oil_check_valve_stuck_shut"), 0.12,
        "Four of the nine lubricators we have opened since spring had a stuck ball, all after two winters or more.",
    )  # fmt: skip
    answers.answer_change(
        change=change,
        accepts=True,
        words="I opened two of them. Agreed.",
        doing=teller.doing("mentor", 66),
        mark=uuid4(),
    )


def propose_one(teller: Teller) -> None:
    """With Pipit's sheet open: what it would do there is seen before it is answered."""
    _proposed(
        teller, "mentor", 2, ("causes", "piston_rod_rusted_in_gland"), 0.05,
        "Pipit is the third with plain steel rods in the damp shed. It is not as seldom here as the files have it.",
    )  # fmt: skip


def _proposed(
    teller: Teller, who: str, days_ago: float, key: tuple[str, str], rate: float, reason: str
) -> KnowledgeChange:
    doing, about = teller.doing(who, days_ago), changes.About("change", *key)
    change = changes.begin_change(about=about, doing=doing, mark=uuid4())
    text = with_values(change.texts[0].text, key[1], {("rate", "idle_for_years"): rate})
    changes.save_draft(change=change, version=change.version, texts={0: text}, doing=doing, mark=uuid4())
    answers.work_out_effects(change=change, version=change.version, doing=doing, mark=uuid4())
    change.refresh_from_db()
    return answers.send_change(change=change, version=change.version, reason=reason, doing=doing, mark=uuid4())
