"""Writing down that a go-ahead has lapsed: pages only work it out, what is sent keeps it."""

from datetime import datetime

from restorations.faults.leave import Leave
from restorations.faults.models import GoAhead


def note_lapses(leave: Leave, *, at: datetime) -> None:
    """Call inside a transaction. What has lapsed stays lapsed, though what turned may turn back."""
    for row in GoAhead.objects.in_force(at).filter(pk__in=leave.lapsed):
        GoAhead.objects.filter(pk=row.pk).update(lapsed_at=at, lapsed_why=leave.lapsed[row.pk][:400])
