"""Accepting a helper's line and striking out a wrong one, whichever of the app's lines it is."""

from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.members.models import Member
from restorations.members.permissions import allowed
from restorations.members.requests import sent, signed_in
from restorations.tasks import services
from restorations.tasks.forms.parts import ReasonForm
from restorations.tasks.models import Connection, FixingSet, FreeingAttempt, Soak, StrippedPart, Tag
from restorations.tasks.views.common import engine_for
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm

KINDS: dict[str, tuple[Any, str]] = {
    "part": (StrippedPart, "off"),
    "connection": (Connection, "connections"),
    "soak": (Soak, "soaks"),
    "attempt": (FreeingAttempt, "freeing"),
    "tag": (Tag, "tags"),
}
WROTE = ("off_by_id", "parted_by_id", "begun_by_id", "tried_by_id", "put_on_by_id", "noted_by_id")


def _row_for(request: HttpRequest, kind: str, pk: int) -> tuple[Any, frozenset[str], str]:
    """The row, where the member stands towards its engine, and the page it is listed on."""
    model, page = KINDS[kind]
    row = model.objects.select_related("engine").filter(pk=pk).first()
    if row is None:
        raise Http404("no such line")
    _, places = engine_for(request, row.engine_id)
    return row, places, reverse(f"tasks:{page}", args=[row.engine_id])


@require_POST
def accept(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    row, places, page = _row_for(request, kind, pk)
    if not allowed("accept a helper's entry", places):
        raise PermissionDenied("A helper's line is accepted by one of the hands of the engine, or its owner.")
    if OnceForm(request.POST).is_valid():
        services.accept(row, member=signed_in(request), at=timezone.now())
    return go_to(request, page)


@require_POST
def refuse(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """What a helper wrote up as over is not so."""
    row, places, page = _row_for(request, kind, pk)
    if not allowed("accept a helper's entry", places):
        raise PermissionDenied("A helper's line is judged by one of the hands of the engine, or its owner.")
    if OnceForm(request.POST).is_valid():
        services.refuse_ending(row, member=signed_in(request))
    return go_to(request, page)


@require_http_methods(["GET", "POST"])
def strike(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    row, places, page = _row_for(request, kind, pk)
    return _strike(request, row, places, page)


@require_http_methods(["GET", "POST"])
def strike_fixings(request: HttpRequest, pk: int) -> HttpResponse:
    row = FixingSet.objects.select_related("part").filter(pk=pk).first()
    if row is None:
        raise Http404("no such line")
    _, places = engine_for(request, row.part.engine_id)
    return _strike(request, row, places, row.part.get_absolute_url())


def _strike(request: HttpRequest, row: Any, places: frozenset[str], page: str) -> HttpResponse:
    member = signed_in(request)
    if not (wrote(row, member) or allowed("strike out another's entry", places)):
        raise PermissionDenied("A line is struck out by whoever wrote it, or by a mentor.")
    form = ReasonForm(sent(request))
    if request.method == "POST" and form.is_valid():
        try:
            services.strike(row, member=member, reason=form.cleaned_data["reason"], at=timezone.now())
            return go_to(request, page)
        except ValidationError as error:
            form.add_error(None, error)
    context = {"form": form, "row": row, "page": page}
    return answer(request, "tasks/strike.html", context, status=422 if form.is_bound else 200)


def wrote(row: Any, member: Member) -> bool:
    return any(getattr(row, column, None) == member.pk for column in WROTE)
