"""Laying an engine up, what was agreed, and the care it is given."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines.access import require
from restorations.engines.forms import StrikeForm
from restorations.engines.forms.lay_up import CareForm, LayUpForm, PlanForm
from restorations.engines.models import LayUp, LayUpCare, Stoppage
from restorations.engines.services import AlreadyStopped
from restorations.engines.services import lay_up as services
from restorations.engines.views.stoppages import KEPT_BY, doing_now, show_stop, stop_for
from restorations.engines.views.visits import Visit, try_once, visit
from restorations.members.requests import NOT_TRIED, try_saving
from restorations.web.answers import answer, go_to


@require_http_methods(["GET", "HEAD", "POST"])
def lay_up(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk, papers=True)
    require(seen.may("keep the state of an engine"), KEPT_BY)
    sent = request.POST if request.method == "POST" else None
    form = LayUpForm(sent, on=seen.on, initial={"began_on": seen.on, "custody": seen.member.full_name})
    same = None
    try:
        if sent is not None and try_once(form, lambda: _lay_up(seen, form)):
            messages.success(request, f"{seen.engine} is laid up.")
            return go_to(request, reverse("engines:stoppages", args=[seen.engine.pk]))
    except AlreadyStopped as found:
        same = found.stoppage
    context = {"engine": seen.engine, "form": form, "same": same}
    return answer(request, "engines/lay_up.html", context, status=409 if same else 422 if form.is_bound else 200)


def _lay_up(seen: Visit, form: LayUpForm) -> None:
    services.lay_up(
        engine=seen.engine, draft=form.draft(), plan=form.plan(), doing=doing_now(seen),
        mark=form.cleaned_data["submission"], done=form.cleaned_data["done"],
    )  # fmt: skip


def _lay_up_of(stop: Stoppage) -> LayUp:
    row = LayUp.objects.filter(stoppage=stop).first()
    if row is None:
        raise Http404("not a lay-up")
    row.stoppage = stop
    return row


@require_http_methods(["GET", "HEAD", "POST"])
def plan(request: HttpRequest, pk: int) -> HttpResponse:
    """What was agreed for the time it is laid up."""
    stop, seen = stop_for(request, pk)
    row = _lay_up_of(stop)
    require(seen.may("keep the state of an engine"), KEPT_BY)
    form = PlanForm(request.POST if request.method == "POST" else None, initial=PlanForm.said_of(row))
    tried = NOT_TRIED
    if request.method == "POST":
        tried = try_saving(form, lambda: _change(row, seen, form))
        if tried.saved:
            messages.success(request, "Saved.")
            return go_to(request, stop.get_absolute_url())
    context = {"stop": stop, "engine": seen.engine, "form": form, "differences": tried.differences}
    return answer(request, "engines/update_stop.html", context, status=tried.status)


def _change(row: LayUp, seen: Visit, form: PlanForm) -> None:
    data = form.cleaned_data
    services.change_lay_up(
        lay_up=row, version=data["version"], plan=form.plan(), doing=doing_now(seen), mark=data["submission"]
    )


@require_POST
def care(request: HttpRequest, pk: int) -> HttpResponse:
    stop, seen = stop_for(request, pk)
    row = _lay_up_of(stop)
    require(seen.may("keep the state of an engine"), KEPT_BY)
    form = CareForm(request.POST, on=seen.on)
    saved = try_once(
        form,
        lambda: services.give_care(
            lay_up=row, care=form.care(), doing=doing_now(seen), mark=form.cleaned_data["submission"]
        ),
    )
    if not saved:
        return show_stop(request, stop, seen, status=422, care_form=form)
    messages.success(request, "Written down.")
    return go_to(request, stop.get_absolute_url())


@require_http_methods(["GET", "HEAD", "POST"])
def strike_care(request: HttpRequest, pk: int, entry: int) -> HttpResponse:
    stop, seen = stop_for(request, pk)
    row = get_object_or_404(LayUpCare.objects.select_related("lay_up__stoppage"), lay_up__stoppage=stop, pk=entry)
    require(seen.may("keep the state of an engine"), KEPT_BY)
    form = StrikeForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and try_once(
        form, lambda: services.strike_care(row=row, member=seen.member, reason=form.cleaned_data["reason"])
    ):
        messages.success(request, "Struck out; it is due again.")
        return go_to(request, stop.get_absolute_url())
    context = {"stop": stop, "engine": seen.engine, "row": row, "form": form}
    return answer(request, "engines/strike_care.html", context, status=422 if form.is_bound else 200)
