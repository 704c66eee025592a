"""Return to traffic: the conditions, a mentor's signature, the secretary's record; and lifting a boiler stop."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from restorations.engines.access import require
from restorations.engines.forms import LiftForm, StrikeForm
from restorations.engines.models import Engine
from restorations.engines.services import lift_stop, strike_stop
from restorations.engines.services.stoppages import BOILER_REFUSED, may_lift_boiler_stop
from restorations.engines.state import state_of
from restorations.engines.views.stoppages import STRUCK_BY, doing_now, may_strike, show_stop, stop_for
from restorations.engines.views.visits import Visit, try_once, visit
from restorations.traffic.conditions import conditions_of
from restorations.traffic.forms.returning import FitForm, ReturnForm
from restorations.traffic.models import ReturnToTraffic
from restorations.traffic.services import returning as services
from restorations.web.answers import answer, go_to

OTHER_STOPS = "A stop that is not on the boiler ends with the return to traffic, not by itself."


@require_safe
def returning(request: HttpRequest, pk: int) -> HttpResponse:
    return _shown(request, visit(request, pk, papers=True))


@require_POST
def sign(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    require(seen.may("sign fit for traffic"), services.NOT_A_MENTOR)
    require(not services.did_the_work(seen.engine, seen.member, seen.on), services.OWN_WORK)
    form = FitForm(request.POST, auto_id="id_fit_%s")
    signed = try_once(
        form,
        lambda: services.sign_fit(
            engine=seen.engine, words=form.cleaned_data["words"], doing=doing_now(seen),
            mark=form.cleaned_data["submission"],
        ),
    )  # fmt: skip
    if not signed:
        return _shown(request, seen, status=422, fit_form=form)
    messages.success(request, "Signed. The secretary is told, and records the return.")
    return go_to(request, reverse("traffic:returning", args=[pk]))


@require_POST
def record(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk, papers=True)
    require(seen.may("record the return to traffic"), services.NOT_THE_SECRETARY)
    form = ReturnForm(request.POST, today=seen.on, auto_id="id_return_%s")
    recorded = try_once(
        form,
        lambda: services.record_return(
            engine=seen.engine, on=form.cleaned_data["on"], words=form.cleaned_data["words"], doing=doing_now(seen),
            mark=form.cleaned_data["submission"],
        ),
    )  # fmt: skip
    if not recorded:
        return _shown(request, seen, status=422, return_form=form)
    messages.success(request, f"{seen.engine} is back in traffic.")
    return go_to(request, seen.engine.get_absolute_url())


def _shown(request: HttpRequest, seen: Visit, *, status: int = 200, **tried: Any) -> HttpResponse:
    engine, on = seen.engine, seen.on
    now, state = conditions_of(engine, on), state_of(engine, on)
    fit = services.last_signature(engine)
    is_out = bool(now.stops) and engine.gone_on is None
    worked = seen.may("sign fit for traffic") and services.did_the_work(engine, seen.member, on)
    may_sign = is_out and now.are_met and seen.may("sign fit for traffic") and not worked
    may_record = (
        is_out and fit is not None and fit.checksum == now.checksum and seen.may("record the return to traffic")
    )
    context = {
        "engine": engine, "state": state, "now": now, "fit": fit,
        "fit_holds": fit is not None and fit.checksum == now.checksum and now.are_met,
        "sees_contents": Engine.objects.contents_visible_to(seen.member, on=on).filter(pk=engine.pk).exists(),
        "barred": services.OWN_WORK if worked and is_out else "",
        "fit_form": tried.get("fit_form") or (FitForm(auto_id="id_fit_%s") if may_sign else None),
        "return_form": tried.get("return_form")
        or (ReturnForm(today=on, auto_id="id_return_%s") if may_record else None),
        "returns": ReturnToTraffic.objects.filter(engine=engine).select_related("fit__signed_by", "recorded_by"),
    }  # fmt: skip
    return answer(request, "traffic/returning.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def lift(request: HttpRequest, pk: int) -> HttpResponse:
    """A boiler's stop, by an inspector who neither owns the engine nor had a hand in it."""
    stop, seen = stop_for(request, pk)
    require(stop.is_of_boiler, OTHER_STOPS)
    require(may_lift_boiler_stop(seen.member, seen.engine, seen.on), BOILER_REFUSED)
    sent = request.POST if request.method == "POST" else None
    form = LiftForm(sent, on=seen.on, initial={"on": timezone.localdate()})
    if sent is not None and try_once(
        form,
        lambda: lift_stop(
            stoppage=stop, words=form.cleaned_data["words"], on=form.cleaned_data["on"], doing=doing_now(seen),
            mark=form.cleaned_data["submission"],
        ),
    ):  # fmt: skip
        messages.success(
            request, "The stop on the boiler is lifted. The engine itself goes back by its return to traffic."
        )
        return go_to(request, reverse("traffic:returning", args=[seen.engine.pk]))
    context = {"stop": stop, "engine": seen.engine, "form": form, "days": stop.days(seen.on)}
    return answer(request, "traffic/lift_stop.html", context, status=422 if form.is_bound else 200)


@require_POST
def strike(request: HttpRequest, pk: int) -> HttpResponse:
    """What was reported wrongly stops the engine no more: never by one who worked on it since."""
    stop, seen = stop_for(request, pk)
    require(may_strike(stop, seen), STRUCK_BY)
    require(not services.did_the_work(seen.engine, seen.member, seen.on), services.OWN_WORK)
    form = StrikeForm(request.POST, auto_id="id_strike_%s")
    saved = try_once(
        form,
        lambda: strike_stop(
            stoppage=stop, reason=form.cleaned_data["reason"], doing=doing_now(seen),
            mark=form.cleaned_data["submission"],
        ),
    )  # fmt: skip
    if not saved:
        return show_stop(request, stop, seen, status=422, strike_form=form)
    messages.success(request, "Struck out; it stays readable and no longer stops the engine.")
    return go_to(request, stop.get_absolute_url())
