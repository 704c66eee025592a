"""What the next pair of hands must know when an engine is left for tonight."""

from datetime import datetime
from typing import Any

from django.utils import timezone

from restorations.engines.models import Engine
from restorations.faults.models import GoAhead
from restorations.home.next_checks import read_open_sheets
from restorations.home.off_now import off_now
from restorations.members.models import Member


def tonight_page(engine: Engine, *, at: datetime) -> dict[str, Any]:
    allowed = GoAhead.objects.filter(sheet__engine=engine, sheet__closed_at__isnull=True)
    sheets = read_open_sheets(engine, at=at)
    lapsed = {pk for reading in sheets for pk in reading.page.leave.lapsed}
    return {
        "engine": engine,
        "off": off_now(engine),
        "given": list(allowed.in_force(at).exclude(pk__in=lapsed).select_related("asked_by", "answered_by")),
        "asked": list(allowed.waiting().select_related("asked_by")),
        "sheets": sheets,
        "hands": [hand.member for hand in engine.hands.current(timezone.localdate(at)).select_related("member")],
        "mentors": list(Member.objects.mentors()),
        "at": at,
    }
