"""The competent person of a club with one mentor: who it is and was, and the administrator's form."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.members.forms import CompetentPersonForm, ReasonForm
from restorations.members.models import CompetentPerson
from restorations.members.permissions import may, require
from restorations.members.requests import sent, signed_in, try_once
from restorations.members.services import competent as services


@require_http_methods(["GET", "HEAD", "POST"])
def competent_person(request: HttpRequest) -> HttpResponse:
    member, now = signed_in(request), timezone.now()
    if request.method != "POST":
        return _shown(request)
    require(member, "name a competent person")
    form = CompetentPersonForm(sent(request), by=member)

    def save() -> None:
        data = {name: form.cleaned_data[name] for name in ("member", "from_on", "until_on", "why")}
        services.name_competent_person(
            naming=services.Naming(**data), by=member, at=now, mark=form.cleaned_data["submission"]
        )

    if not try_once(form, save):
        return _shown(request, form=form, status=422)
    messages.success(request, "Named, and told.")
    return redirect("members:competent_person")


@require_POST
def end(request: HttpRequest, pk: int) -> HttpResponse:
    member, row = signed_in(request), get_object_or_404(CompetentPerson, pk=pk)
    require(member, "name a competent person")
    form = ReasonForm(request.POST)

    def save() -> None:
        services.end_competent_person(
            row=row, by=member, reason=form.cleaned_data["reason"], at=timezone.now(),
            mark=form.cleaned_data["submission"],
        )  # fmt: skip

    if not try_once(form, save):
        return _shown(request, end_form=form, status=422)
    messages.success(request, "Ended; it stays readable.")
    return redirect("members:competent_person")


def _shown(request: HttpRequest, *, status: int = 200, **tried: Any) -> HttpResponse:
    member, today = signed_in(request), timezone.localdate()
    names = may(member, "name a competent person")
    rows = CompetentPerson.objects.select_related("member", "named_by", "struck_by")
    barred = services.may_be_named()
    form = tried.get("form") or CompetentPersonForm(by=member, initial={"from_on": today})
    context = {
        "rows": rows, "in_force": set(CompetentPerson.objects.in_force(today).values_list("pk", flat=True)),
        "today": today, "barred": barred, "form": form if names and (not barred or "form" in tried) else None,
        "names": names, "end_form": tried.get("end_form") or ReasonForm(),
    }  # fmt: skip
    return render(request, "members/competent.html", context, status=status)
