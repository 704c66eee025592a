"""Jobs and cards of an engine, sets of cards to start from, and good first jobs for newcomers."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from restorations.engines.access import require
from restorations.engines.views.visits import Visit, try_once, visit
from restorations.members.models import Act
from restorations.members.requests import NOT_TRIED, signed_in, try_saving
from restorations.tasks.card_sets import load_card_sets
from restorations.tasks.forms.jobs import CardForm, CardSetForm, CardStateForm, JobForm
from restorations.tasks.models import JobCard, Restoration
from restorations.tasks.models.jobs import OPEN_STATES
from restorations.tasks.queries import cards_of, entries_of, in_order_of_state, with_spent
from restorations.tasks.services import jobs as services
from restorations.tasks.tables import CARDS
from restorations.tasks.views.working import doing_of, page_of, require_plan, row_and_visit
from restorations.web.answers import answer, go_to
from restorations.web.conflicts import VersionedForm
from restorations.web.fields import OnceForm
from restorations.web.tables_out import taken_out

READ = ["GET", "HEAD", "POST"]


@require_safe
def cards(request: HttpRequest, pk: int) -> HttpResponse:
    """Every card of an engine, by how it stands; the jobs they belong to."""
    seen = visit(request, pk)
    rows = cards_of(seen.engine)
    table = taken_out(request, CARDS, in_order_of_state(rows))
    if table is not None:
        return table
    context = {
        "engine": seen.engine,
        "jobs": list(seen.engine.jobs.all()),
        "still_open": in_order_of_state(rows.filter(state__in=OPEN_STATES)),
        "page": page_of(request, rows.exclude(state__in=OPEN_STATES).order_by("-ended_at", "-pk")),
        "may_plan": seen.may("plan work"),
    }
    return answer(request, "tasks/cards.html", context)


@require_http_methods(READ)
def new_card(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    require_plan(seen)
    start = {name: request.GET.get(name, "")[:20] for name in ("job", "system", "side")}
    form = CardForm(request.POST if request.method == "POST" else None, engine=seen.engine, initial=start)

    def save() -> None:
        services.write_card(
            engine=seen.engine, plan=form.plan(), doing=doing_of(seen), mark=form.cleaned_data["submission"]
        )

    if request.method == "POST" and try_once(form, save):
        messages.success(request, "The card is written.")
        return go_to(request, reverse("tasks:cards", args=[seen.engine.pk]))
    context = {"engine": seen.engine, "form": form}
    return answer(request, "tasks/card_form.html", context, status=422 if form.is_bound else 200)


@require_http_methods(READ)
def change_card(request: HttpRequest, pk: int) -> HttpResponse:
    card, seen = row_and_visit(request, JobCard.objects.all(), pk)
    require_plan(seen)
    start = CardForm.said_of(card)
    form = CardForm(
        request.POST if request.method == "POST" else None, engine=seen.engine, card=card, initial=start
    )  # fmt: skip
    tried = NOT_TRIED
    if request.method == "POST":
        tried = try_saving(form, lambda: _change(card, form, seen))
        if tried.saved:
            messages.success(request, "Saved.")
            return go_to(request, card.get_absolute_url())
    context = {"engine": seen.engine, "card": card, "form": form, "differences": tried.differences}
    return answer(request, "tasks/card_form.html", context, status=tried.status)


def _change(card: JobCard, form: CardForm, seen: Visit) -> None:
    data = form.cleaned_data
    services.change_card(
        card=card, plan=form.plan(), member=seen.member, mark=data["submission"], version=data["version"]
    )


@require_safe
def card(request: HttpRequest, pk: int) -> HttpResponse:
    row, seen = row_and_visit(request, JobCard.objects.all(), pk)
    return _card_shown(request, row, seen, CardStateForm(initial=CardStateForm.said_of(row)))


@require_POST
def set_card_state(request: HttpRequest, pk: int) -> HttpResponse:
    row, seen = row_and_visit(request, JobCard.objects.all(), pk)
    on_it = row.people.filter(pk=seen.member.pk).exists()
    require(
        on_it or seen.may("plan work"),
        "How a card stands is said by whoever is on it, the engine's hands, its owner or a mentor.",
    )
    form = CardStateForm(request.POST)

    def save() -> None:
        data = form.cleaned_data
        services.set_card_state(
            card=row, wanted=form.wanted(), doing=doing_of(seen), mark=data["submission"], version=data["version"]
        )

    tried = try_saving(form, save)
    if tried.saved:
        messages.success(request, "Saved.")
        return go_to(request, row.get_absolute_url())
    fresh = JobCard.objects.select_related("engine").get(pk=row.pk)
    return _card_shown(request, fresh, seen, form, status=tried.status, differences=tried.differences)


def _card_shown(
    request: HttpRequest, row: JobCard, seen: Visit, form: CardStateForm, *, status: int = 200, differences: Any = None
) -> HttpResponse:
    shown = with_spent(JobCard.objects.filter(pk=row.pk)).get()
    on_it = any(person.pk == seen.member.pk for person in shown.people.all())
    context = {
        "engine": seen.engine,
        "card": shown,
        "first": list(shown.comes_after.all()),
        "then": list(shown.comes_before.all()),
        "entries": list(entries_of(shown.entries.all())[:20]),
        "wanted": list(shown.wanted.all()),
        "acts": Act.objects.about(row).select_related("member")[:30],
        "form": form,
        "differences": differences,
        "may_plan": seen.may("plan work"),
        "may_log_work": seen.may("log work as a helper"),
        "may_set_state": on_it or seen.may("plan work"),
        "may_take_on": shown.is_open and not on_it and (seen.may("plan work") or shown.is_good_first_job),
    }
    return answer(request, "tasks/card.html", context, status=status)


@require_POST
def take_on(request: HttpRequest, pk: int) -> HttpResponse:
    row, seen = row_and_visit(request, JobCard.objects.all(), pk)
    require(
        seen.may("plan work") or (row.is_good_first_job and seen.may("log work as a helper")),
        "Ask one of the engine's hands to put you on this card.",
    )
    form = OnceForm(request.POST)
    if form.is_valid() and row.is_open:
        services.take_on(card=row, member=seen.member, mark=form.cleaned_data["submission"])
        messages.success(request, f"You are on “{row.title}”.")
    return go_to(request, row.get_absolute_url())


@require_safe
def first_jobs(request: HttpRequest) -> HttpResponse:
    """Good first jobs on every engine this member may see."""
    member, on = signed_in(request), timezone.localdate()
    rows = with_spent(JobCard.objects.contents_visible_to(member, on=on).good_first_jobs())
    table = taken_out(request, CARDS, rows)
    if table is not None:
        return table
    return answer(request, "tasks/first_jobs.html", {"page": page_of(request, rows)})


@require_http_methods(READ)
def card_sets(request: HttpRequest, pk: int) -> HttpResponse:
    """The stages to choose from; one of them with its cards to tick."""
    seen = visit(request, pk)
    require_plan(seen)
    sets, name = load_card_sets(), request.GET.get("stage", "")
    if not name and request.method != "POST":
        return answer(request, "tasks/card_sets.html", {"engine": seen.engine, "sets": list(sets.values())})
    if name not in sets:
        raise Http404("no such set of cards")
    data = request.POST if request.method == "POST" else None
    form = CardSetForm(data, engine=seen.engine, card_set=sets[name], initial={"job": request.GET.get("job", "")[:18]})
    if request.method == "POST" and form.is_valid():
        services.start_from_set(
            engine=seen.engine, job=form.cleaned_data["job"], chosen=form.chosen, doing=doing_of(seen),
            mark=form.cleaned_data["submission"],
        )  # fmt: skip
        messages.success(request, "The cards are written. Change their hours to what you expect of this engine.")
        return go_to(request, reverse("tasks:cards", args=[seen.engine.pk]))
    context = {"engine": seen.engine, "set": sets[name], "form": form}
    return answer(request, "tasks/card_set.html", context, status=422 if form.is_bound else 200)


@require_http_methods(READ)
def new_job(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk)
    require_plan(seen)
    form = JobForm(request.POST if request.method == "POST" else None)
    if not form.is_valid():
        context = {"engine": seen.engine, "form": form}
        return answer(request, "tasks/job_form.html", context, status=422 if form.is_bound else 200)
    data = form.cleaned_data
    row = services.begin_job(
        engine=seen.engine, kind=data["kind"], title=data["title"], begun_on=data["begun_on"], doing=doing_of(seen),
        mark=data["submission"],
    )  # fmt: skip
    messages.success(request, "Begun. Now write its cards, or start from a set.")
    return go_to(request, row.get_absolute_url())


@require_safe
def job(request: HttpRequest, pk: int) -> HttpResponse:
    row, seen = row_and_visit(request, Restoration.objects.all(), pk)
    return _job_shown(request, row, seen)


@require_POST
def close_job(request: HttpRequest, pk: int) -> HttpResponse:
    row, seen = row_and_visit(request, Restoration.objects.all(), pk)
    require_plan(seen)
    form = VersionedForm(request.POST)

    def save() -> None:
        data = form.cleaned_data
        services.close_job(
            job=row, on=seen.on, member=seen.member, mark=data["submission"], version=data["version"]
        )  # fmt: skip

    tried = try_saving(form, save)
    if tried.saved:
        messages.success(request, "The job is closed.")
        return go_to(request, row.get_absolute_url())
    fresh = Restoration.objects.get(pk=row.pk)
    return _job_shown(request, fresh, seen, form, tried.status, tried.differences)


def _job_shown(
    request: HttpRequest, row: Restoration, seen: Visit, form: VersionedForm | None = None, status: int = 200,
    differences: Any = None,
) -> HttpResponse:  # fmt: skip
    rows = with_spent(row.cards.all())
    context = {
        "engine": seen.engine,
        "job": row,
        "cards": in_order_of_state(rows),
        "held_by": services.what_holds_open(row) if row.closed_on is None else [],
        "form": form or VersionedForm(initial={"version": row.version}),
        "differences": differences,
        "may_plan": seen.may("plan work"),
    }
    return answer(request, "tasks/job.html", context, status=status)
