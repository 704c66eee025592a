"""What the pages of cards, day book, readings and wanted list share."""

from datetime import datetime
from typing import Any

from django.core.paginator import Page, Paginator
from django.http import HttpRequest
from django.shortcuts import get_object_or_404
from django.utils import timezone

from restorations.engines.access import require
from restorations.engines.views.visits import Visit, visit
from restorations.members.doing import Doing


def row_and_visit(request: HttpRequest, rows: Any, pk: int) -> tuple[Any, Visit]:
    """A row that hangs on an engine, if its engine's contents may be seen; else as if it were not there."""
    row = get_object_or_404(rows.select_related("engine"), pk=pk)
    return row, visit(request, row.engine_id)


def doing_of(seen: Visit, at: datetime | None = None) -> Doing:
    """Whoever logs work: it stands at once for hands, owner and mentors, and waits for one of the hands otherwise."""
    stands = seen.may("log work")
    require(
        stands or seen.may("log work as a helper"),
        "Work on this engine is logged by its hands, its owner, mentors and members who help.",
    )
    return Doing(seen.member, at or timezone.now(), stands)


def require_plan(seen: Visit) -> None:
    require(
        seen.may("plan work"),
        "Cards, jobs and the wanted list are kept by the engine's hands, its owner and mentors. Tell one of them.",
    )


def page_of(request: HttpRequest, rows: Any, size: int = 40) -> Page[Any]:
    return Paginator(rows, size).get_page(request.GET.get("page"))


def may_strike(seen: Visit, row: Any) -> bool:
    """Whoever wrote the line, or a mentor."""
    own = row.recorded_by_id == seen.member.pk and seen.may("log work as a helper")
    return not row.is_struck and (own or seen.may("strike out another's entry"))


def said(stands: bool, words: str) -> str:
    """What the next page says; a helper learns what it waits for."""
    return words if stands else f"{words} It stands when one of the engine's hands accepts it."
