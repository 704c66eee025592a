"""The wanted list of an engine and of the club, with what was spent for those who look after the money."""

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from restorations.engines.access import require
from restorations.engines.views.visits import Visit, try_once, visit
from restorations.members.models import Act
from restorations.members.permissions import may
from restorations.members.requests import NOT_TRIED, signed_in, try_saving
from restorations.tasks.forms.wanted import WantedForm
from restorations.tasks.models import Wanted
from restorations.tasks.queries import totals_of
from restorations.tasks.services import wanted as services
from restorations.tasks.tables import WANTED, WANTED_WITH_MONEY
from restorations.tasks.views.working import doing_of, page_of, require_plan, row_and_visit
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm
from restorations.web.tables_out import taken_out


@require_safe
def club_wanted(request: HttpRequest) -> HttpResponse:
    """What is wanted for every engine this member may see; the totals for whoever looks after the club's money."""
    member, on = signed_in(request), timezone.localdate()
    rows = Wanted.objects.contents_visible_to(member, on=on)
    sees_money = may(member, "see what was spent")
    listed = _listed(rows if sees_money else rows.still_wanted())
    table = taken_out(request, WANTED_WITH_MONEY if sees_money else WANTED, listed)
    if table is not None:
        return table
    context = {
        "page": page_of(request, listed),
        "totals": totals_of(rows) if sees_money else None,
        "sees_money": sees_money,
        "may_repay": may(member, "record a repayment"),
    }
    return answer(request, "tasks/club_wanted.html", context)


def _listed(rows: QuerySet[Wanted]) -> QuerySet[Wanted]:
    return rows.select_related("engine", "card", "paid_by")


@require_http_methods(["GET", "HEAD", "POST"])
def wanted(request: HttpRequest, pk: int) -> HttpResponse:
    """What is wanted for one engine; one thing more."""
    seen = visit(request, pk)
    start = {"card": request.GET.get("card", "")[:18]}
    form = WantedForm(request.POST if request.method == "POST" else None, engine=seen.engine, initial=start)
    if request.method == "POST":
        require_plan(seen)
        if form.is_valid():
            services.want(
                engine=seen.engine, columns=form.columns(), doing=doing_of(seen), mark=form.cleaned_data["submission"]
            )
            messages.success(request, "It is on the list.")
            return go_to(request, reverse("tasks:wanted", args=[seen.engine.pk]))
    return _wanted_shown(request, seen, form, status=422 if form.is_bound else 200)


def _wanted_shown(request: HttpRequest, seen: Visit, form: WantedForm, status: int) -> HttpResponse:
    sees_money = seen.may("see what was spent")
    whole = WANTED_WITH_MONEY if sees_money or seen.may("plan work") else WANTED
    table = taken_out(request, whole, _listed(seen.engine.wanted.all()))
    if table is not None:
        return table
    context = {
        "engine": seen.engine,
        "page": page_of(request, _listed(seen.engine.wanted.all())),
        "form": form if seen.may("plan work") else None,
        "may_plan": seen.may("plan work"),
        "totals": totals_of(seen.engine.wanted.all()) if sees_money else None,
        "sees_money": sees_money or seen.may("plan work"),
        "may_repay": seen.may("record a repayment"),
    }
    return answer(request, "tasks/wanted.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
def change_wanted(request: HttpRequest, pk: int) -> HttpResponse:
    row, seen = row_and_visit(request, Wanted.objects.select_related("paid_by", "card"), pk)
    require_plan(seen)
    data = request.POST if request.method == "POST" else None
    form = WantedForm(data, engine=seen.engine, row=row, initial=WantedForm.said_of(row))

    def save() -> None:
        services.change_wanted(
            row=row, columns=form.columns(), member=seen.member, mark=form.cleaned_data["submission"],
            version=form.cleaned_data["version"],
        )  # fmt: skip

    tried = try_saving(form, save) if data is not None else NOT_TRIED
    if data is not None and tried.saved:
        messages.success(request, "Saved.")
        return go_to(request, reverse("tasks:wanted", args=[seen.engine.pk]))
    context = {
        "engine": seen.engine, "row": row, "form": form, "differences": tried.differences,
        "acts": Act.objects.about(row).select_related("member")[:20],
    }  # fmt: skip
    return answer(request, "tasks/wanted_form.html", context, status=tried.status)


@require_POST
def repay(request: HttpRequest, pk: int) -> HttpResponse:
    """Whoever paid has it back; nobody writes that of themselves."""
    row, seen = row_and_visit(request, Wanted.objects.select_related("paid_by"), pk)
    require(
        seen.may("record a repayment") and row.paid_by_id != seen.member.pk,
        "A repayment is written down by the owner, the secretary or the administrator, and never one's own.",
    )
    form = OnceForm(request.POST)

    def save() -> None:
        services.repay(row=row, on=seen.on, member=seen.member, mark=form.cleaned_data["submission"])

    if try_once(form, save):
        messages.success(request, f"Written down: {row.paid_by} has it back.")
    else:
        messages.error(request, form.first_error)
    return go_to(request, reverse("tasks:wanted", args=[seen.engine.pk]))
