"""What the views of a sheet share: the sheet with its access check, and its page or fragment."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from restorations.engines.access import require_here
from restorations.faults.access import Standing, standing_of, visible_sheet
from restorations.faults.finding_search import REGION_AT
from restorations.faults.forms import NoteForm
from restorations.faults.go_ahead_lines import permissions_on
from restorations.faults.models import FaultSheet, Step
from restorations.faults.page import SheetPage, read_page
from restorations.faults.services.go_aheads import Overtaken
from restorations.faults.services.sheets import is_repeat
from restorations.faults.services.steps import can_undo
from restorations.faults.views.dangers import danger_pieces
from restorations.members.models import Changed
from restorations.members.requests import signed_in
from restorations.tasks.services import tags_on
from restorations.web.answers import answer, go_to, wants_fragment
from restorations.web.fields import OnceForm

OWN_WORDS = ("note", "reason", "words", "regardless", "conditions", "question", "turn_degrees", "why_stopped")
BUSY = "Others are writing on this sheet at this moment. Nothing of yours was saved: send it again."


def sheet_for(request: HttpRequest, pk: int, *, even_closed: bool = False) -> tuple[FaultSheet, Standing]:
    """The sheet as far as it is theirs to see. A closed one takes no POST (SheetClosed), save what is said of its
    conclusion, and a form that was dealt with before."""
    member, on = signed_in(request), timezone.localdate()
    sheet = visible_sheet(member, pk, on)
    require_here(sheet.engine, request.method)
    standing = standing_of(member, sheet, on)
    if request.method == "POST" and standing.is_closed and not even_closed:
        if not was_dealt_with(request):
            sheet.require_open()
        return sheet, replace(standing, is_closed=False)
    return sheet, standing


def was_dealt_with(request: HttpRequest) -> bool:
    """Whether the form sent is one that was dealt with before: sent twice, or again from a queue."""
    form = OnceForm(request.POST)
    return form.is_valid() and is_repeat(signed_in(request), form.cleaned_data["submission"])


def step_for(request: HttpRequest, pk: int) -> tuple[Step, FaultSheet, Standing]:
    step = Step.objects.select_related("sheet").filter(pk=pk).first()
    if step is None:
        raise Http404("no such step")
    sheet, standing = sheet_for(request, step.sheet_id)
    return step, sheet, standing


def show_sheet(
    request: HttpRequest, sheet: FaultSheet, standing: Standing, *, status: int = 200, **extra: Any
) -> HttpResponse:
    """The sheet as a page, or as the fragment that takes its place."""
    now, standing = timezone.now(), replace(standing, is_closed=sheet.closed_at is not None)
    page = read_page(sheet, at=now, by=standing.member)
    side = shown_side(request, page)
    context = {
        "page": page, "sheet": sheet, "engine": sheet.engine, "standing": standing, "note_form": NoteForm(),
        "region_links": {} if standing.is_closed else region_links(sheet, side), "side": side,
        "rows": _rows(page, standing),
        "undo_step": _undoable(page, standing), "to_accept": _to_accept(page, standing),
        "permissions": permissions_on(page, standing, now), "tags": tags_on(sheet.engine),
        **danger_pieces(page, timezone.localdate(now)),
        # What was not saved is given back to whoever wrote it.
        "typed": request.POST if "trouble" in extra else {},
        "wrote": _wrote(request) if "trouble" in extra else [], **extra,
    }  # fmt: skip
    return answer(request, "faults/sheet.html", context, fragment="faults/_sheet.html", status=status)


def _wrote(request: HttpRequest) -> list[str]:
    """Every text of a form that was sent, whatever it was called."""
    return [text for name in OWN_WORDS for text in request.POST.getlist(name) if text.strip()]


def change(request: HttpRequest, sheet: FaultSheet, standing: Standing, act: Callable[[], object]) -> HttpResponse:
    """Do what was asked and show the sheet; what cannot be done is said on it, and nothing is half saved."""
    try:
        act()
    except Changed:
        return show_sheet(request, sheet, standing, status=409, trouble=BUSY)
    except ValidationError as error:
        return show_sheet(request, sheet, standing, status=status_of(error), trouble=" ".join(error.messages))
    return after_change(request, sheet, standing)


def status_of(error: ValidationError) -> int:
    """409 where somebody was quicker, 422 where something is to be mended."""
    return 409 if isinstance(error, Overtaken) else 422


def after_change(request: HttpRequest, sheet: FaultSheet, standing: Standing) -> HttpResponse:
    """After a POST: htmx gets the new sheet in place, a plain form is sent back to it."""
    htmx = getattr(request, "htmx", None)
    if htmx is not None and wants_fragment(request) and htmx.target == "sheet":
        fresh = FaultSheet.objects.select_related("engine", "opened_by", "configuration").get(pk=sheet.pk)
        return show_sheet(request, fresh, standing)
    return go_to(request, sheet.get_absolute_url())


def region_links(sheet: FaultSheet, side: str) -> dict[str, str]:
    """Where a tap on each region of the outline leads; the side is the one that is drawn."""
    address = reverse("faults:findings", args=[sheet.pk])
    return {region: f"{address}?region={region}&side={side}" for region in REGION_AT}


def shown_side(request: HttpRequest, page: SheetPage) -> str:
    """The side asked for, else the side of the first suspicion."""
    asked = request.GET.get("side", "")
    if asked in {"left", "right"}:
        return asked
    sides = [part for suspect in page.suspects for part in suspect.place.split(".") if part in {"left", "right"}]
    return sides[0] if sides else "left"


def _rows(page: SheetPage, standing: Standing) -> list[dict[str, Any]]:
    causes = page.expanded.causes
    return [
        {
            "step": step, "may_strike": not step.is_struck and standing.may_strike(step),
            "may_look": _to_look_at(step) and standing.may_look_at(step),
            "looked_for": causes[step.cause].name if step.cause in causes else "",
        }
        for step in page.steps
    ]  # fmt: skip


def _to_look_at(step: Any) -> bool:
    return step.without_go_ahead and step.looked_at is None and not step.is_struck


def _to_accept(page: SheetPage, standing: Standing) -> list[Any]:
    if not standing.may_accept:
        return []
    return [step for step in page.steps if not step.is_struck and not step.stands]


def _undoable(page: SheetPage, standing: Standing) -> Any:
    if standing.is_closed:
        return None
    mine = [step for step in page.steps if can_undo(step, standing.member)]
    return max(mine, key=lambda step: step.number) if mine else None
