"""Opening a sheet and reading it: the page itself, all causes, the state and history it rests on."""

from typing import Any

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from restorations.engines.access import places_of, require_here
from restorations.engines.facts import history_of
from restorations.engines.models import Engine
from restorations.faults import services
from restorations.faults.access import require
from restorations.faults.facts import SheetState
from restorations.faults.forms import HISTORY_FIELDS, HistoryForm, OpenSheetForm, StateForm
from restorations.faults.learning import taught
from restorations.faults.services.sheets import ground_of, stored_knowledge
from restorations.faults.views.common import change, sheet_for, show_sheet
from restorations.faults.wording import as_fraction, likeliness, probability
from restorations.knowledge import History, history_class
from restorations.members.permissions import allowed
from restorations.members.requests import sent, signed_in
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm
from restorations.web.tables_out import Table, taken_out

A_PAGE = 25
WEIGHED = Table("all that was weighed", (
    ("Cause", lambda row: row["cause"].name),
    ("Cause in the knowledge", lambda row: row["cause"].entry.id),
    ("How likely", lambda row: row["word"]),
    ("Probability", lambda row: float(f"{row['probability']:.4g}")),
    ("What it is", lambda row: row["cause"].entry.explain),
))  # fmt: skip


@require_http_methods(["GET", "POST"])
def open_one(request: HttpRequest, pk: int) -> HttpResponse:
    member, today = signed_in(request), timezone.localdate()
    engine = Engine.objects.contents_visible_to(member, on=today).filter(pk=pk).first()
    if engine is None:
        raise Http404("no such engine")
    require_here(engine, request.method)
    require(
        allowed("log work", places_of(member, engine, today)),
        "A fault sheet is opened by the hands of the engine, its owner or a mentor. Ask one of them.",
    )
    known = history_of(engine)
    form = OpenSheetForm(sent(request), initial=known.as_mapping()["general"])
    if request.method == "POST" and form.is_valid():
        history = {**known.as_mapping(), "general": form.general()}
        sheet = services.open_sheet(
            engine=engine, complaint=form.cleaned_data["complaint"], history=history, member=member,
            at=timezone.now(), mark=form.cleaned_data["submission"],
        )  # fmt: skip
        return go_to(request, sheet.get_absolute_url())
    status = 422 if form.is_bound else 200
    return answer(
        request, "faults/open.html", {"form": form, "engine": engine, "history_fields": HISTORY_FIELDS}, status=status
    )


@require_GET
def sheet(request: HttpRequest, pk: int) -> HttpResponse:
    row, standing = sheet_for(request, pk)
    return show_sheet(request, row, standing)


@require_http_methods(["GET", "POST"])
def state(request: HttpRequest, pk: int) -> HttpResponse:
    row, standing = sheet_for(request, pk)
    if standing.is_closed:
        return go_to(request, row.get_absolute_url())
    require(standing.logs_stand, "The state of the engine is set by its hands, its owner or a mentor.")
    now = timezone.now()
    form = StateForm(sent(request), expanded=ground_of(row, at=now).expanded, state=SheetState.of(row.state))
    if request.method == "POST" and form.is_valid():
        mark, stands = form.cleaned_data["submission"], form.state()
        return change(
            request, row, standing,
            lambda: services.change_state(sheet=row, state=stands, member=standing.member, at=now, mark=mark),
        )  # fmt: skip
    return answer(request, "faults/state.html", {"form": form, "sheet": row}, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "POST"])
def history(request: HttpRequest, pk: int) -> HttpResponse:
    row, standing = sheet_for(request, pk)
    if standing.is_closed:
        return go_to(request, row.get_absolute_url())
    require(standing.logs_stand, "The history of a sheet is answered by the engine's hands, its owner or a mentor.")
    form = HistoryForm(sent(request), initial=row.history.get("general", {}))
    if request.method == "POST" and form.is_valid():
        mark, now, answers = form.cleaned_data["submission"], timezone.now(), {**row.history, "general": form.general()}
        return change(
            request, row, standing,
            lambda: services.answer_history(sheet=row, history=answers, member=standing.member, at=now, mark=mark),
        )  # fmt: skip
    return answer(request, "faults/history.html", {"form": form, "sheet": row}, status=422 if form.is_bound else 200)


@require_POST
def rank(request: HttpRequest, pk: int) -> HttpResponse:
    """Work the ranking out again on the facts as they are now."""
    row, standing = sheet_for(request, pk)
    require(standing.may_log, "Only members who may log work here rank a sheet anew.")
    form = OnceForm(request.POST)
    if not form.is_valid():
        return show_sheet(request, row, standing, status=422, trouble=form.first_error)
    mark, now = form.cleaned_data["submission"], timezone.now()
    return change(
        request, row, standing, lambda: services.rank_anew(sheet=row, member=standing.member, at=now, mark=mark)
    )


@require_GET
def causes(request: HttpRequest, pk: int) -> HttpResponse:
    """Everything that was weighed, likeliest first."""
    row, _ = sheet_for(request, pk)
    snapshot = row.latest_snapshot
    if snapshot is None:
        raise Http404("no ranking")
    expanded = stored_knowledge(snapshot.model.checksum)
    ranked = sorted(snapshot.log_odds.items(), key=lambda pair: -pair[1])
    rows: list[dict[str, Any]] = [
        {"cause": expanded.causes[cause], "probability": p, "word": likeliness(p), "fraction": as_fraction(p)}
        for cause, p in ((cause, probability(odds)) for cause, odds in ranked)
        if cause in expanded.causes
    ]
    table = taken_out(request, WEIGHED, rows)
    if table is not None:
        return table
    page = Paginator(rows, A_PAGE).get_page(request.GET.get("page"))
    known, past = taught(row.engine.design_id), History.from_mapping(row.history)
    for item in page:
        entry = item["cause"].entry
        item["told"] = known.words(entry.id, history_class(past.answers(entry.system)))
    return answer(request, "faults/causes.html", {"sheet": row, "page": page, "snapshot": snapshot})
