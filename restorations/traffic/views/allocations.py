"""Engines for a running day: asked for, allocated, withdrawn, and what each did."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines.access import places_of
from restorations.engines.access import require as require_so
from restorations.engines.models import Engine
from restorations.members.models import Member
from restorations.members.permissions import allowed, may, require
from restorations.members.requests import sent, signed_in, try_once
from restorations.traffic.forms.running import EngineForDayForm, RanForm, WithdrawForm
from restorations.traffic.models import Allocation, RunningDay
from restorations.traffic.services import allocations as services
from restorations.traffic.views.running import doing_now, shown
from restorations.web.answers import answer, go_to

ALLOCATE = "allocate an engine to a running day"
NOT_YOURS = "An engine is withdrawn by the secretary, its hands or owner, or whoever asked for it."


@require_POST
def ask(request: HttpRequest, pk: int) -> HttpResponse:
    """Any member asks for an engine; the secretary allocates it at once."""
    member, row = signed_in(request), get_object_or_404(RunningDay, pk=pk)
    require(member, "ask for an engine on a running day")
    allocates = may(member, ALLOCATE)
    engines = Engine.objects.visible_to(member, on=timezone.localdate())
    form = EngineForDayForm(request.POST, engines=engines, auto_id="id_for_%s")
    act = services.allocate if allocates else services.ask_for
    saved = try_once(
        form,
        lambda: act(
            row=row, engine=form.cleaned_data["engine"], words=form.cleaned_data["words"], doing=doing_now(member),
            mark=form.cleaned_data["submission"],
        ),
    )  # fmt: skip
    if not saved:
        return shown(request, row, status=422, engine_form=form)
    _told(request, row, form.cleaned_data["engine"], allocates=allocates)
    return go_to(request, row.get_absolute_url())


def _told(request: HttpRequest, row: RunningDay, engine: Engine, *, allocates: bool) -> None:
    """What was done, and what still stands against it."""
    stands = services.how_it_stands(engine, row, timezone.now()).sentence
    did = f"{engine} is allocated." if allocates else f"{engine} is asked for; the secretary allocates."
    if stands:
        messages.warning(request, f"{did} It can run only if: {stands}." if allocates else f"{did} But: {stands}.")
    else:
        messages.success(request, did)


@require_POST
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    member, held = signed_in(request), _held(request, pk)
    require_so(may_withdraw(member, held), NOT_YOURS)
    form = WithdrawForm(request.POST, auto_id=f"id_{held.pk}_%s")
    saved = try_once(
        form,
        lambda: services.withdraw(
            allocation=held, reason=form.cleaned_data["reason"], doing=doing_now(member),
            mark=form.cleaned_data["submission"],
        ),
    )  # fmt: skip
    if not saved:
        return answer(request, "traffic/withdraw.html", {"held": held, "form": form}, status=422)
    messages.success(request, f"{held.engine} does not run that day.")
    return go_to(request, held.day.get_absolute_url())


@require_http_methods(["GET", "HEAD", "POST"])
def result(request: HttpRequest, pk: int) -> HttpResponse:
    """What it did, for the day book; withdrawing it stands on the same page."""
    member, held = signed_in(request), _held(request, pk)
    places = places_of(member, held.engine, timezone.localdate())
    records = allowed("record what an engine did on a running day", places)
    form = RanForm(sent(request))
    if request.method == "POST":
        require_so(records, services.RESULT_REFUSED)
        saved = try_once(
            form,
            lambda: services.record_result(
                allocation=held, ran=form.result(), doing=doing_now(member), mark=form.cleaned_data["submission"]
            ),
        )
        if saved:
            messages.success(request, "Written into its day book.")
            return go_to(request, held.day.get_absolute_url())
    context: dict[str, Any] = {
        "held": held, "form": form if records else None, "has_come": held.day.on <= timezone.localdate(),
        "withdraw_form": WithdrawForm(auto_id=f"id_{held.pk}_%s") if may_withdraw(member, held) else None,
    }  # fmt: skip
    return answer(request, "traffic/allocation.html", context, status=422 if form.is_bound else 200)


def _held(request: HttpRequest, pk: int) -> Allocation:
    member, on = signed_in(request), timezone.localdate()
    rows = Allocation.objects.visible_to(member, on=on)
    return get_object_or_404(rows.select_related("day", "engine__owner_member", "entry", "asked_by"), pk=pk)


def may_withdraw(member: Member, held: Allocation) -> bool:
    places = places_of(member, held.engine, timezone.localdate())
    near = bool(places & {"hands", "owner"}) or held.asked_by_id == member.pk
    return held.withdrawn_at is None and (may(member, ALLOCATE) or near)
