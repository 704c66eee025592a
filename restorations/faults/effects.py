"""What a change of the knowledge would do to open sheets: the leading suspicions before and after."""

from collections.abc import Sequence
from datetime import datetime
from time import monotonic
from typing import Any

from django.utils import timezone

from restorations.calc.diagnosis import ImpossibleEvidence, InvalidHistory, TooEntangled, posterior
from restorations.faults.knowing import in_force
from restorations.faults.learning import knowledge_with, rows_holding
from restorations.faults.models import FaultSheet, KnowledgeChange, Step
from restorations.faults.ranking import ENTANGLED, evidence_of, suspected_causes
from restorations.faults.services.sheets import knowledge_for
from restorations.knowledge import EngineKnowledge, Knowledge
from restorations.members.models import Member

MOST_SHEETS = 20
SECONDS = 4.0
SHOWN = 5
Leading = list[list[Any]]


def sheets_concerned(member: Member, *, at: datetime) -> list[FaultSheet]:
    """Open sheets this member may read, the newest first; older ones beyond the most are left out."""
    readable = FaultSheet.objects.contents_visible_to(member, on=timezone.localdate(at)).still_open()
    return list(readable.select_related("engine", "configuration")[:MOST_SHEETS])


def work_out(change: KnowledgeChange, candidate: Knowledge, member: Member, *, at: datetime) -> dict[str, Any]:
    """What was known already of this very change, and as many more sheets as there is time for.

    Nothing is locked or written meanwhile; the caller keeps the answer and asks again for the rest.
    """
    known = dict(change.effects.get("sheets", {})) if change.effects.get("of") == candidate.checksum else {}
    until = monotonic() + SECONDS
    for sheet in sheets_concerned(member, at=at):
        if str(sheet.pk) not in known:
            known[str(sheet.pk)] = _effect_on(sheet, candidate)
            if monotonic() > until:
                break
    return {"of": candidate.checksum, "at": at.isoformat(), "sheets": known}


def _effect_on(sheet: FaultSheet, candidate: Knowledge) -> dict[str, Any]:
    steps = list(sheet.steps.standing().in_order())
    then = knowledge_with(candidate, rows_holding(sheet.engine.design_id))
    before, after = (
        knowledge_for(knowledge, sheet.configuration, sheet.history) for knowledge in (in_force(sheet.engine), then)
    )
    if before.checksum == after.checksum:
        return {"same": True}
    try:
        return {"before": _leading(before, steps), "after": _leading(after, steps)}
    except TooEntangled:
        return {"problem": ENTANGLED}
    except (ImpossibleEvidence, InvalidHistory):
        return {"problem": "What was seen on this sheet contradicts itself; it has no ranking to compare."}


def _leading(expanded: EngineKnowledge, steps: Sequence[Step]) -> Leading:
    now = posterior(expanded.model, evidence_of(steps, expanded).events).now
    suspected = sorted(suspected_causes(steps, expanded), key=lambda cause: (-now[cause], cause))
    return [[expanded.causes[cause].name, round(float(now[cause]), 6)] for cause in suspected[:SHOWN]]
