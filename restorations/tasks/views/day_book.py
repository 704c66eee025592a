"""The day book: writing in it, and its pages by engine, person and club."""

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from restorations.engines.access import require
from restorations.engines.forms import StrikeForm
from restorations.engines.models import Engine
from restorations.engines.views.visits import Visit, try_once, visit
from restorations.members.models import Act, Member
from restorations.members.requests import signed_in
from restorations.photos.services import take_in
from restorations.tasks.forms.day_book import DayBookFilter, EntryForm
from restorations.tasks.models import DayBookEntry
from restorations.tasks.queries import entries_of, known_dimensions
from restorations.tasks.services import day_book as services
from restorations.tasks.tables import DAY_BOOK
from restorations.tasks.views.working import doing_of, may_strike, page_of, row_and_visit, said
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm
from restorations.web.tables_out import taken_out

MOST_ENGINES = 30


@require_safe
def start_log(request: HttpRequest) -> HttpResponse:
    """To the engine this member wrote of last, or the only one they work on; else they choose."""
    member, on = signed_in(request), timezone.localdate()
    readable = Engine.objects.contents_visible_to(member, on=on).still_here()
    last = DayBookEntry.objects.filter(recorded_by=member, engine__in=readable).order_by("-recorded_at").first()
    mine = list(readable.with_hands(member, on=on)[:MOST_ENGINES])
    if last is not None or len(mine) == 1:
        return go_to(request, reverse("tasks:log", args=[last.engine_id if last else mine[0].pk]))
    context = {"engines": mine or list(readable[:MOST_ENGINES])}
    return answer(request, "tasks/log_where.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def log(request: HttpRequest, pk: int) -> HttpResponse:
    """One entry: what was done, and as much more as there is."""
    seen = visit(request, pk)
    doing = doing_of(seen)
    start = {name: request.GET.get(name, "")[:20] for name in ("card", "system", "side")}
    form = EntryForm(
        *((request.POST, request.FILES) if request.method == "POST" else ()), engine=seen.engine, member=seen.member,
        initial=start, known=known_dimensions(seen.engine) if request.method == "POST" else None,
    )  # fmt: skip

    def save() -> None:
        photos = take_in(form.cleaned_data["photos"], seen.engine, doing)
        services.write_entry(
            engine=seen.engine, draft=form.draft(photos), doing=doing, mark=form.cleaned_data["submission"]
        )

    if request.method == "POST" and try_once(form, save):
        messages.success(request, said(doing.stands, "Written in the day book."))
        return go_to(request, reverse("tasks:day_book", args=[seen.engine.pk]))
    context = {
        "engine": seen.engine,
        "form": form,
        "stands": doing.stands,
        "others": Engine.objects.with_hands(seen.member, on=seen.on).still_here().exclude(pk=pk)[:MOST_ENGINES],
    }
    return answer(request, "tasks/log.html", context, status=422 if form.is_bound else 200)


@require_safe
def day_book(request: HttpRequest, pk: int) -> HttpResponse:
    """The day book of one engine."""
    seen = visit(request, pk)
    context = {"engine": seen.engine, "may_log_work": seen.may("log work as a helper")}
    return _pages(request, seen.engine.entries.all(), context)


@require_safe
def club_day_book(request: HttpRequest) -> HttpResponse:
    """The day book of every engine this member may read."""
    member, on = signed_in(request), timezone.localdate()
    return _pages(request, DayBookEntry.objects.contents_visible_to(member, on=on), {"may_log_work": True})


@require_safe
def persons_day_book(request: HttpRequest, pk: int) -> HttpResponse:
    """What one person did and helped with, as far as the asking member may read it."""
    member, on = signed_in(request), timezone.localdate()
    person = get_object_or_404(Member, pk=pk)
    rows = DayBookEntry.objects.contents_visible_to(member, on=on).by(person)
    return _pages(request, rows, {"person": person})


def _pages(request: HttpRequest, rows: Any, context: Mapping[str, Any]) -> HttpResponse:
    form = DayBookFilter(request.GET)
    if "person" in context:
        del form.fields["person"]
    asked = form.asked
    rows = rows.matching(asked.get("q", ""))
    for name in ("system", "side"):
        if name in asked:
            rows = rows.filter(**{name: asked[name]})
    if "person" in asked:
        rows = rows.by(asked["person"])
    table = taken_out(request, DAY_BOOK, entries_of(rows))
    if table is not None:
        return table
    page = page_of(request, entries_of(rows))
    shown = {**context, "form": form, "page": page, "entries": page.object_list, "filtered": bool(asked)}
    return answer(request, "tasks/day_book.html", shown, fragment="tasks/_day_book_page.html")


@require_safe
def entry(request: HttpRequest, pk: int) -> HttpResponse:
    row, seen = row_and_visit(request, DayBookEntry.objects.all(), pk)
    return _entry_shown(request, row, seen)


@require_POST
def accept_entry(request: HttpRequest, pk: int) -> HttpResponse:
    row, seen = row_and_visit(request, DayBookEntry.objects.all(), pk)
    require(
        seen.may("accept a helper's entry"),
        "A helper's line is accepted by one of the hands of the engine, or its owner.",
    )
    if OnceForm(request.POST).is_valid() and not row.is_struck:
        services.accept_entry(entry=row, member=seen.member, at=timezone.now())
        messages.success(request, "Accepted: it stands now.")
    return go_to(request, row.get_absolute_url())


@require_POST
def strike_entry(request: HttpRequest, pk: int) -> HttpResponse:
    row, seen = row_and_visit(request, DayBookEntry.objects.all(), pk)
    require(row.is_struck or may_strike(seen, row), "Struck out by whoever wrote it down, or by a mentor.")
    form = StrikeForm(request.POST)

    def save() -> None:
        if row.is_struck:
            raise ValidationError("This is struck out already.")
        services.strike_entry(
            entry=row, member=seen.member, reason=form.cleaned_data["reason"], at=timezone.now()
        )  # fmt: skip

    if not try_once(form, save):
        return _entry_shown(request, row, seen, form)
    messages.success(request, "Struck out; it stays readable.")
    return go_to(request, row.get_absolute_url())


def _entry_shown(request: HttpRequest, row: DayBookEntry, seen: Visit, form: StrikeForm | None = None) -> HttpResponse:
    shown = entries_of(DayBookEntry.objects.filter(pk=row.pk)).get()
    may = may_strike(seen, shown)
    context = {
        "engine": seen.engine,
        "entry": shown,
        "form": (form or StrikeForm()) if may or form else None,
        "may_accept": seen.may("accept a helper's entry") and not shown.stands and not shown.is_struck,
        "acts": Act.objects.about(row).select_related("member")[:20],
    }
    return answer(request, "tasks/entry.html", context, status=422 if form else 200)
