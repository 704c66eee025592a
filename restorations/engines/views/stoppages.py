"""Reporting a defect, the page of one stop, and all the stops of an engine."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from restorations.engines import services
from restorations.engines.access import require
from restorations.engines.forms import DefectForm, NoteForm, OutOfTrafficForm, StrikeForm, UpdateForm
from restorations.engines.forms.lay_up import CareForm
from restorations.engines.models import LayUp, Stoppage
from restorations.engines.services import AlreadyStopped
from restorations.engines.services.lay_up import care_lines
from restorations.engines.services.stoppages import may_lift_boiler_stop
from restorations.engines.state import MADE_BY, SHAPES, WORDS, state_of
from restorations.engines.tables import STOPS
from restorations.engines.views.visits import Visit, try_once, visit
from restorations.members.doing import Doing
from restorations.members.models import Act
from restorations.members.permissions import allowed
from restorations.members.requests import NOT_TRIED, Tried, signed_in, try_saving
from restorations.web.answers import answer, go_to
from restorations.web.tables_out import taken_out

PER_PAGE = 25
KEPT_BY = "What a stop waits for is kept by the hands of the engine, its owner, a mentor or the secretary."
STRUCK_BY = (
    "A stop is struck out by a mentor who neither owns the engine nor works on it; a boiler's by such an inspector."
)


def stop_for(request: HttpRequest, pk: int) -> tuple[Stoppage, Visit]:
    """The stop, seen by everybody for whom its engine exists."""
    member, on = signed_in(request), timezone.localdate()
    rows = Stoppage.objects.of_engines_visible_to(member, on=on)
    stop = rows.select_related("reported_by", "lifted_by", "struck_by").filter(pk=pk).first()
    if stop is None:
        raise Http404("no such stop")
    seen = visit(request, stop.engine_id, papers=True)
    stop.engine = seen.engine
    return stop, seen


def doing_now(seen: Visit) -> Doing:
    return Doing(seen.member, timezone.now())


@require_http_methods(["GET", "HEAD", "POST"])
def report(request: HttpRequest, pk: int) -> HttpResponse:
    """Anybody who sees the engine stops it, in two answers."""
    seen = visit(request, pk, papers=True)
    require(seen.may("stop an engine"), "An engine is stopped by a member of the club.")
    form = DefectForm(request.POST if request.method == "POST" else None, on=seen.on)
    same = None
    if request.method == "POST":
        try:
            if try_once(form, lambda: _report(request, seen, form)):
                return go_to(request, seen.engine.get_absolute_url())
        except AlreadyStopped as found:
            same = found.stoppage
    status = 409 if same else 422 if form.is_bound else 200
    context = {"engine": seen.engine, "form": form, "same": same, "state": state_of(seen.engine, seen.on)}
    return answer(request, "engines/report_defect.html", context, status=status)


def _report(request: HttpRequest, seen: Visit, form: DefectForm) -> None:
    services.stop_engine(
        engine=seen.engine, draft=form.draft(), doing=doing_now(seen), mark=form.cleaned_data["submission"],
        besides=request.POST.get("besides") == "yes",
    )  # fmt: skip
    messages.success(request, f"{seen.engine} is stopped, and those who look after it are told.")


@require_http_methods(["GET", "HEAD", "POST"])
def take_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Into works, or out because a paper lapsed; by those who keep the state of the engine."""
    seen = visit(request, pk, papers=True)
    require(seen.may("keep the state of an engine"), KEPT_BY)
    sent = request.POST if request.method == "POST" else None
    form = OutOfTrafficForm(sent, on=seen.on, initial={"began_on": seen.on})
    same = None
    try:
        if sent is not None and try_once(form, lambda: _take_out(seen, form)):
            messages.success(request, f"{seen.engine} is out of traffic.")
            return go_to(request, reverse("engines:stoppages", args=[seen.engine.pk]))
    except AlreadyStopped as found:
        same = found.stoppage
    context = {"engine": seen.engine, "form": form, "same": same}
    return answer(request, "engines/take_out.html", context, status=409 if same else 422 if form.is_bound else 200)


def _take_out(seen: Visit, form: OutOfTrafficForm) -> None:
    services.stop_engine(
        engine=seen.engine, draft=form.draft(), doing=doing_now(seen), mark=form.cleaned_data["submission"]
    )


@require_safe
def stoppages(request: HttpRequest, pk: int) -> HttpResponse:
    """Every spell out of traffic, the open ones first."""
    seen = visit(request, pk, papers=True)
    rows = seen.engine.stoppages.select_related("engine", "reported_by", "lifted_by", "struck_by")
    table = taken_out(request, STOPS, rows)
    if table is not None:
        return table
    past = rows.exclude(struck_at__isnull=True, ended_on__isnull=True)
    page = Paginator(past, PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "engine": seen.engine, "state": state_of(seen.engine, seen.on), "on": seen.on,
        "standing": [(stop, stop.days(seen.on)) for stop in rows.not_lifted()], "page": page,
        "past": [(stop, stop.days(seen.on)) for stop in page],
        "may_keep": seen.may("keep the state of an engine"), "may_stop": seen.may("stop an engine"),
        "may_leave": seen.may("record that an engine left"),
    }  # fmt: skip
    return answer(request, "engines/stoppages.html", context)


