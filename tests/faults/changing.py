"""Changes of the knowledge, for tests: drafted, waiting or accepted, with as little worked out as can be."""

from collections.abc import Mapping
from typing import Any
from uuid import uuid4

from restorations.faults.club_knowledge import club
from restorations.faults.models import KnowledgeChange
from restorations.faults.services.knowledge_answers import answer_change
from restorations.faults.services.knowledge_changes import ONE
from restorations.knowledge.entry_text import Path, as_club_record, with_values
from restorations.members.doing import Doing
from restorations.members.models import Member
from tests.factories import NOON

PACKING = ("causes", "piston_packing_hard")
COMMON: Mapping[Path, Any] = {("rate", "idle_for_years"): 0.6}
WHY = "Five of our seven engines had it."


def text_with(kind: str, entry: str, values: Mapping[Path, Any]) -> str:
    """An entry as it holds now, as the club's own with these values."""
    return with_values(as_club_record(club().text_of(kind, entry), entry), entry, values)


def change_of(
    by: Member, *, key: tuple[str, str] = PACKING, values: Mapping[Path, Any] = COMMON, **fields: Any
) -> KnowledgeChange:
    """A change that waits, unless told otherwise, of one value in one entry."""
    (kind, entry), now = key, club()
    row = {
        "kind": kind, "system": getattr(now.knowledge, kind)[entry].system, "id": entry,
        "text": text_with(kind, entry, values), "before": now.text_of(kind, entry), "base": now.base_of(kind, entry),
    }  # fmt: skip
    plain = {"act": "change", "title": f"{ONE[kind]} {entry}", "reason": WHY, "state": "waits", "entries": [row]}
    return KnowledgeChange.objects.create(**{**plain, "proposed_by": by, "kind": kind, "entry": entry, **fields})


def accepted(by: Member, other: Member, **fields: Any) -> KnowledgeChange:
    return accept(change_of(by, **fields), other)


def accept(change: KnowledgeChange, other: Member) -> KnowledgeChange:
    return answer_change(change=change, accepts=True, words="", doing=Doing(other, NOON), mark=uuid4())
