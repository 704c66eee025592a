"""Acts on a proposed change: other entries along, its effect, sent, answered, let go, begun anew."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_POST

from restorations.faults.knowledge_forms import AnswerChangeForm, SendForm
from restorations.faults.models import KnowledgeChange
from restorations.faults.services import knowledge_answers as answers
from restorations.faults.services import knowledge_changes as services
from restorations.faults.views.knowledge_changes import ACCEPT, PROPOSE, own_change, own_draft, readable, show_change
from restorations.members.doing import Doing
from restorations.members.models import Changed
from restorations.members.permissions import require
from restorations.members.requests import signed_in
from restorations.web.answers import go_to
from restorations.web.conflicts import VersionedForm

BOTH_BELOW = "What it rests on was changed meanwhile: nothing was {}. Both are below."


def _do(request: HttpRequest, row: KnowledgeChange, act: Callable[..., KnowledgeChange], **typed: Any) -> HttpResponse:
    """Do what was asked; what cannot be done is said on the change's page with what was typed, nothing half done."""
    form, doing = VersionedForm(request.POST), Doing(signed_in(request), timezone.now())
    if not form.is_valid():
        return show_change(request, row, status=422, trouble=[form.first_error], **typed)
    data = form.cleaned_data
    try:
        done = act(change=row, version=data["version"], doing=doing, mark=data["submission"])
    except answers.Overtaken:
        return show_change(request, row, status=409, trouble=[BOTH_BELOW.format("sent")], **typed)
    except Changed:
        row.refresh_from_db()
        trouble = "It was saved in another window meanwhile. This is how it stands now."
        return show_change(request, row, status=409, trouble=[trouble], **typed)
    except ValidationError as error:
        row.refresh_from_db()
        return show_change(request, row, status=422, trouble=error.messages, **typed)
    return go_to(request, done.get_absolute_url())


@require_POST
def along(request: HttpRequest, pk: int) -> HttpResponse:
    """Change another entry in the same go."""
    key = (request.POST.get("kind", ""), request.POST.get("entry", ""))
    return _do(request, own_draft(request, pk), partial(services.bring_along, key=key))


@require_POST
def leave_out(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """Leave an entry that came along as it is."""
    return _do(request, own_draft(request, pk), partial(services.leave_out, number=number))


@require_POST
def work_out(request: HttpRequest, pk: int) -> HttpResponse:
    """What it would do to the open sheets one may read, a few seconds' worth at a time."""
    row = readable(request, pk)
    require(signed_in(request), PROPOSE)
    return _do(request, row, answers.work_out_effects)


@require_POST
def send(request: HttpRequest, pk: int) -> HttpResponse:
    """To the other mentors, with the reason."""
    row, form = own_change(request, pk), SendForm(request.POST)
    if not form.is_valid():
        return show_change(request, row, status=422, send_form=form, trouble=[form.first_error])
    reason = form.cleaned_data["reason"]
    return _do(request, row, partial(answers.send_change, reason=reason), send_form=form)


@require_POST
def let_go(request: HttpRequest, pk: int) -> HttpResponse:
    """By whoever proposed it, before it is answered."""
    return _do(request, own_change(request, pk), answers.let_go)


@require_POST
def anew(request: HttpRequest, pk: int) -> HttpResponse:
    """The same wish on top of what came meanwhile."""
    return _do(request, own_change(request, pk), answers.begin_anew)


@require_POST
def decide(request: HttpRequest, pk: int) -> HttpResponse:
    """Another mentor accepts or declines."""
    row, member = readable(request, pk), signed_in(request)
    require(member, ACCEPT)
    if row.proposed_by_id == member.pk:
        raise PermissionDenied("Nobody accepts a change of the knowledge that they proposed themselves.")
    form = AnswerChangeForm(request.POST)
    again = partial(show_change, request, row, form=form)
    if not form.is_valid():
        return again(status=422)
    data: dict[str, Any] = form.cleaned_data
    try:
        answers.answer_change(
            change=row, accepts=data["decision"] == "accepted", words=data["answer"],
            doing=Doing(member, timezone.now()), mark=data["submission"],
        )  # fmt: skip
    except answers.Overtaken:
        return again(status=409, trouble=[BOTH_BELOW.format("accepted")])
    except Changed:
        return again(status=409, trouble=["Others are changing the knowledge at this moment. Answer again."])
    except ValidationError as error:
        return again(status=422, trouble=error.messages)
    messages.success(request, f"{row.get_state_display().capitalize()}. {row.proposed_by} is told.")
    return go_to(request, row.get_absolute_url())