@require_safe
def stoppage(request: HttpRequest, pk: int) -> HttpResponse:
    stop, seen = stop_for(request, pk)
    return show_stop(request, stop, seen)


@require_POST
def add(request: HttpRequest, pk: int) -> HttpResponse:
    """Add to a stop that stands; whoever may stop the engine may add."""
    stop, seen = stop_for(request, pk)
    require(seen.may("stop an engine"), "A stop is added to by a member of the club.")
    form = NoteForm(request.POST)
    saved = try_once(
        form,
        lambda: services.add_to_stop(
            stoppage=stop, words=form.cleaned_data["words"], doing=doing_now(seen), mark=form.cleaned_data["submission"]
        ),
    )
    if not saved:
        return show_stop(request, stop, seen, status=422, note_form=form)
    messages.success(request, "Added to the stop.")
    return go_to(request, stop.get_absolute_url())


@require_http_methods(["GET", "HEAD", "POST"])
def update(request: HttpRequest, pk: int) -> HttpResponse:
    stop, seen = stop_for(request, pk)
    require(seen.may("keep the state of an engine"), KEPT_BY)
    form = UpdateForm(request.POST if request.method == "POST" else None, initial=UpdateForm.said_of(stop), on=seen.on)
    tried = _updated(stop, seen, form) if request.method == "POST" else NOT_TRIED
    if request.method == "POST" and tried.saved:
        messages.success(request, "Saved.")
        return go_to(request, stop.get_absolute_url())
    context = {"stop": stop, "engine": seen.engine, "form": form, "differences": tried.differences}
    return answer(request, "engines/update_stop.html", context, status=tried.status)


def _updated(stop: Stoppage, seen: Visit, form: UpdateForm) -> Tried:
    return try_saving(
        form,
        lambda: services.update_stop(
            stoppage=stop, version=form.cleaned_data["version"], changes=form.changes(), doing=doing_now(seen),
            mark=form.cleaned_data["submission"],
        ),
    )  # fmt: skip


def may_strike(stop: Stoppage, seen: Visit) -> bool:
    """Striking out puts an engine back as surely as lifting does, so the same people may do it."""
    if stop.is_of_boiler:
        return may_lift_boiler_stop(seen.member, seen.engine, seen.on)
    return allowed("strike out a stop", seen.places, own=bool(seen.places & {"owner", "hands"}))


def show_stop(request: HttpRequest, stop: Stoppage, seen: Visit, *, status: int = 200, **tried: Any) -> HttpResponse:
    is_open, may_keep = stop.is_open, seen.may("keep the state of an engine")
    state = MADE_BY[stop.kind]
    context = {
        "stop": stop, "engine": seen.engine, "made": WORDS[state], "shape": SHAPES[state], "days": stop.days(seen.on),
        "notes": stop.notes.select_related("written_by", "struck_by"),
        "acts": Act.objects.about(stop).select_related("member"),
        "note_form": tried.get("note_form") or (NoteForm() if is_open and seen.may("stop an engine") else None),
        "strike_form": tried.get("strike_form") or _strike_form(stop, seen),
        "may_keep": is_open and may_keep,
        "sees_contents": not seen.engine.is_private or bool(seen.places & {"hands", "owner", "guest"}),
        "may_lift": is_open and stop.is_of_boiler and may_lift_boiler_stop(seen.member, seen.engine, seen.on),
        **_laid_up(stop, seen, tried.get("care_form")),
    }  # fmt: skip
    return answer(request, "engines/stoppage.html", context, status=status)


def _laid_up(stop: Stoppage, seen: Visit, tried: CareForm | None) -> dict[str, Any]:
    """What a lay-up shows besides: its care, and the form to write more of it down."""
    row = LayUp.objects.filter(stoppage=stop).first()
    if row is None:
        return {}
    row.stoppage = stop
    may_care = stop.is_open and seen.may("keep the state of an engine")
    initial = {"done_on": seen.on, "done_by": seen.member.full_name}
    care_form = tried or CareForm(on=seen.on, initial=initial)
    return {"lay_up": row, "care": care_lines(row, seen.on), "care_form": care_form if may_care else None}


def _strike_form(stop: Stoppage, seen: Visit) -> StrikeForm | None:
    return StrikeForm(auto_id="id_strike_%s") if stop.is_open and may_strike(stop, seen) else None
