"""Asking the owner before something on a sheet is done that cannot be undone."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_POST

from restorations.engines.access import speaks_for_owner
from restorations.engines.models import ConsentRequest
from restorations.engines.services.consent_requests import WhatIsAsked, ask_owner
from restorations.faults.access import require
from restorations.faults.go_ahead_forms import AskForm
from restorations.faults.models import FaultSheet
from restorations.faults.views.common import after_change, sheet_for, show_sheet
from restorations.faults.views.looking import knowledge_of
from restorations.knowledge.engine import PlacedRemedy
from restorations.members.doing import Doing
from restorations.web.answers import go_to


@require_POST
def ask_for_consent(request: HttpRequest, pk: int) -> HttpResponse:
    """Whoever speaks for the owner is taken to the page where they answer; anybody else goes on with the sheet."""
    sheet, standing = sheet_for(request, pk)
    require(standing.may_ask, "The owner is asked by the hands of the engine, its owner, or a mentor.")
    form = AskForm(request.POST)
    if not form.is_valid():
        return show_sheet(request, sheet, standing, status=422, trouble=form.first_error)
    remedy = knowledge_of(sheet).remedies.get(form.cleaned_data["action"])
    if remedy is None or not remedy.entry.cannot_be_undone:
        return show_sheet(request, sheet, standing, status=422, trouble="This step needs no consent of the owner.")
    asked, mark = _in_words(sheet, remedy, form.cleaned_data["reason"]), form.cleaned_data["submission"]
    doing = Doing(standing.member, timezone.now())
    row: ConsentRequest = ask_owner(engine=sheet.engine, asked=asked, doing=doing, mark=mark)
    if speaks_for_owner(sheet.engine, standing.places):
        return go_to(request, row.get_absolute_url())
    messages.success(request, f"{sheet.engine.owner} is asked, and you are told of the answer.")
    return after_change(request, sheet, standing)


def _in_words(sheet: FaultSheet, remedy: PlacedRemedy, why: str) -> WhatIsAsked:
    """As the owner reads it: what is done, and what to take care of."""
    how = [remedy.said(remedy.entry.how), *(f"Care: {remedy.said(caution)}" for caution in remedy.entry.cautions)]
    return WhatIsAsked(remedy.id, remedy.name[:200], why, "\n".join(how)[:6000], sheet.get_absolute_url())
