"""What stands on a member's bench today, read from stored rankings; the number of queries does not grow."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import OuterRef, QuerySet, Subquery

from restorations.engines.models import Engine
from restorations.faults.models import FaultSheet, GoAhead, Snapshot, Step
from restorations.faults.services.sheets import stored_knowledge
from restorations.members.models import Member
from restorations.tasks.models import Soak, StrippedPart

MOST = 20


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One open sheet and what its ranking would do next."""

    sheet: FaultSheet
    next_step: str


@dataclass(frozen=True, slots=True)
class Bench:
    sheets: Sequence[SheetLine]
    to_answer: Sequence[GoAhead]
    asked: Sequence[GoAhead]
    to_accept: Sequence[Step]
    soaks: Sequence[Soak]
    parts: Sequence[StrippedPart]
    engines: Sequence[Engine]


def my_bench(member: Member, *, at: datetime) -> Bench:
    on = at.date()
    mine = Engine.objects.with_hands(member, on=on)
    readable = FaultSheet.objects.contents_visible_to(member, on=on).still_open()
    waiting = GoAhead.objects.select_related("sheet__engine", "asked_by", "answered_by")
    return Bench(
        sheets=_lines(readable.filter(engine__in=mine)),
        to_answer=_to_answer(waiting.waiting().filter(sheet__in=readable), member),
        asked=list(waiting.filter(asked_by=member, sheet__in=readable).order_by("-asked_at")[:MOST]),
        to_accept=list(
            Step.objects.waiting().filter(sheet__engine__in=mine).select_related("sheet__engine", "recorded_by")[:MOST]
        ),
        soaks=list(Soak.objects.under_way().filter(engine__in=mine).select_related("engine").order_by("due_at")[:MOST]),
        parts=list(StrippedPart.objects.off().filter(off_by=member).select_related("engine")[:MOST]),
        engines=list(mine[:MOST]),
    )


def _to_answer(rows: QuerySet[GoAhead], member: Member) -> list[GoAhead]:
    """A mentor's: the oldest first, never their own."""
    if not member.is_mentor:
        return []
    return [row for row in rows if row.asked_by_id != member.pk][:MOST]


def _lines(sheets: QuerySet[FaultSheet]) -> list[SheetLine]:
    newest = Snapshot.objects.filter(sheet=OuterRef("pk")).order_by("-pk")
    rows = list(sheets.select_related("engine").annotate(newest=Subquery(newest.values("pk")[:1]))[:MOST])
    snapshots = Snapshot.objects.select_related("model").in_bulk([row.newest for row in rows if row.newest])
    return [SheetLine(row, _next_step(snapshots.get(row.newest))) for row in rows]


def _next_step(snapshot: Snapshot | None) -> str:
    """The first advice that no gate held up when it was worked out."""
    if snapshot is None or not snapshot.advice:
        return ""
    expanded = stored_knowledge(snapshot.model.checksum)
    for row in snapshot.advice:
        placed = expanded.checks.get(row["action"]) or expanded.remedies.get(row["action"])
        if placed is not None and not row["gate"]:
            return placed.name
    return ""
