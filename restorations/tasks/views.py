"""What is off an engine and what soaks on it."""

from functools import partial
from typing import Any

from django.core.exceptions import PermissionDenied, ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines.access import places_of
from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models.records import submit_once
from restorations.members.permissions import allowed
from restorations.members.requests import signed_in
from restorations.tasks import services
from restorations.tasks.forms import EndPartForm, SoakForm, TakeOffForm
from restorations.tasks.models import Soak, StrippedPart
from restorations.tasks.parts import part_names, soak_places
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm

A_PAGE = 50


def _engine_for(request: HttpRequest, pk: int) -> tuple[Engine, frozenset[str]]:
    member, today = signed_in(request), timezone.localdate()
    engine = Engine.objects.contents_visible_to(member, on=today).filter(pk=pk).first()
    if engine is None:
        raise Http404("no such engine")
    return engine, places_of(member, engine, today)


def _logs(places: frozenset[str]) -> bool:
    """Whether what they log stands at once; refuses whoever may not log at all."""
    if allowed("log work", places):
        return True
    if not allowed("log work as a helper", places):
        raise PermissionDenied("Work on this engine is logged by its hands, its owner, mentors and members who help.")
    return False


@require_http_methods(["GET", "POST"])
def off(request: HttpRequest, pk: int) -> HttpResponse:
    """What is off and where it lies; a part more."""
    engine, places = _engine_for(request, pk)
    configuration = engine.configuration.as_configuration()
    form = TakeOffForm(request.POST or None, configuration=configuration)
    if request.method == "POST":
        stands = _logs(places)
        if form.is_valid():
            data = form.cleaned_data
            services.strip_part(
                engine=engine, part_id=data["part"], box=data["box"], mark=data["submission"],
                doing=Doing(signed_in(request), timezone.now(), stands),
            )  # fmt: skip
            return go_to(request, request.path)
    return _show_off(request, engine, places, form)


def _show_off(
    request: HttpRequest, engine: Engine, places: frozenset[str], form: TakeOffForm, trouble: str = ""
) -> HttpResponse:
    rows = StrippedPart.objects.filter(engine=engine, struck_at__isnull=True).select_related("off_by", "ended_by")
    names = part_names(engine.configuration.as_configuration())
    now_off = [_named(part, names) for part in rows.filter(ended_at__isnull=True)]
    page = Paginator(rows.filter(ended_at__isnull=False), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "engine": engine, "form": form, "end_form": EndPartForm(), "now_off": now_off, "page": page, "trouble": trouble,
        "back": [_named(part, names) for part in page], "may_log": allowed("log work as a helper", places),
        "may_accept": allowed("accept a helper's entry", places),
    }  # fmt: skip
    return answer(request, "tasks/off.html", context, status=422 if form.is_bound or trouble else 200)


def _named(part: StrippedPart, names: dict[str, str]) -> dict[str, Any]:
    return {"part": part, "name": names.get(part.part_id, part.part_id.replace("_", " ") or "to be named")}


def _part_for(request: HttpRequest, pk: int) -> tuple[StrippedPart, frozenset[str]]:
    part = StrippedPart.objects.select_related("engine").filter(pk=pk).first()
    if part is None:
        raise Http404("no such part")
    _, places = _engine_for(request, part.engine_id)
    return part, places


@require_POST
def end_part(request: HttpRequest, pk: int) -> HttpResponse:
    part, places = _part_for(request, pk)
    _logs(places)
    form = EndPartForm(request.POST)
    trouble = form.first_error if not form.is_valid() else ""
    if not trouble:
        try:
            services.end_time_off(
                part=part, ending=form.cleaned_data["ending"], member=signed_in(request), at=timezone.now(),
                mark=form.cleaned_data["submission"],
            )  # fmt: skip
            return go_to(request, reverse("tasks:off", args=[part.engine_id]))
        except ValidationError as error:
            trouble = " ".join(error.messages)
    empty = TakeOffForm(configuration=part.engine.configuration.as_configuration())
    return _show_off(request, part.engine, places, empty, trouble)


@require_POST
def accept_part(request: HttpRequest, pk: int) -> HttpResponse:
    part, places = _part_for(request, pk)
    if not allowed("accept a helper's entry", places):
        raise PermissionDenied("A helper's line is accepted by one of the hands of the engine, or its owner.")
    form = OnceForm(request.POST)
    if form.is_valid() and not part.stands:
        services.accept(part, member=signed_in(request), at=timezone.now())
    return go_to(request, reverse("tasks:off", args=[part.engine_id]))


@require_http_methods(["GET", "POST"])
def soaks(request: HttpRequest, pk: int) -> HttpResponse:
    """What soaks, in what, until when; one more."""
    engine, places = _engine_for(request, pk)
    form = SoakForm(request.POST or None, configuration=engine.configuration.as_configuration())
    if request.method == "POST":
        stands = _logs(places)
        if form.is_valid():
            doing = Doing(signed_in(request), timezone.now(), stands)
            begin = partial(services.begin_soak, engine=engine, plan=form.plan(), doing=doing)
            submit_once(signed_in(request), form.cleaned_data["submission"], begin)
            return go_to(request, request.path)
    return _show_soaks(request, engine, places, form)


def _show_soaks(
    request: HttpRequest, engine: Engine, places: frozenset[str], form: SoakForm, trouble: str = ""
) -> HttpResponse:
    words = soak_places(engine.configuration.as_configuration())
    rows = Soak.objects.filter(engine=engine, struck_at__isnull=True).select_related("begun_by", "ended_by")
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    context = {
        "engine": engine, "form": form, "page": page, "trouble": trouble,
        "may_log": allowed("log work as a helper", places),
        "rows": [{"soak": soak, "where": words.get(soak.place, soak.place)} for soak in page],
    }  # fmt: skip
    return answer(request, "tasks/soaks.html", context, status=422 if form.is_bound or trouble else 200)


@require_POST
def end_one_soak(request: HttpRequest, pk: int) -> HttpResponse:
    soak = Soak.objects.select_related("engine").filter(pk=pk).first()
    if soak is None:
        raise Http404("no such soak")
    _, places = _engine_for(request, soak.engine_id)
    _logs(places)
    form = OnceForm(request.POST)
    trouble = form.first_error if not form.is_valid() else ""
    if not trouble:
        try:
            services.end_soak(
                soak=soak, member=signed_in(request), at=timezone.now(), mark=form.cleaned_data["submission"]
            )
            return go_to(request, reverse("tasks:soaks", args=[soak.engine_id]))
        except ValidationError as error:
            trouble = " ".join(error.messages)
    empty = SoakForm(configuration=soak.engine.configuration.as_configuration())
    return _show_soaks(request, soak.engine, places, empty, trouble)
