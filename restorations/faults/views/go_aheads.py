"""Asking for a go-ahead, and the page on which a mentor answers it."""

from datetime import datetime, time, timedelta

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.faults import services
from restorations.faults.access import require
from restorations.faults.forms import AskForm, GoAheadForm
from restorations.faults.models import GoAhead
from restorations.faults.page import read_page
from restorations.faults.views.common import after_change, change, sheet_for, show_sheet, step_for
from restorations.faults.views.looking import knowledge_of
from restorations.faults.wording import RISK_TO_PEOPLE, RISK_TO_THE_ENGINE, minutes_in_words
from restorations.knowledge.engine import PlacedCheck, PlacedRemedy
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.requests import sent
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm

HOLDS = timedelta(days=14)


@require_POST
def ask(request: HttpRequest, pk: int) -> HttpResponse:
    sheet, standing = sheet_for(request, pk)
    require(standing.may_ask, "A go-ahead is asked for by the hands of the engine, its owner, or a mentor.")
    form = AskForm(request.POST)
    if not form.is_valid():
        return show_sheet(request, sheet, standing, status=422, trouble=form.first_error)
    expanded, wanted = knowledge_of(sheet), form.cleaned_data["action"]
    placed = expanded.checks.get(wanted) or expanded.remedies.get(wanted)
    if placed is None or not placed.entry.is_risky:
        trouble = "This step needs no go-ahead." if placed else "This engine has no such step."
        return show_sheet(request, sheet, standing, status=422, trouble=trouble)
    services.ask_go_ahead(
        sheet=sheet, placed=placed, reason=form.cleaned_data["reason"], doing=Doing(standing.member, timezone.now()),
        mark=form.cleaned_data["submission"],
    )  # fmt: skip
    messages.success(request, "Asked. Mentors find it on their bench; go on with what needs no go-ahead.")
    return after_change(request, sheet, standing)


@require_http_methods(["GET", "POST"])
def go_ahead(request: HttpRequest, pk: int) -> HttpResponse:
    """What was asked, the sheet so far, the procedure with its cautions; yes with conditions, or no with a reason."""
    row = GoAhead.objects.select_related("sheet", "asked_by", "answered_by").filter(pk=pk).first()
    if row is None:
        raise Http404("no such go-ahead")
    sheet, standing = sheet_for(request, row.sheet_id)
    expanded = knowledge_of(sheet)
    placed = expanded.checks.get(row.action) or expanded.remedies.get(row.action)
    may_answer = standing.may_answer(row)
    form = GoAheadForm(sent(request))
    if request.method == "POST":
        require(may_answer, "A go-ahead is given by a mentor, and never by whoever asked for it.")
        if form.is_valid() and _answered(row, form, standing.member):
            messages.success(request, f"Answered. {row.asked_by} is told.")
            return go_to(request, sheet.get_absolute_url())
    context = {
        **_how(placed), "row": row, "sheet": sheet, "placed": placed, "form": form,
        "page": read_page(sheet, at=timezone.now()),
        "may_answer": may_answer and (form.is_bound or row.answer == ""),
    }  # fmt: skip
    return answer(request, "faults/go_ahead.html", context, status=422 if form.is_bound else 200)


@require_POST
def look(request: HttpRequest, pk: int) -> HttpResponse:
    """A mentor has looked at what was done without a go-ahead."""
    step, sheet, standing = step_for(request, pk)
    require(standing.may_look_at(step), "A mentor looks at it, and never whoever did it or wrote it down.")
    form = OnceForm(request.POST)
    if not form.is_valid():
        return show_sheet(request, sheet, standing, status=422, trouble=form.first_error)
    doing, mark = Doing(standing.member, timezone.now()), form.cleaned_data["submission"]
    return change(request, sheet, standing, lambda: services.look_at_step(step=step, doing=doing, mark=mark))


def _how(placed: PlacedCheck | PlacedRemedy | None) -> dict[str, str]:
    """How it is done and what it can do, in words; nothing where the engine was corrected and has no such step."""
    if placed is None:
        return {}
    entry = placed.entry
    return {
        "how": placed.said(entry.how), "minutes": minutes_in_words(entry.minutes),
        "risk_engine": RISK_TO_THE_ENGINE[entry.risk_engine], "risk_person": RISK_TO_PEOPLE[entry.risk_person],
    }  # fmt: skip


def _answered(row: GoAhead, form: GoAheadForm, member: Member) -> bool:
    data, now = form.cleaned_data, timezone.now()
    until = timezone.make_aware(datetime.combine(data["until"], time.max)) if data["until"] else now + HOLDS
    try:
        services.answer_go_ahead(
            go_ahead=row, decision=services.Decision(data["answer"], data["conditions"], until),
            doing=Doing(member, now), mark=data["submission"],
        )  # fmt: skip
    except ValidationError as error:
        form.add_error(None, error)
        return False
    return True
