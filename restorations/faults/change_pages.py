"""What the page of a proposed change shows: texts line by line, and what it would do to sheets a member may read."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.utils import timezone
from django.utils.dateparse import parse_datetime

from restorations.faults.club_knowledge import ClubKnowledge
from restorations.faults.effects import MOST_SHEETS, sheets_concerned
from restorations.faults.entry_diff import Line, changed_lines
from restorations.faults.knowledge_values import Changed, changed_values
from restorations.faults.models import FaultSheet, KnowledgeChange
from restorations.faults.services.knowledge_answers import overtaken
from restorations.faults.wording import as_fraction, likeliness
from restorations.knowledge import Knowledge
from restorations.knowledge.entry_text import entry_text, is_editable
from restorations.knowledge.files import KINDS
from restorations.knowledge.loader import shipped_files
from restorations.knowledge.overlay import EntryText
from restorations.knowledge.parsing import NotReadable, parse
from restorations.members.models import Member


@dataclass(frozen=True, slots=True)
class Part:
    """One entry of a change: the lines that go and come; and where it was overtaken, those that came meanwhile."""

    number: int
    entry: EntryText
    title: str
    values: list[Changed]
    lines: list[Line]
    meanwhile: list[Line] | None
    is_form: bool
    """Whether it can be edited as numbers and words."""


def titled(known: Knowledge, kind: str, entry: str) -> str:
    found = getattr(known, kind).get(entry) if kind in KINDS else None
    return found.title if found else entry.replace("_", " ").capitalize()


def parts_of(change: KnowledgeChange, now: ClubKnowledge) -> list[Part]:
    """An open change is held against what holds now, a decided one against what it was begun over."""
    old = {(row["kind"], row["id"]) for row in overtaken(change, now)} if change.is_open else set()
    parts = []
    for number, (row, entry) in enumerate(zip(change.entries, change.texts, strict=True)):
        standing = now.text_of(*entry.key) if change.is_open else row["before"]
        proposed = entry.text or entry_text(shipped_files(), *entry.key)
        parts.append(
            Part(
                number,
                entry,
                titled(now.knowledge, *entry.key),
                _values(entry, standing, proposed, now.knowledge),
                changed_lines(standing, proposed),
                changed_lines(row["before"], standing) if entry.key in old else None,
                is_editable(entry.text, entry.id),
            )
        )
    return parts


def _values(entry: EntryText, before: str, after: str, known: Knowledge) -> list[Changed]:
    """In words, where both can be read."""
    try:
        old, new = (parse(text).get(entry.id) for text in (before, after))
    except NotReadable:
        return []
    return changed_values(entry.kind, old, new, known) if isinstance(old, dict) and isinstance(new, dict) else []


@dataclass(frozen=True, slots=True)
class Suspected:
    name: str
    odds: str
    is_moved: bool


@dataclass(frozen=True, slots=True)
class Effect:
    """One open sheet: its leading suspicions before and after; or why there is nothing to compare."""

    sheet: FaultSheet
    before: Sequence[Suspected]
    after: Sequence[Suspected]
    problem: str
    is_same: bool


@dataclass(frozen=True, slots=True)
class Effects:
    """For one reader; `to_do` sheets were not worked out yet, `beyond` are older than those looked at."""

    at: datetime | None
    changed: Sequence[Effect]
    same: Sequence[Effect]
    to_do: int
    beyond: int

    @property
    def is_done(self) -> bool:
        return self.at is not None and not self.to_do


def effects_for(change: KnowledgeChange, member: Member, *, at: datetime) -> Effects:
    """What was worked out of the sheets this member may read; nothing is inferred here."""
    known: dict[str, Any] = change.effects.get("sheets", {})
    concerned = sheets_concerned(member, at=at)
    shown = [_effect(sheet, known[str(sheet.pk)]) for sheet in concerned if str(sheet.pk) in known]
    every = FaultSheet.objects.contents_visible_to(member, on=timezone.localdate(at)).still_open().count()
    return Effects(
        at=parse_datetime(change.effects["at"]) if change.effects else None,
        changed=[effect for effect in shown if not effect.is_same],
        same=[effect for effect in shown if effect.is_same],
        to_do=len(concerned) - len(shown),
        beyond=max(0, every - MOST_SHEETS),
    )


def _effect(sheet: FaultSheet, worked_out: dict[str, Any]) -> Effect:
    before, after = worked_out.get("before", []), worked_out.get("after", [])
    places = {name: place for place, (name, _) in enumerate(before)}
    is_same = not worked_out.get("problem") and [_said(pair) for pair in before] == [_said(pair) for pair in after]
    return Effect(
        sheet,
        [_suspected(pair, is_moved=False) for pair in before],
        [_suspected(pair, is_moved=places.get(pair[0]) != place) for place, pair in enumerate(after)],
        worked_out.get("problem", ""),
        is_same,
    )


def _said(pair: Sequence[Any]) -> tuple[str, str]:
    return pair[0], as_fraction(pair[1])


def _suspected(pair: Sequence[Any], *, is_moved: bool) -> Suspected:
    return Suspected(pair[0], f"{likeliness(pair[1])}, {as_fraction(pair[1])}", is_moved)
