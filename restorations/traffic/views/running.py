"""Running days: the calendar, one day, planning and calling off, who comes, how it went."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.engines.access import READING
from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Act, Changed, Member
from restorations.members.permissions import may, require
from restorations.members.requests import NOT_TRIED, sent, signed_in, try_once, try_saving
from restorations.traffic.forms.running import (
    CallOffForm,
    CameForm,
    ChangeDayForm,
    ComingForm,
    DayForm,
    EngineForDayForm,
    OutcomeForm,
    in_order,
    may_be_chosen,
)
from restorations.traffic.models import RunningDay
from restorations.traffic.running_page import DAYS, DayPage, listed, read_day, strips
from restorations.traffic.services import running_days as services
from restorations.web.answers import answer, go_to
from restorations.web.tables_out import taken_out

PLAN = "plan running days"
CAME = "record who came to a running day"
MOST_GONE = 60


def doing_now(member: Member) -> Doing:
    return Doing(member, timezone.now())


@require_http_methods(["GET", "HEAD", "POST"])
def running_days(request: HttpRequest) -> HttpResponse:
    member, today = signed_in(request), timezone.localdate()
    form = DayForm(sent(request))
    if request.method not in READING:
        require(member, PLAN)
        planned = try_once(
            form,
            lambda: services.plan_day(
                on=form.cleaned_data["on"], said=form.said(), doing=doing_now(member),
                mark=form.cleaned_data["submission"],
            ),
        )  # fmt: skip
        if planned:
            messages.success(request, "It is in the calendar.")
            return go_to(request, reverse("traffic:running_days"))
    rows = listed(member, on=today)
    table = taken_out(request, DAYS, rows)
    if table is not None:
        return table
    ahead, gone = in_order(rows, today)
    context = {
        "strips": strips(rows, today), "ahead": ahead, "gone": gone[:MOST_GONE], "gone_in_all": len(gone),
        "form": form if may(member, PLAN) else None,
    }  # fmt: skip
    return answer(request, "traffic/running_days.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "HEAD"])
def running_day(request: HttpRequest, pk: int) -> HttpResponse:
    return shown(request, get_object_or_404(RunningDay, pk=pk))


def shown(request: HttpRequest, row: RunningDay, *, status: int = 200, **tried: Any) -> HttpResponse:
    """The page of one day, with a form that was tried in the place of the empty one."""
    member, today = signed_in(request), timezone.localdate()
    page = read_day(row, member, today=today)
    mine = next((one for one in page.people if one.member_id == member.pk), None)
    forms = _forms(row, page, member) | tried
    plans = may(member, PLAN)
    context = {
        "day": row, "page": page, "mine": mine, "plans": plans, "coming_form": ComingForm(),
        "allocates": may(member, "allocate an engine to a running day"),
        "acts": Act.objects.about(row).select_related("member")[:30] if plans else None,
        **forms,
    }  # fmt: skip
    return answer(request, "traffic/running_day.html", context, status=status)


def _forms(row: RunningDay, page: DayPage, member: Member) -> dict[str, Any]:
    """Those this member may fill in, on this day as it stands."""
    there = [held.row.engine_id for held in page.allocations if held.row.is_allocated or not may(member, PLAN)]
    engines = may_be_chosen(Engine.objects.visible_to(member, on=page.today), there)
    may_add = not row.is_called_off and (may(member, PLAN) or not page.is_over)
    records = may(member, CAME) and page.has_come and not row.is_called_off
    came = [one.member_id for one in page.people if one.came or (one.came is None and one.coming == "yes")]
    return {
        "engine_form": EngineForDayForm(engines=engines, auto_id="id_for_%s") if may_add else None,
        "call_off_form": CallOffForm(auto_id="id_off_%s") if may(member, PLAN) and not row.is_called_off else None,
        "came_form": CameForm(initial={"came": came}, auto_id="id_came_%s") if records else None,
        "outcome_form": OutcomeForm(
            initial={"outcome": row.outcome, "version": row.version}, auto_id="id_out_%s"
        ) if records else None,
    }  # fmt: skip


@require_http_methods(["GET", "HEAD", "POST"])
def change_day(request: HttpRequest, pk: int) -> HttpResponse:
    member, row = signed_in(request), get_object_or_404(RunningDay, pk=pk)
    require(member, PLAN)
    form, tried = ChangeDayForm(sent(request), initial=ChangeDayForm.said_of(row)), NOT_TRIED
    if request.method == "POST":
        tried = try_saving(
            form,
            lambda: services.change_day(
                row=row, version=form.cleaned_data["version"], said={"on": form.cleaned_data["on"], **form.said()},
                doing=doing_now(member), mark=form.cleaned_data["submission"],
            ),
        )  # fmt: skip
        if tried.saved:
            messages.success(request, "Changed.")
            return go_to(request, row.get_absolute_url())
    context = {"day": row, "form": form, "differences": tried.differences}
    return answer(request, "traffic/change_day.html", context, status=tried.status)


@require_POST
def call_off(request: HttpRequest, pk: int) -> HttpResponse:
    member, row = signed_in(request), get_object_or_404(RunningDay, pk=pk)
    require(member, PLAN)
    form = CallOffForm(request.POST, auto_id="id_off_%s")

    def save() -> None:
        services.call_off(
            row=row, reason=form.cleaned_data["reason"], doing=doing_now(member), mark=form.cleaned_data["submission"]
        )

    return _after(request, row, form, save, "call_off_form", "Called off; it stays in the calendar with the reason.")


@require_POST
def coming(request: HttpRequest, pk: int) -> HttpResponse:
    member, row = signed_in(request), get_object_or_404(RunningDay, pk=pk)
    form = ComingForm(request.POST)

    def save() -> None:
        services.say_coming(
            row=row, coming=form.cleaned_data["coming"], doing=doing_now(member), mark=form.cleaned_data["submission"]
        )

    return _after(request, row, form, save, "tried_coming", "Noted.")


@require_POST
def came(request: HttpRequest, pk: int) -> HttpResponse:
    member, row = signed_in(request), get_object_or_404(RunningDay, pk=pk)
    require(member, CAME)
    form = CameForm(request.POST, auto_id="id_came_%s")

    def save() -> None:
        services.record_who_came(
            row=row, came=list(form.cleaned_data["came"]), doing=doing_now(member),
            mark=form.cleaned_data["submission"],
        )  # fmt: skip

    return _after(request, row, form, save, "came_form", "Recorded.")


@require_POST
def outcome(request: HttpRequest, pk: int) -> HttpResponse:
    member, row = signed_in(request), get_object_or_404(RunningDay, pk=pk)
    require(member, CAME)
    form = OutcomeForm(request.POST, auto_id="id_out_%s")
    tried = try_saving(
        form,
        lambda: services.tell_how_it_went(
            row=row, version=form.cleaned_data["version"], words=form.cleaned_data["outcome"],
            doing=doing_now(member), mark=form.cleaned_data["submission"],
        ),
    )  # fmt: skip
    if not tried.saved:
        return shown(request, row, status=tried.status, outcome_form=form, differences=tried.differences)
    messages.success(request, "Recorded.")
    return go_to(request, row.get_absolute_url())


def _after(
    request: HttpRequest, row: RunningDay, form: Any, save: Callable[[], None], name: str, words: str
) -> HttpResponse:
    """Back to the day, or the day's page with the form and what there is to mend."""
    try:
        saved = try_once(form, save)
    except Changed:  # somebody saved in the same moment; what is asked for here does not depend on it
        saved = False
        form.add_error(None, "Somebody changed this day in the same moment. Send it again.")
    if not saved:
        return shown(request, row, status=422, **{name: form})
    messages.success(request, words)
    return go_to(request, row.get_absolute_url())
