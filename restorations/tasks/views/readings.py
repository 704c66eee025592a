"""Readings of an engine: the last of each kind, and one kind over time beside the known-good value."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from restorations.engines.access import require
from restorations.engines.forms import StrikeForm
from restorations.engines.views.visits import Visit, lines, strike_ids, try_once, visit
from restorations.tasks.forms.readings import ReadingForm
from restorations.tasks.measuring import WHATS
from restorations.tasks.models import Reading
from restorations.tasks.plots import MOST_PLOTTED, plot_over_time
from restorations.tasks.queries import Compared, compared, known_dimensions, known_goods, latest_readings
from restorations.tasks.services import readings as services
from restorations.tasks.services.entries import accept, strike
from restorations.tasks.tables import READINGS
from restorations.tasks.views.working import doing_of, may_strike, page_of, row_and_visit, said
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm
from restorations.web.tables_out import taken_out


@require_http_methods(["GET", "HEAD", "POST"])
def readings(request: HttpRequest, pk: int) -> HttpResponse:
    """The last reading of each kind, each beside what is known to be good; one more."""
    seen = visit(request, pk)
    known = known_dimensions(seen.engine)
    start = {"what": request.GET.get("what", "")[:80], "where": request.GET.get("where", "")[:40]}
    form = ReadingForm(request.POST if request.method == "POST" else None, known=known, initial=start)
    if request.method == "POST":
        doing = doing_of(seen)
        if form.is_valid():
            at = form.happened or (doing.at, "minute")
            row = services.write_reading(
                engine=seen.engine, typed=form.typed(), doing=doing, mark=form.cleaned_data["submission"],
                measuring=services.Measuring(at, form.cleaned_data["by_name"]),
            )  # fmt: skip
            messages.success(request, said(doing.stands, "Written down."))
            return go_to(request, row.get_absolute_url())
    every = seen.engine.readings.select_related("done_by")
    table = taken_out(request, READINGS, every)
    if table is not None:
        return table
    page = page_of(request, latest_readings(seen.engine))
    context = {
        "engine": seen.engine,
        "form": form if seen.may("log work as a helper") else None,
        "whats": sorted({*WHATS, *known}),
        "page": page,
        "reading_lines": compared(page, known_goods(seen.engine, seen.member, on=seen.on)),
    }
    return answer(request, "tasks/readings.html", context, status=422 if form.is_bound else 200)


@require_safe
def series(request: HttpRequest, pk: int) -> HttpResponse:
    """One thing measured again and again: the plot, the table, the known-good value of a sister."""
    seen = visit(request, pk)
    return _series_shown(request, seen, _asked(request, seen))


def _asked(request: HttpRequest, seen: Visit) -> Reading:
    number = request.GET.get("reading", "")
    if not number.isdigit() or len(number) > 18:
        raise Http404("no such reading")
    return _in_engine(seen, int(number))


def _in_engine(seen: Visit, pk: int) -> Reading:
    row: Reading | None = seen.engine.readings.filter(pk=pk).first()
    if row is None:
        raise Http404("no such reading")
    return row


def _series_shown(
    request: HttpRequest, seen: Visit, asked: Reading, tried: tuple[int, StrikeForm] | None = None
) -> HttpResponse:
    rows = (
        seen.engine.readings.filter(key=asked.key)
        .select_related("done_by", "recorded_by", "struck_by", "known_good_for")
        .order_by("-happened_at", "-pk")
    )
    table = taken_out(request, READINGS, rows)
    if table is not None:
        return table
    good = known_goods(seen.engine, seen.member, on=seen.on).get(asked.key)
    standing = list(rows.standing().filter(dimension=asked.dimension)[:MOST_PLOTTED])
    page = page_of(request, rows)
    context = {
        "engine": seen.engine,
        "asked": asked,
        "known_good": good,
        "chart": plot_over_time(standing[::-1], good if good and good.dimension == asked.dimension else None)
        if standing
        else "",
        "page": page,
        "lines": [
            (Compared(line.row, good), line.strike_form)
            for line in lines(page, may_strike=lambda row: may_strike(seen, row), tried=tried)
        ],
        "may_accept": seen.may("accept a helper's entry"),
        "may_name_good": seen.may("plan work") and seen.engine.design_id is not None,
        "may_log_work": seen.may("log work as a helper"),
    }
    return answer(request, "tasks/series.html", context, status=422 if tried else 200)


@require_POST
def accept_reading(request: HttpRequest, pk: int) -> HttpResponse:
    row, seen = row_and_visit(request, Reading.objects.all(), pk)
    require(
        seen.may("accept a helper's entry"),
        "A helper's line is accepted by one of the hands of the engine, or its owner.",
    )
    if OnceForm(request.POST).is_valid() and not row.is_struck:
        accept(row, member=seen.member, at=timezone.now())
        messages.success(request, "Accepted: it stands now.")
    return go_to(request, row.get_absolute_url())


@require_POST
def strike_reading(request: HttpRequest, pk: int) -> HttpResponse:
    row, seen = row_and_visit(request, Reading.objects.all(), pk)
    require(row.is_struck or may_strike(seen, row), "Struck out by whoever wrote it down, or by a mentor.")
    form = StrikeForm(request.POST, auto_id=strike_ids(row.pk))

    def save() -> None:
        strike(row, member=seen.member, reason=form.cleaned_data["reason"], at=timezone.now())

    if not try_once(form, save):
        return _series_shown(request, seen, _in_engine(seen, row.pk), (row.pk, form))
    messages.success(request, "Struck out; it stays readable.")
    return go_to(request, row.get_absolute_url())


@require_POST
def known_good(request: HttpRequest, pk: int) -> HttpResponse:
    """Name a reading known good for the engine's design, or take that back."""
    row, seen = row_and_visit(request, Reading.objects.select_related("engine__design", "known_good_for"), pk)
    require(seen.may("plan work"), "What is known good is said by the engine's hands, its owner or a mentor.")
    form = OnceForm(request.POST)
    if form.is_valid():
        try:
            services.name_known_good(
                reading=row, known_good=request.POST.get("known_good") != "no", member=seen.member,
                mark=form.cleaned_data["submission"],
            )  # fmt: skip
            messages.success(request, "Saved: sister engines are compared with what is known good.")
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
    return go_to(request, reverse("tasks:series", args=[seen.engine.pk]) + f"?reading={row.pk}")
