"""Asking for a go-ahead, a mentor's answer to it here or on the phone of whoever asks, taking it back."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from restorations.faults import services
from restorations.faults.access import Standing, require
from restorations.faults.asked import read_asked
from restorations.faults.go_ahead_forms import AskForm, ElbowForm, GoAheadForm, WithdrawForm
from restorations.faults.leave import Placed
from restorations.faults.models import FaultSheet, GoAhead
from restorations.faults.reviewers import who_stands_by
from restorations.faults.views.actions import show_action
from restorations.faults.views.common import after_change, change, sheet_for, show_sheet, status_of, step_for
from restorations.faults.views.desk import came_from, change_from
from restorations.faults.views.looking import knowledge_of
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.requests import sent
from restorations.members.services.short_codes import TooManyCodes
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm

NO_STEP = "This engine has no such step."
NOT_YOURS = "A go-ahead is given by a mentor, for boiler work by the inspector, and never by whoever asked for it."
MAY_ASK = "A go-ahead is asked for by the hands of the engine, its owner, or a mentor."


@require_POST
def ask(request: HttpRequest, pk: int) -> HttpResponse:
    sheet, standing = sheet_for(request, pk)
    require(standing.may_ask, MAY_ASK)
    form = AskForm(request.POST)
    if not form.is_valid():
        return show_sheet(request, sheet, standing, status=422, trouble=form.first_error)
    placed = _risky(sheet, form.cleaned_data["action"])
    if isinstance(placed, str):
        return show_sheet(request, sheet, standing, status=422, trouble=placed)
    services.ask_go_ahead(
        sheet=sheet, placed=placed, reason=form.cleaned_data["reason"], doing=Doing(standing.member, timezone.now()),
        mark=form.cleaned_data["submission"],
    )  # fmt: skip
    messages.success(
        request, "Asked. It waits on the desk of those who may say yes; go on with what needs no go-ahead."
    )
    return after_change(request, sheet, standing)


def _risky(sheet: FaultSheet, action: str) -> Placed | str:
    """The step, or why no go-ahead for it is asked."""
    expanded = knowledge_of(sheet)
    placed = expanded.checks.get(action) or expanded.remedies.get(action)
    if placed is None:
        return NO_STEP
    return placed if placed.entry.is_risky else "This step needs no go-ahead."


@sensitive_post_parameters("code")
@require_POST
def elbow(request: HttpRequest, pk: int) -> HttpResponse:
    """A mentor at the elbow gives it on this phone; what was typed is given back, save the six digits."""
    sheet, standing = sheet_for(request, pk)
    require(standing.may_ask, MAY_ASK)
    placed = _risky(sheet, request.POST.get("action", ""))
    if isinstance(placed, str):
        return show_sheet(request, sheet, standing, status=422, trouble=placed)
    mentors = who_stands_by(sheet.engine, placed.entry, standing.member, on=standing.on)
    form = ElbowForm(request.POST, mentors=mentors)
    status = 422
    if form.is_valid():
        try:
            _give(form, sheet, placed, standing)
        except TooManyCodes as failure:
            form.add_error(None, str(failure))
            status = 429
        except ValidationError as error:
            form.add_error(None, error)
            status = status_of(error)
        else:
            messages.success(request, f"{form.cleaned_data['mentor']} says yes. It is written down as theirs.")
            return go_to(request, reverse("faults:action", args=[sheet.pk, placed.id]))
    return show_action(request, sheet, standing, placed.id, elbow_form=form, status=status)


def _give(form: ElbowForm, sheet: FaultSheet, placed: Placed, standing: Standing) -> GoAhead:
    data = form.cleaned_data
    at_elbow = services.AtTheElbow(data["mentor"], data["code"], data["conditions"], form.ends)
    doing = Doing(standing.member, timezone.now())
    return services.give_at_the_elbow(sheet=sheet, placed=placed, elbow=at_elbow, doing=doing, mark=data["submission"])


@require_http_methods(["GET", "POST"])
def go_ahead(request: HttpRequest, pk: int) -> HttpResponse:
    """What was asked with everything a decision needs: yes with conditions, no with a reason, or a question first."""
    row, standing = _row_for(request, pk)
    may_answer, status = standing.may_answer(row), 200
    form = GoAheadForm(sent(request))
    if request.method == "POST":
        require(may_answer, NOT_YOURS)
        status = _answered(row, form, standing.member)
        if status == 200:
            messages.success(request, _said(form.cleaned_data["answer"], row))
            return go_to(request, came_from(request, row.sheet))
    return _shown(request, row, form if may_answer else None, status=status)


def _row_for(request: HttpRequest, pk: int) -> tuple[GoAhead, Standing]:
    related = ("sheet__engine", "sheet__configuration", "asked_by", "answered_by", "on_phone_of", "struck_by")
    row = GoAhead.objects.select_related(*related).filter(pk=pk).first()
    if row is None:
        raise Http404("no such go-ahead")
    _, standing = sheet_for(request, row.sheet_id)
    return row, standing


def _shown(request: HttpRequest, row: GoAhead, form: GoAheadForm | None, *, status: int) -> HttpResponse:
    """A form that came too late is shown with what was typed, beside the sheet as it is now."""
    (asked,) = read_asked([row], at=timezone.now())
    is_open = form is not None and (form.is_bound or row.is_waiting)
    context = {"asked": asked, "row": row, "sheet": row.sheet, "form": form if is_open else None}
    return answer(request, "faults/go_ahead.html", context, status=status)


def _said(said: str, row: GoAhead) -> str:
    return (
        f"Asked. {row.asked_by} is told; it still waits." if said == "asked" else f"Answered. {row.asked_by} is told."
    )


def _answered(row: GoAhead, form: GoAheadForm, member: Member) -> int:
    """How it went, as a status: 200, 409 where somebody was quicker, 422 where something is to be mended."""
    if not form.is_valid():
        return 422
    data, doing = form.cleaned_data, Doing(member, timezone.now())
    try:
        if data["answer"] == "asked":
            services.ask_about_go_ahead(go_ahead=row, words=data["conditions"], doing=doing, mark=data["submission"])
        else:
            decision = services.Decision(data["answer"], data["conditions"], form.ends, data["seen"])
            services.answer_go_ahead(go_ahead=row, decision=decision, doing=doing, mark=data["submission"])
    except ValidationError as error:
        form.add_error(None, error)
        return status_of(error)
    return 200


@require_http_methods(["GET", "POST"])
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Whoever asked withdraws it; a mentor takes back what was given."""
    row, standing = _row_for(request, pk)
    require(
        standing.may_withdraw(row), "Withdrawn by whoever asked, while it waits; taken back by whoever may give it."
    )
    form = WithdrawForm(sent(request))
    if request.method == "POST" and form.is_valid():
        doing, data = Doing(standing.member, timezone.now()), form.cleaned_data
        why, mark = data["reason"], data["submission"]
        return change(
            request, row.sheet, standing,
            lambda: services.withdraw_go_ahead(go_ahead=row, reason=why, doing=doing, mark=mark),
        )  # fmt: skip
    context = {"form": form, "row": row, "sheet": row.sheet}
    return answer(request, "faults/withdraw.html", context, status=422 if form.is_bound else 200)


@require_POST
def look(request: HttpRequest, pk: int) -> HttpResponse:
    """A mentor has looked at what was done without a go-ahead."""
    step, sheet, standing = step_for(request, pk)
    require(standing.may_look_at(step), "A mentor looks at it, and never whoever did it or wrote it down.")
    form = OnceForm(request.POST)
    if not form.is_valid():
        return show_sheet(request, sheet, standing, status=422, trouble=form.first_error)
    doing, mark = Doing(standing.member, timezone.now()), form.cleaned_data["submission"]
    return change_from(request, sheet, standing, lambda: services.look_at_step(step=step, doing=doing, mark=mark))
