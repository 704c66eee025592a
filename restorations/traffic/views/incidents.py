"""Incidents and near misses: reporting, reading, adding a correction."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from restorations.engines.models import Engine
from restorations.members.permissions import require
from restorations.members.requests import sent, signed_in, try_once
from restorations.traffic.forms.running import IncidentForm, IncidentNoteForm
from restorations.traffic.models import Incident, RunningDay
from restorations.traffic.services import incidents as services
from restorations.traffic.views.running import doing_now
from restorations.web.answers import answer, go_to
from restorations.web.tables_out import Table, taken_out

A_PAGE = 50


@require_safe
def incidents(request: HttpRequest) -> HttpResponse:
    """Those this member may read, the latest first."""
    member, on = signed_in(request), timezone.localdate()
    rows = Incident.objects.visible_to(member).select_related("day", "engine", "recorded_by")
    listed = list(rows.order_by("-day__on", "-pk"))
    seen = set(Engine.objects.visible_to(member, on=on).values_list("pk", flat=True))
    for row in listed:
        row.shown_engine = engine_shown(row, seen)  # type: ignore[attr-defined]
    table = taken_out(request, INCIDENTS, listed)
    if table is not None:
        return table
    page = Paginator(listed, A_PAGE).get_page(request.GET.get("page"))
    return answer(request, "traffic/incidents.html", {"page": page})


def engine_shown(row: Incident, seen: set[int]) -> str:
    """Its name to whoever the engine exists for."""
    if row.engine is None:
        return ""
    return str(row.engine) if row.engine_id in seen else "a private engine"


INCIDENTS = Table("incidents and near misses", (
    ("Day", lambda row: row.day.on),
    ("What it was", lambda row: row.get_kind_display()),
    ("Engine", lambda row: row.shown_engine),
    ("What happened", lambda row: row.words),
    ("Hurt", lambda row: row.get_hurt_display()),
    ("Who, and how badly", lambda row: row.hurt_words),
    ("What was done at once", lambda row: row.action),
    ("Reported by", lambda row: row.recorded_by),
    ("Reported at", lambda row: row.recorded_at),
))  # fmt: skip


@require_http_methods(["GET", "HEAD", "POST"])
def report(request: HttpRequest, pk: int) -> HttpResponse:
    member, day = signed_in(request), get_object_or_404(RunningDay, pk=pk)
    require(member, "report an incident")
    engines = Engine.objects.visible_to(member, on=timezone.localdate()).still_here()
    form = IncidentForm(sent(request), engines=engines)
    made: list[Incident] = []
    if request.method == "POST" and try_once(
        form,
        lambda: made.append(
            services.report_incident(
                row=day, report=form.report(), doing=doing_now(member), mark=form.cleaned_data["submission"]
            )
        ),
    ):
        messages.success(request, "Written down. Secretary and mentors are told that there is a report.")
        return go_to(request, made[0].get_absolute_url())
    context = {"day": day, "form": form, "law": services.LAW}
    return answer(request, "traffic/report_incident.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def incident(request: HttpRequest, pk: int) -> HttpResponse:
    """The report with what was added; whoever may read it may add."""
    member, on = signed_in(request), timezone.localdate()
    rows = Incident.objects.visible_to(member).select_related("day", "engine", "stoppage", "recorded_by")
    row = get_object_or_404(rows, pk=pk)
    form = IncidentNoteForm(sent(request))
    if request.method == "POST" and try_once(
        form,
        lambda: services.add_to_incident(
            incident=row, words=form.cleaned_data["words"], doing=doing_now(member),
            mark=form.cleaned_data["submission"],
        ),
    ):  # fmt: skip
        messages.success(request, "Added.")
        return go_to(request, row.get_absolute_url())
    seen = set(Engine.objects.visible_to(member, on=on).filter(pk=row.engine_id or 0).values_list("pk", flat=True))
    context: dict[str, Any] = {
        "incident": row, "form": form, "law": services.LAW, "engine_shown": engine_shown(row, seen),
        "is_seen": row.engine_id in seen, "notes": row.notes.select_related("written_by"),
    }  # fmt: skip
    return answer(request, "traffic/incident.html", context, status=422 if form.is_bound else 200)
