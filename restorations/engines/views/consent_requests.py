"""The page on which an owner says yes or no to what cannot be undone."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from restorations.engines.access import require, speaks_for_owner
from restorations.engines.forms.consent_requests import ConsentAnswerForm
from restorations.engines.models import ConsentRequest
from restorations.engines.services import consent_requests as services
from restorations.engines.views.papers import CONSENT_REFUSED
from restorations.engines.views.visits import Visit, visit
from restorations.members.doing import Doing
from restorations.members.requests import sent
from restorations.web.answers import answer, go_to


@require_http_methods(["GET", "HEAD", "POST"])
def consent_asked(request: HttpRequest, pk: int, entry: int) -> HttpResponse:
    seen = visit(request, pk, papers=True)
    rows = seen.engine.consent_requests.select_related("asked_by", "answered_by")
    row = get_object_or_404(rows, pk=entry)
    speaks = speaks_for_owner(seen.engine, seen.places)
    owner = seen.member.full_name if seen.engine.owner_member_id else ""
    given_by = seen.member.full_name if seen.engine.owner_is_club else seen.engine.owner_name
    form = ConsentAnswerForm(sent(request), on=seen.on, owner=owner, initial={"given_by": given_by})
    status = 200
    if request.method == "POST":
        require(speaks, CONSENT_REFUSED)
        status = _answered(row, form, seen)
        if status == 200:
            messages.success(request, f"Answered. {row.asked_by} is told.")
            return go_to(request, reverse("engines:consents", args=[seen.engine.pk]))
    context = {
        "engine": seen.engine,
        "row": row,
        "form": form if speaks and (form.is_bound or not row.answer) else None,
    }
    return answer(request, "engines/consent_asked.html", context, status=status)


def _answered(row: ConsentRequest, form: ConsentAnswerForm, seen: Visit) -> int:
    """How it went, as a status."""
    if not form.is_valid():
        return 422
    data, doing = form.cleaned_data, Doing(seen.member, timezone.now())
    try:
        services.answer_owner(
            request=row, given=form.given(), words=data["words"], doing=doing, mark=data["submission"]
        )
    except ValidationError as error:
        form.add_error(None, error)
        return 409 if isinstance(error, services.AnsweredMeanwhile) else 422
    return 200
