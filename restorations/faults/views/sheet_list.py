"""The fault sheets of the club: what is open, what waits for a sign-off, what is closed and how."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Paginator
from django.db.models import Prefetch, QuerySet
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from restorations.faults.models import Conclusion, FaultSheet
from restorations.members.requests import signed_in
from restorations.web.answers import answer
from restorations.web.tables_out import Table, taken_out

A_PAGE = 25
SHOWN = {"open": "Open", "waits": "Waits for a sign-off", "closed": "Closed"}
NOTHING = {
    "open": "No sheet is open. One is opened from the page of an engine.",
    "waits": "No closed sheet waits for a sign-off.",
    "closed": "No sheet is closed yet.",
}


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A sheet with the conclusion that holds or is proposed, if there is one."""

    sheet: FaultSheet
    conclusion: Conclusion | None

    @property
    def status(self) -> tuple[str, str]:
        """Shape and words."""
        if self.sheet.closed_at is None:
            return ("ask", "conclusion proposed") if self.conclusion else ("work", "open")
        if self.conclusion is not None and self.conclusion.signed_at is None:
            return "ask", "waits for a sign-off"
        return "rest", "closed"

    @property
    def found(self) -> str:
        """What it was, in a few words."""
        if self.conclusion is None:
            return ""
        return ", ".join(cause.name for cause in self.conclusion.the_causes) or str(self.conclusion)


TABLE = Table(
    "Fault sheets",
    (
        ("sheet", lambda row: row.sheet.pk),
        ("engine", lambda row: row.sheet.engine.name),
        ("what was wrong", lambda row: row.sheet.title),
        ("begun", lambda row: row.sheet.opened_at),
        ("by", lambda row: str(row.sheet.opened_by)),
        ("closed", lambda row: row.sheet.closed_at),
        ("state", lambda row: row.status[1]),
        ("what it was", lambda row: row.found),
    ),
)


@require_GET
def sheets(request: HttpRequest) -> HttpResponse:
    """Every sheet this member may read, by how it stands; as many queries however many there are."""
    shown = request.GET.get("show", "open")
    shown = shown if shown in SHOWN else "open"
    readable = FaultSheet.objects.contents_visible_to(signed_in(request), on=timezone.localdate())
    rows = _with_conclusions(_of_state(readable, shown))
    table = taken_out(request, TABLE, _rows(rows)) if request.GET else None
    if table is not None:
        return table
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "page": page, "rows": _rows(page), "shown": shown, "tabs": SHOWN.items(), "heading": SHOWN[shown],
        "nothing": NOTHING[shown], "waiting": readable.waiting_for_sign_off().count(),
    }  # fmt: skip
    return answer(request, "faults/sheets.html", context)


def _of_state(rows: Any, shown: str) -> QuerySet[FaultSheet]:
    states = {
        "open": rows.still_open(),
        "waits": rows.waiting_for_sign_off().order_by("closed_at", "pk"),
        "closed": rows.closed().order_by("-closed_at", "-pk"),
    }
    found: QuerySet[FaultSheet] = states[shown]
    return found


def _with_conclusions(rows: QuerySet[FaultSheet]) -> QuerySet[FaultSheet]:
    standing = Conclusion.objects.not_struck().filter(reopened_at__isnull=True).prefetch_related("causes")
    shown = Prefetch("conclusions", queryset=standing, to_attr="standing_conclusions")
    return rows.select_related("engine", "opened_by").prefetch_related(shown)


def _rows(sheets: Iterable[FaultSheet]) -> list[SheetRow]:
    return [SheetRow(sheet, next(iter(sheet.standing_conclusions), None)) for sheet in sheets]  # type: ignore[attr-defined]
