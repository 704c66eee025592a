"""An engine's forecast: seen by whoever sees its state, worked out anew by a POST."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from restorations.engines.access import require
from restorations.engines.models import Engine
from restorations.engines.views.visits import Visit, try_once, visit
from restorations.traffic.forecast_page import forecast_page
from restorations.traffic.models import Forecast
from restorations.traffic.services.forecasts import make_forecast
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm
from restorations.web.tables_out import Table, taken_out

ACT = "work out a forecast"
REFUSED = "A forecast is worked out by the engine's hands, its owner, a mentor or the secretary. Ask one of them."

FORECASTS = Table("forecasts", (
    ("Made at", lambda row: row.made_at),
    ("By", lambda row: row.made_by),
    ("Even chance by", lambda row: row.even_chance_on),
    ("8 in 10 by", lambda row: row.likely_on),
    ("Not before about", lambda row: row.not_before_on),
    ("Things missing", lambda row: len(row.missing)),
))  # fmt: skip


@require_safe
def forecast(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk, papers=True)
    rows = Forecast.objects.filter(engine=seen.engine).select_related("made_by").order_by("made_at", "pk")
    table = taken_out(request, FORECASTS, rows)
    return table or _shown(request, seen, OnceForm())


@require_POST
def work_out(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk, papers=True)
    require(seen.may(ACT), REFUSED)
    form = OnceForm(request.POST)
    made = try_once(
        form,
        lambda: make_forecast(
            engine=seen.engine, member=seen.member, at=timezone.now(), mark=form.cleaned_data["submission"]
        ),
    )
    if not made:
        return _shown(request, seen, form, status=422)
    messages.success(request, "Worked out anew.")
    return go_to(request, reverse("traffic:forecast", args=[pk]))


def _shown(request: HttpRequest, seen: Visit, form: OnceForm, *, status: int = 200) -> HttpResponse:
    sees_contents = Engine.objects.contents_visible_to(seen.member, on=seen.on).filter(pk=seen.engine.pk).exists()
    context = {
        "engine": seen.engine,
        "page": forecast_page(seen.engine, seen.on, sees_contents=sees_contents),
        "sees_contents": sees_contents,
        "may_work_out": seen.may(ACT),
        "form": form,
    }
    return answer(request, "traffic/forecast.html", context, status=status)
