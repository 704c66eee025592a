"""What every line here has in common: a helper's is accepted by one of the hands, a wrong one is struck out."""

from datetime import datetime
from typing import Any

from django.db import transaction

from restorations.members.models import Member
from restorations.members.models.records import record
from restorations.tasks.models import Connection, Soak, StrippedPart

ENDINGS_THAT_WAIT = ("ending_waits", "joining_waits")
# What a row reads that has not ended.
ENDINGS: dict[type, dict[str, Any]] = {
    StrippedPart: {
        "ended_at": None, "ended_by": None, "ending": "", "ending_reason": "", "consent": None, "ending_waits": False,
    },
    Connection: {"joined_at": None, "joined_by": None, "joining_waits": False},
    Soak: {"ended_at": None, "ended_by": None, "ending_waits": False},
}  # fmt: skip


@transaction.atomic
def accept(row: Any, *, member: Member, at: datetime) -> None:
    """One of the hands takes a helper's entry for true, with the ending that waits, if one does."""
    waiting: dict[str, Any] = {name: False for name in ENDINGS_THAT_WAIT if getattr(row, name, False)}
    if row.accepted_at is None:
        waiting |= {"accepted_at": at, "accepted_by": member}
    rows = type(row).objects.filter(pk=row.pk, struck_at__isnull=True)
    if waiting and rows.update(**waiting):
        row.refresh_from_db()
        record(member, "accepted an entry", row)


@transaction.atomic
def refuse_ending(row: Any, *, member: Member) -> None:
    """What a helper wrote up as over is not so: the part is still off, the pipe parted, the soak under way."""
    undone = ENDINGS[type(row)]
    waits = next(name for name in undone if name in ENDINGS_THAT_WAIT)
    before = {name: getattr(row, name) for name in undone if getattr(row, name) and name != waits}
    if type(row).objects.filter(pk=row.pk, struck_at__isnull=True, **{waits: True}).update(**undone):
        row.refresh_from_db()
        record(member, "did not accept an ending", row, before=before)


@transaction.atomic
def strike(row: Any, *, member: Member, reason: str, at: datetime) -> None:
    """Raises ValidationError where it is struck out already."""
    row.strike_out(member=member, reason=reason, at=at)
    record(member, "struck out a line", row, before={"line": str(row)}, after={"reason": reason})
