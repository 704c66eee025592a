"""What is known of an engine's past: answers per system, and work done before it came."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines import services
from restorations.engines.access import require
from restorations.engines.forms import HistoryForm, PastWorkForm, StrikeForm
from restorations.engines.forms.asking import SHOW
from restorations.engines.forms.history import said_of
from restorations.engines.models import PastWork
from restorations.engines.models.history import GENERAL, SYSTEMS
from restorations.engines.showing import past_in_words
from restorations.engines.views.visits import Visit, lines, strike_ids, try_once, visit
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm

FOLLOW = "follow"  # the button that takes a system's own answers back


@require_http_methods(["GET", "HEAD", "POST"])
def history(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    seen.require_change()
    system = request.GET.get("system", GENERAL)
    if system not in SYSTEMS:
        raise Http404
    latest = seen.engine.histories.all().latest_per_system()
    said = said_of(latest.get(system) or latest.get(GENERAL))
    if request.method != "POST":
        return _history_shown(request, seen, HistoryForm(said=said), system)
    if SHOW in request.POST:
        return _history_shown(request, seen, HistoryForm(said=said, typed=request.POST), system)
    if FOLLOW in request.POST and system != GENERAL:
        return _follow(request, seen, OnceForm(request.POST), system)
    return _answer(request, seen, HistoryForm(request.POST, said=said), system)


def _follow(request: HttpRequest, seen: Visit, form: OnceForm, system: str) -> HttpResponse:
    if form.is_valid():
        services.follow_general(
            engine=seen.engine, member=seen.member, mark=form.cleaned_data["submission"], system=system
        )
        messages.success(request, f"{SYSTEMS[system]}: the same as the whole engine again.")
    return go_to(request, _history_address(seen, GENERAL))


def _answer(request: HttpRequest, seen: Visit, form: HistoryForm, system: str) -> HttpResponse:
    if not form.is_valid():
        return _history_shown(request, seen, form, system)
    services.answer_history(
        engine=seen.engine,
        member=seen.member,
        mark=form.cleaned_data["submission"],
        system=system,
        answers=form.answers(),
    )
    more = " One more question came up with it." if form.not_yet_asked else ""
    messages.success(request, f"Saved. Sheets opened from now on start from this.{more}")
    return go_to(request, _history_address(seen, system if more else GENERAL))


def _history_address(seen: Visit, system: str) -> str:
    address = reverse("engines:history", args=[seen.engine.pk])
    return address if system == GENERAL else f"{address}?system={system}"


def _history_shown(request: HttpRequest, seen: Visit, form: HistoryForm, system: str) -> HttpResponse:
    answered = {told.system: "; ".join(told.words) or "not known" for told in past_in_words(seen.engine)}
    past = {GENERAL: "not known", **answered}
    context = {
        "form": form,
        "engine": seen.engine,
        "system": system,
        "title": SYSTEMS[system],
        "systems": [(name, title, past.get(name, "as the whole engine")) for name, title in SYSTEMS.items()],
        "follow": FOLLOW if system in answered and system != GENERAL else "",
    }
    status = 422 if form.is_bound else 200
    return answer(request, "engines/history.html", context, fragment="engines/_history_form.html", status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def past_work(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    form = PastWorkForm(request.POST if request.method == "POST" else None)
    if request.method == "POST":
        seen.require_change()
    if not form.is_valid():
        return _past_work_shown(request, seen, form=form, status=422 if request.method == "POST" else 200)
    data = form.cleaned_data
    services.note_past_work(
        engine=seen.engine,
        member=seen.member,
        mark=data["submission"],
        text=data["text"],
        happened=data["happened"],
        by=data["by"],
    )
    messages.success(request, "Written down.")
    return go_to(request, reverse("engines:past_work", args=[seen.engine.pk]))


@require_POST
def strike_past_work(request: HttpRequest, pk: int, entry: int) -> HttpResponse:
    seen = visit(request, pk)
    row = get_object_or_404(seen.engine.past_work, pk=entry)
    require(_may_strike(seen, row), "Struck out by whoever wrote it down, or by a mentor.")
    form = StrikeForm(request.POST, auto_id=strike_ids(row.pk))
    saved = try_once(
        form, lambda: services.strike_past_work(row=row, member=seen.member, reason=form.cleaned_data["reason"])
    )
    if not saved:
        return _past_work_shown(request, seen, tried_strike=(row.pk, form), status=422)
    messages.success(request, "Struck out; it stays readable.")
    return go_to(request, reverse("engines:past_work", args=[seen.engine.pk]))


def _may_strike(seen: Visit, row: PastWork) -> bool:
    own = row.recorded_by_id == seen.member.pk and seen.may("change an engine")
    return own or seen.may("strike out another's entry")


def _past_work_shown(request: HttpRequest, seen: Visit, *, status: int, **tried: Any) -> HttpResponse:
    rows = seen.engine.past_work.select_related("recorded_by", "done_by", "struck_by")
    may_change = seen.may("change an engine")
    context = {
        "engine": seen.engine,
        "lines": lines(rows, may_strike=lambda row: _may_strike(seen, row), tried=tried.get("tried_strike")),
        "form": (tried.get("form") or PastWorkForm()) if may_change else None,
    }
    return answer(request, "engines/past_work.html", context, fragment="engines/_past_work_desk.html", status=status)
