"""Connections of an engine: parted, joined, looked over as a pair."""

from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Act
from restorations.members.permissions import allowed
from restorations.members.requests import sent, signed_in
from restorations.tasks import services
from restorations.tasks.connections import PRECAUTIONS, kept_precautions, missing_precautions
from restorations.tasks.forms.connections import JoinForm, PartForm
from restorations.tasks.models import CARRIES, Connection
from restorations.tasks.parts import part_names
from restorations.tasks.tables import CONNECTIONS
from restorations.tasks.views.common import A_PAGE, doing_of, engine_for, named, photos_taken, rights, trouble_in
from restorations.tasks.views.lines import wrote
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm
from restorations.web.tables_out import taken_out


@require_http_methods(["GET", "POST"])
def connections(request: HttpRequest, pk: int) -> HttpResponse:
    """What is parted; first what the next one carries, then the form with what must be so before."""
    engine, places = engine_for(request, pk)
    configuration = engine.configuration.as_configuration()
    asked = request.POST.get("carries") or request.GET.get("carries", "")
    form = PartForm(sent(request), request.FILES or None, configuration=configuration, asked=asked)
    if request.method == "POST":
        doing = doing_of(request, places)
        row = _part(form, engine, doing) if form.is_valid() else None
        if row is not None:
            return go_to(request, row.get_absolute_url())
    names = part_names(configuration)
    rows = Connection.objects.not_struck().filter(engine=engine).select_related("parted_by", "joined_by")
    table = taken_out(request, CONNECTIONS, rows.order_by("number"))
    if table is not None:
        return table
    page = Paginator(rows.filter(joined_at__isnull=False), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "engine": engine, "form": form, "asked": asked if asked in PRECAUTIONS else "", "carries": CARRIES.items(),
        "parted": [{"row": row, "name": named(row, names)} for row in rows.parted().order_by("number")],
        "joined": [{"row": row, "name": named(row, names)} for row in page], "page": page, **rights(places),
    }  # fmt: skip
    return answer(request, "tasks/connections.html", context, status=422 if form.is_bound else 200)


def _part(form: PartForm, engine: Engine, doing: Doing) -> Connection | None:
    photos = photos_taken(form, engine, doing)
    if photos is None:
        return None
    mark = form.cleaned_data["submission"]
    return services.part_connection(engine=engine, parting=form.parting(), doing=doing, mark=mark, photos=photos)


def _connection_for(request: HttpRequest, pk: int) -> tuple[Connection, frozenset[str]]:
    rows = Connection.objects.select_related("engine", "parted_by", "joined_by", "checked_by")
    row = rows.filter(pk=pk).first()
    if row is None:
        raise Http404("no such connection")
    _, places = engine_for(request, row.engine_id)
    return row, places


@require_GET
def connection(request: HttpRequest, pk: int) -> HttpResponse:
    row, places = _connection_for(request, pk)
    return _show(request, row, places)


def _show(request: HttpRequest, row: Connection, places: frozenset[str], trouble: str = "") -> HttpResponse:
    names = part_names(row.engine.configuration.as_configuration())
    context = {
        "row": row, "engine": row.engine, "name": named(row, names), "join_form": JoinForm(), "trouble": trouble,
        "photos": row.photos.all(), "kept": kept_precautions(row.carries, row.made_safe),
        "missing": missing_precautions(row.carries, row.made_safe),
        "acts": Act.objects.about(row).select_related("member")[:A_PAGE], "wrote": wrote(row, signed_in(request)),
        **rights(places),
    }  # fmt: skip
    return answer(request, "tasks/connection.html", context, status=422 if trouble else 200)


@require_POST
def join(request: HttpRequest, pk: int) -> HttpResponse:
    row, places = _connection_for(request, pk)
    doing = doing_of(request, places)
    form = JoinForm(request.POST)
    if not form.is_valid():
        return _show(request, row, places, form.first_error)
    data = form.cleaned_data

    def save() -> Any:
        return services.join_connection(
            connection=row, both_checked=data["both_checked"], doing=doing, mark=data["submission"]
        )

    return _after(request, row, places, save)


@require_POST
def check_pair(request: HttpRequest, pk: int) -> HttpResponse:
    """What may be put under pressure next is not a helper's to say."""
    row, places = _connection_for(request, pk)
    if not allowed("log work", places):
        raise PermissionDenied("Both ends are looked over by the hands of the engine, its owner or a mentor.")
    doing = doing_of(request, places)
    form = OnceForm(request.POST)
    if not form.is_valid():
        return _show(request, row, places, form.first_error)
    mark = form.cleaned_data["submission"]
    return _after(request, row, places, lambda: services.check_pair(connection=row, doing=doing, mark=mark))


def _after(request: HttpRequest, row: Connection, places: frozenset[str], save: Any) -> HttpResponse:
    try:
        save()
    except ValidationError as error:
        return _show(request, row, places, trouble_in(error))
    page = "refit" if request.POST.get("from") == "refit" else "connections"
    return go_to(request, reverse(f"tasks:{page}", args=[row.engine_id]))
