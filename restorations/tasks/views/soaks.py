"""What soaks on an engine, and the attempts at freeing it."""

from functools import partial
from typing import Any

from django.core.exceptions import ValidationError
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines.models import Engine
from restorations.members.models.records import submit_once
from restorations.members.requests import sent, signed_in
from restorations.tasks import services
from restorations.tasks.forms.soaks import CareForm, EndSoakForm, SoakForm
from restorations.tasks.models import Soak
from restorations.tasks.parts import soak_places
from restorations.tasks.tables import SOAKS
from restorations.tasks.views.common import A_PAGE, doing_of, engine_for, rights, trouble_in
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm
from restorations.web.tables_out import taken_out


@require_http_methods(["GET", "POST"])
def soaks(request: HttpRequest, pk: int) -> HttpResponse:
    """What soaks, in what, until when; one more."""
    engine, places = engine_for(request, pk)
    form = SoakForm(sent(request), configuration=engine.configuration.as_configuration())
    if request.method == "POST":
        doing = doing_of(request, places)
        if form.is_valid():
            begin = partial(services.begin_soak, engine=engine, plan=form.plan(), doing=doing)
            submit_once(signed_in(request), form.cleaned_data["submission"], begin)
            return go_to(request, request.path)
    return _show(request, engine, places, form=form)


def _show(
    request: HttpRequest, engine: Engine, places: frozenset[str], *, form: SoakForm | None = None,
    mended: dict[int, OnceForm] | None = None, trouble: str = "",
) -> HttpResponse:  # fmt: skip
    """`mended`: by soak, the form under it that has something to mend."""
    configuration = engine.configuration.as_configuration()
    words, now = soak_places(configuration), timezone.now()
    rows = Soak.objects.filter(engine=engine, struck_at__isnull=True).select_related("begun_by", "ended_by")
    table = taken_out(request, SOAKS, rows)
    if table is not None:
        return table
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    wrong = mended or {}
    context = {
        "engine": engine, "form": form or SoakForm(configuration=configuration), "page": page, "trouble": trouble,
        "now": now, **rights(places),
        "rows": [
            {
                "soak": soak, "where": words.get(soak.place, soak.place),
                "care_form": _form_under(soak, CareForm, wrong),
                "end_form": _form_under(soak, EndSoakForm, wrong),
                "is_due": soak.is_under_way and soak.due_at <= now,
            }
            for soak in page
        ],
    }  # fmt: skip
    bad = trouble or wrong or (form is not None and form.is_bound)
    return answer(request, "tasks/soaks.html", context, status=422 if bad else 200)


def _form_under(soak: Soak, kind: type[OnceForm], mended: dict[int, OnceForm]) -> OnceForm:
    """The form of this kind under a soak, as it was sent where it has something to mend."""
    sent = mended.get(soak.pk)
    form = sent if isinstance(sent, kind) else kind()
    form.auto_id = f"soak{soak.pk}_%s_{kind.__name__.lower()}"
    return form


def _soak_for(request: HttpRequest, pk: int) -> tuple[Soak, frozenset[str]]:
    soak = Soak.objects.select_related("engine").filter(pk=pk).first()
    if soak is None:
        raise Http404("no such soak")
    _, places = engine_for(request, soak.engine_id)
    return soak, places


@require_POST
def care(request: HttpRequest, pk: int) -> HttpResponse:
    """It was topped up or turned."""
    soak, places = _soak_for(request, pk)
    doing = doing_of(request, places)
    form = CareForm(request.POST)
    if not form.is_valid():
        return _show(request, soak.engine, places, mended={soak.pk: form})
    data = form.cleaned_data
    save = partial(
        services.look_after, soak=soak, next_care_at=data["next_care_at"], doing=doing, mark=data["submission"]
    )
    return _after(request, soak, places, save)


@require_POST
def end_soak(request: HttpRequest, pk: int) -> HttpResponse:
    soak, places = _soak_for(request, pk)
    doing_of(request, places)
    form = EndSoakForm(request.POST)
    if not form.is_valid():
        return _show(request, soak.engine, places, mended={soak.pk: form})
    data = form.cleaned_data
    doing = doing_of(request, places, at=data["ended_at"])
    return _after(request, soak, places, partial(services.end_soak, soak=soak, doing=doing, mark=data["submission"]))


def _after(request: HttpRequest, soak: Soak, places: frozenset[str], save: Any) -> HttpResponse:
    try:
        save()
    except ValidationError as error:
        return _show(request, soak.engine, places, trouble=trouble_in(error))
    return go_to(request, reverse("tasks:soaks", args=[soak.engine_id]))
