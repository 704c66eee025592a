"""The list of people, one person's page, and what the administrator changes there."""

from collections.abc import Callable

from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from restorations.members.forms import LeftForm, OfficesForm
from restorations.members.models import Act, Member
from restorations.members.permissions import may, require
from restorations.members.requests import NOT_TRIED, sent, signed_in, try_saving
from restorations.members.services import people as services
from restorations.members.tables import PEOPLE, PEOPLE_WITH_EMAIL
from restorations.web.answers import answer
from restorations.web.conflicts import VersionedForm
from restorations.web.tables_out import taken_out


@require_safe
def people(request: HttpRequest) -> HttpResponse:
    member = signed_in(request)
    sought = request.GET.get("name", "").replace("\x00", "")[:80].strip()
    found = Member.objects.filter(Q(full_name__icontains=sought) | Q(sign_in_name__icontains=sought))
    columns = PEOPLE_WITH_EMAIL if may(member, "see e-mail addresses") else PEOPLE
    table = taken_out(request, columns, found)
    if table is not None:
        return table
    context = {
        "sought": sought,
        "current": [person for person in found if person.left_on is None],
        "former": [person for person in found if person.left_on is not None],
        "may_invite": may(member, "invite"),
    }
    return answer(request, "members/people.html", context, fragment="members/_people_list.html")


@require_safe
def person(request: HttpRequest, pk: int) -> HttpResponse:
    member, seen = signed_in(request), get_object_or_404(Member, pk=pk)
    runs_the_club = may(member, "see e-mail addresses")
    context = {
        "person": seen,
        "sees_email": runs_the_club or seen == member,
        "acts": Act.objects.about(seen).select_related("member")[:50] if runs_the_club or seen == member else None,
        "may_set_roles": may(member, "set roles"),
    }
    return render(request, "members/person.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def offices(request: HttpRequest, pk: int) -> HttpResponse:
    member, changed = signed_in(request), get_object_or_404(Member, pk=pk)
    require(member, "set roles")
    form = OfficesForm(sent(request), initial={"offices": list(changed.offices), "version": changed.version})

    def save() -> None:
        data = form.cleaned_data
        services.set_offices(
            member=changed,
            by=member,
            offices=frozenset(data["offices"]),
            version=data["version"],
            mark=data["submission"],
        )

    return _change(request, form, save, changed, "members/offices.html")


@require_http_methods(["GET", "HEAD", "POST"])
def left(request: HttpRequest, pk: int) -> HttpResponse:
    member, changed = signed_in(request), get_object_or_404(Member, pk=pk)
    require(member, "record that a member left")
    start = {"left_on": changed.left_on, "version": changed.version}
    form = LeftForm(sent(request), initial=start, member=changed)

    def save() -> None:
        data = form.cleaned_data
        services.record_left(
            member=changed, by=member, left_on=data["left_on"], version=data["version"], mark=data["submission"]
        )

    return _change(request, form, save, changed, "members/left.html")


def _change(
    request: HttpRequest, form: VersionedForm, save: Callable[[], None], changed: Member, page: str
) -> HttpResponse:
    tried = NOT_TRIED
    if request.method == "POST":
        tried = try_saving(form, save)
        if tried.saved:
            messages.success(request, "Saved.")
            return redirect("members:person", changed.pk)
    context = {"form": form, "person": changed, "differences": tried.differences}
    return render(request, page, context, status=tried.status)
