"""The club's working sessions: seen by every member, set by the secretary or the administrator."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines.forms import StrikeForm
from restorations.engines.views.visits import lines, strike_ids, try_once
from restorations.members.doing import Doing
from restorations.members.models import Act
from restorations.members.permissions import may, require
from restorations.members.requests import NOT_TRIED, Tried, signed_in, try_saving
from restorations.traffic.forms.working import ClosingForm, PatternForm
from restorations.traffic.models import ClosedSpell, WorkingPattern
from restorations.traffic.services import working as services
from restorations.web.answers import answer, go_to

ACT = "set the working sessions"


@require_http_methods(["GET", "HEAD", "POST"])
def working_sessions(request: HttpRequest) -> HttpResponse:
    if request.method != "POST":
        return _shown(request)
    member = signed_in(request)
    require(member, ACT)
    form = PatternForm(request.POST)

    def save() -> None:
        data = form.cleaned_data
        services.set_pattern(
            sessions=form.sessions(), inspector_days=data["inspector_days"], member=member, version=data["version"],
            mark=data["submission"],
        )  # fmt: skip

    tried = try_saving(form, save)
    if not tried.saved:
        return _shown(request, form=form, tried=tried)
    messages.success(request, "Saved. Forecasts made from now on go by it.")
    return go_to(request, reverse("traffic:working_sessions"))


@require_POST
def close_shop(request: HttpRequest) -> HttpResponse:
    member = signed_in(request)
    require(member, ACT)
    form = ClosingForm(request.POST, today=timezone.localdate(), auto_id="id_shut_%s")
    saved = try_once(
        form,
        lambda: services.close_shop(
            first_on=form.cleaned_data["first_on"], last_on=form.cleaned_data["last_on"], why=form.cleaned_data["why"],
            doing=Doing(member, timezone.now()), mark=form.cleaned_data["submission"],
        ),
    )  # fmt: skip
    if not saved:
        return _shown(request, closing=form, status=422)
    messages.success(request, "Written down.")
    return go_to(request, reverse("traffic:working_sessions"))


@require_POST
def strike_closing(request: HttpRequest, pk: int) -> HttpResponse:
    member, spell = signed_in(request), get_object_or_404(ClosedSpell, pk=pk)
    require(member, ACT)
    form = StrikeForm(request.POST, auto_id=strike_ids(pk))
    doing = Doing(member, timezone.now())
    saved = try_once(
        form,
        lambda: services.strike_closing(
            spell=spell, reason=form.cleaned_data["reason"], doing=doing, mark=form.cleaned_data["submission"]
        ),
    )
    if not saved:
        return _shown(request, strike=(pk, form), status=422)
    messages.success(request, "Struck out: the shop is open then.")
    return go_to(request, reverse("traffic:working_sessions"))


def _shown(
    request: HttpRequest, *, form: PatternForm | None = None, tried: Tried = NOT_TRIED,
    closing: ClosingForm | None = None, strike: Any = None, status: int = 200,
) -> HttpResponse:  # fmt: skip
    pattern, today, sets = WorkingPattern.current(), timezone.localdate(), may(signed_in(request), ACT)
    differences = tried.differences
    if differences is not None and form is not None:
        differences = [*differences, form.difference(pattern)]
    spells = ClosedSpell.objects.filter(last_on__gte=today).select_related("struck_by")
    context = {
        "pattern": pattern,
        "sessions": list(pattern.sessions.all()),
        "sets": sets,
        "form": form or PatternForm(initial=PatternForm.said_of(pattern)),
        "differences": differences,
        "spells": lines(spells, may_strike=lambda row: sets, tried=strike),
        "closing": closing or ClosingForm(today=today, auto_id="id_shut_%s"),
        "acts": Act.objects.about(pattern).select_related("member")[:20] if sets else None,
    }
    return answer(request, "traffic/working_sessions.html", context, status=max(status, tried.status))
