"""Proposing a change of the knowledge: begun over the entry as it is now, saved with what the loader says of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError

from restorations.faults.club_knowledge import ClubKnowledge, club
from restorations.faults.models import ClubEntry, KnowledgeChange
from restorations.knowledge.entry_text import as_club_record, is_editable, with_link
from restorations.knowledge.files import KINDS, is_lawful_id
from restorations.knowledge.overlay import EntryText
from restorations.knowledge.skeletons import skeleton
from restorations.knowledge.withdrawing import withdraw
from restorations.members.doing import Doing
from restorations.members.models.records import Submission, record, submit_once

ONE = {"causes": "cause", "findings": "finding", "checks": "check", "remedies": "remedy"}
MOST_TOGETHER = 40
PLAINLY = "laid out so that its values could not be changed later: write it as the files do"


@dataclass(frozen=True, slots=True)
class About:
    """What is to be done to which entry; a new one is filed under a system, a withdrawn one has an heir."""

    act: str
    kind: str
    entry: str
    system: str = ""
    heir: str = ""


def begin_change(*, about: About, doing: Doing, mark: UUID) -> KnowledgeChange:
    """A draft over the entry as it is now; who has one of it already goes on with that."""
    begun = KnowledgeChange.objects.drafts_of(doing.member).filter(kind=about.kind, entry=about.entry, act=about.act)
    known = begun.first()
    if known is not None:
        return known
    now = club()
    entries = _first_entries(about, now)
    change = KnowledgeChange(
        act=about.act, kind=about.kind, entry=about.entry, title=_title(about, now), begun_at=doing.at,
        proposed_by=doing.member, entries=[_row(entry, now) for entry in entries],
    )  # fmt: skip
    change.problems = problems_of(change.texts, now)

    def make() -> KnowledgeChange:
        change.save()
        record(doing.member, "began a change of the knowledge", change, after={"entry": about.entry})
        return change

    return submit_once(doing.member, mark, make)[0]


def _first_entries(about: About, now: ClubKnowledge) -> list[EntryText]:
    if about.kind not in KINDS:
        raise ValidationError(f"What is changed is one of {', '.join(ONE.values())}.")
    is_there = about.entry in getattr(now.knowledge, about.kind)
    if about.act == "new":
        return [_new(about, now)]
    if not is_there:
        raise ValidationError(f"There is no {ONE[about.kind]} “{about.entry}”.")
    if about.act == "withdraw":
        return _withdrawn(about, now)
    if about.act == "take_back":
        return _taken_back(about, now)
    return [_as_it_is(about.kind, about.entry, now)]


def _new(about: About, now: ClubKnowledge) -> EntryText:
    if not is_lawful_id(about.entry):
        raise ValidationError({"entry": "Small letters, digits and underscores, beginning with a letter: pump_dry."})
    taken = about.entry in getattr(now.knowledge, about.kind)
    if taken or ClubEntry.objects.filter(kind=about.kind, entry=about.entry).exists():
        raise ValidationError({"entry": f"“{about.entry}” is there already, or was: a name is never used again."})
    if about.system not in now.files.systems:
        raise ValidationError({"system": f"One of {', '.join(now.files.systems)}."})
    return EntryText(about.kind, about.system, about.entry, skeleton(about.kind, about.entry))


def _withdrawn(about: About, now: ClubKnowledge) -> list[EntryText]:
    heir = getattr(now.knowledge, about.kind).get(about.heir)
    if heir is None or not heir.is_in_use or about.heir == about.entry:
        raise ValidationError({"heir": f"Say which other {ONE[about.kind]} replaces it."})
    texts = {
        (kind, entry): now.text_of(kind, entry)
        for kind in KINDS
        for entry in getattr(now.knowledge, kind)
    }  # fmt: skip
    return withdraw(now.files, texts, about.kind, about.entry, about.heir)


def _taken_back(about: About, now: ClubKnowledge) -> list[EntryText]:
    """With what was accepted together with it and still holds: alone it might not hold together."""
    own = now.held.get((about.kind, about.entry))
    if own is None:
        raise ValidationError("Nothing of the club's own lies over this entry.")
    together = ClubEntry.objects.filter(change__accepted=own.row).values_list("pk", flat=True)
    rows = [other for other in now.held.values() if other.row in set(together)]
    return [EntryText(other.entry.kind, other.entry.system, other.entry.id, "") for other in rows]


def _as_it_is(kind: str, entry: str, now: ClubKnowledge) -> EntryText:
    system = getattr(now.knowledge, kind)[entry].system
    return EntryText(kind, system, entry, as_club_record(now.text_of(kind, entry), entry))


def _row(entry: EntryText, now: ClubKnowledge) -> dict[str, str]:
    return {
        "kind": entry.kind, "system": entry.system, "id": entry.id, "text": entry.text,
        "before": now.text_of(entry.kind, entry.id), "base": now.base_of(entry.kind, entry.id),
    }  # fmt: skip


def _title(about: About, now: ClubKnowledge) -> str:
    known = getattr(now.knowledge, about.kind).get(about.entry)
    return (known.title if known else about.entry.replace("_", " ").capitalize())[:200]


def problems_of(entries: list[EntryText], now: ClubKnowledge) -> list[dict[str, str]]:
    """Everything the loader finds wrong with the whole, by entry and field."""
    _, offenders = now.survey_with(entries)
    said = [
        {"kind": _kind(found.file), "id": found.id, "field": found.field, "expected": found.expected}
        for found in sorted(set(offenders))
    ]
    named = {row["id"] for row in said}
    odd = [entry for entry in entries if entry.text and entry.id not in named and not is_editable(entry.text, entry.id)]
    return said + [{"kind": entry.kind, "id": entry.id, "field": "", "expected": PLAINLY} for entry in odd]


def _kind(file: str) -> str:
    return file.rpartition("/")[2].removesuffix(".toml")


def made_before(doing: Doing, mark: UUID) -> KnowledgeChange | None:
    """What this very form made when it came first; by then much is no longer as it was when it was sent."""
    known = Submission.objects.filter(member=doing.member, mark=mark).first()
    return known.row if known else None


def require_own_draft(change: KnowledgeChange, doing: Doing) -> None:
    if change.proposed_by_id != doing.member.pk:
        raise PermissionDenied("A draft is written by whoever began it.")
    if change.state != "draft":
        raise ValidationError("This was sent: what the others read stays as it is. Begin another on top of it.")


def save_draft(
    *, change: KnowledgeChange, version: int, texts: Mapping[int, str], doing: Doing, mark: UUID
) -> KnowledgeChange:
    """Keep what was written, whatever is wrong with it, and what the loader said of it beside it."""
    entries = [{**row, "text": _tidy(texts[n]) if n in texts else row["text"]} for n, row in enumerate(change.entries)]
    return _rewrite(change, version, {"entries": entries}, doing, mark)


def _tidy(text: str) -> str:
    return text.replace("\r\n", "\n").strip() + "\n"


def bring_along(
    *, change: KnowledgeChange, version: int, key: tuple[str, str], doing: Doing, mark: UUID
) -> KnowledgeChange:
    """Change another entry in the same go; to a new cause's finding the cause is added."""
    now, (kind, entry) = club(), key
    if kind not in KINDS or entry not in getattr(now.knowledge, kind):
        raise ValidationError("There is no such entry.")
    if any((row["kind"], row["id"]) == (kind, entry) for row in change.entries):
        return change
    if len(change.entries) >= MOST_TOGETHER:
        raise ValidationError(f"At most {MOST_TOGETHER} entries change together.")
    added = _as_it_is(kind, entry, now)
    if (change.act, change.kind, kind) == ("new", "causes", "findings"):
        steps = len(now.knowledge.findings[entry].leak)
        text = with_link(added.text, entry, change.entry, [round(0.5 / 2**step, 3) for step in range(steps)])
        added = EntryText(kind, added.system, entry, text)
    return _rewrite(change, version, {"entries": [*change.entries, _row(added, now)]}, doing, mark)


def leave_out(*, change: KnowledgeChange, version: int, number: int, doing: Doing, mark: UUID) -> KnowledgeChange:
    """Leave an entry that came along as it is; the first one is what the change is about."""
    if not 0 < number < len(change.entries):
        raise ValidationError("Only what came along can be left out.")
    entries = [row for place, row in enumerate(change.entries) if place != number]
    return _rewrite(change, version, {"entries": entries}, doing, mark)


def _rewrite(
    change: KnowledgeChange, version: int, fields: dict[str, Any], doing: Doing, mark: UUID
) -> KnowledgeChange:
    require_own_draft(change, doing)
    texts = [EntryText(row["kind"], row["system"], row["id"], row["text"]) for row in
             fields.get("entries", change.entries)]  # fmt: skip
    problems = problems_of(texts, club())

    def make() -> KnowledgeChange:
        change.save_from(version, **fields, problems=problems, effects={})
        return change

    return submit_once(doing.member, mark, make)[0]
