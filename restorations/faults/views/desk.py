"""The desk of whoever gives go-aheads, and where a decision made from it leads back to."""

from collections.abc import Callable
from typing import Any

from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET

from restorations.faults.access import Standing, require
from restorations.faults.asked import Asked, read_asked
from restorations.faults.desk import MOST, Desk
from restorations.faults.go_ahead_forms import GoAheadForm, ReplyForm
from restorations.faults.go_ahead_lines import QuestionLine
from restorations.faults.models import FaultSheet
from restorations.faults.views.common import change, status_of
from restorations.members.requests import signed_in
from restorations.web.answers import answer, go_to

A_PAGE = 5
DESK = "desk"
NOT_YOURS = "The desk is for those who give go-aheads: mentors, inspectors for boiler work, a competent person."


@require_GET
def desk(request: HttpRequest) -> HttpResponse:
    return show_desk(request)


def show_desk(request: HttpRequest, *, status: int = 200, trouble: str = "") -> HttpResponse:
    """Everything that waits, in one order that the page explains."""
    now = timezone.now()
    mine = Desk.of(signed_in(request), at=now)
    require(mine.is_theirs, NOT_YOURS)
    page = Paginator(mine.requests(), A_PAGE).get_page(request.GET.get("page"))
    looks, questions = mine.looks(), mine.questions()
    context = {
        "page": page, "asked": [_with_form(asked) for asked in read_asked(list(page.object_list), at=now)],
        "looks": looks[:MOST], "more_looks": max(0, looks.count() - MOST),
        "questions": [QuestionLine(row, ReplyForm(auto_id=f"id_reply_{row.pk}_%s")) for row in questions[:MOST]],
        "to_close": mine.to_close()[:MOST], "to_sign": mine.to_sign()[:MOST],
        "standing_go_aheads": mine.standing(), "trouble": trouble, "desk": mine,
    }  # fmt: skip
    return answer(request, "faults/desk.html", context, status=status)


def _with_form(asked: Asked) -> dict[str, Any]:
    form = GoAheadForm(initial={"seen": asked.seen}, auto_id=f"id_{asked.row.pk}_%s")
    return {"asked": asked, "form": form}


def came_from(request: HttpRequest, sheet: FaultSheet) -> str:
    """Where to go after a decision: the desk it was made at, else the sheet."""
    return reverse("faults:desk") if request.POST.get("back") == DESK else sheet.get_absolute_url()


def change_from(request: HttpRequest, sheet: FaultSheet, standing: Standing, act: Callable[[], object]) -> HttpResponse:
    """Do what was asked and show the page it was asked on; what cannot be done is said there."""
    if request.POST.get("back") != DESK:
        return change(request, sheet, standing, act)
    try:
        act()
    except ValidationError as error:
        return show_desk(request, status=status_of(error), trouble=" ".join(error.messages))
    return go_to(request, reverse("faults:desk"))
