"""One's own page and password, and the club's settings."""

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from restorations.members.addresses import client_address
from restorations.members.forms import ChangePasswordForm, ClubForm, OwnForm
from restorations.members.models import Act, Club, Member, answers_for_others
from restorations.members.permissions import require
from restorations.members.requests import NOT_TRIED, sent, signed_in, try_saving
from restorations.members.services import door
from restorations.members.services import people as services
from restorations.web.answers import answer, go_to

WRONG_PASSWORD = "This is not your present password."  # noqa: S105


@sensitive_post_parameters("current")
@require_http_methods(["GET", "HEAD", "POST"])
def own(request: HttpRequest) -> HttpResponse:
    member, tried = signed_in(request), NOT_TRIED
    start = {"full_name": member.full_name, "email": member.email, "version": member.version}
    form = OwnForm(sent(request), initial=start)

    def save() -> None:
        data = form.cleaned_data
        if data["email"] != member.email:
            check_password(request, member, data["current"])
        services.change_own(
            member=member,
            full_name=data["full_name"],
            email=data["email"],
            version=data["version"],
            mark=data["submission"],
        )

    if request.method == "POST":
        tried = try_saving(form, save)
        if tried.saved:
            messages.success(request, "Saved.")
            return redirect("members:own")
    context = {
        "form": form,
        "differences": tried.differences,
        "answers_for_others": answers_for_others(member, timezone.localdate()),
    }
    return render(request, "members/own.html", context, status=tried.status)


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def own_password(request: HttpRequest) -> HttpResponse:
    member = signed_in(request)
    form = ChangePasswordForm(sent(request), member=member)
    if request.method == "POST" and form.is_valid():
        try:
            check_password(request, member, form.cleaned_data["current"])
        except ValidationError as error:
            form.add_error(None, error)
        else:
            services.change_password(member=member, password=form.cleaned_data["password"])
            update_session_auth_hash(request, member)
            messages.success(request, "Your password is changed. Everywhere else you are signed out.")
            return redirect("members:own")
    return render(request, "members/own_password.html", {"form": form}, status=422 if request.method == "POST" else 200)


def check_password(request: HttpRequest, member: Member, password: str) -> None:
    """Raises ValidationError on the field `current` where it is not the password, or was tried too often."""
    try:
        known = door.knows_own_password(member, password=password, address=client_address(request), at=timezone.now())
    except door.TooManyFailures as failure:
        raise ValidationError({"current": str(failure)}) from None
    if not known:
        raise ValidationError({"current": WRONG_PASSWORD})


@require_http_methods(["GET", "HEAD", "POST"])
def club(request: HttpRequest) -> HttpResponse:
    member, settings, tried = signed_in(request), Club.current(), NOT_TRIED
    require(member, "club settings")
    form = ClubForm(sent(request), instance=settings, initial={"version": settings.version})

    def save() -> None:
        fields = {name: form.cleaned_data[name] for name in ClubForm.Meta.fields}
        services.change_club(
            by=member, fields=fields, version=form.cleaned_data["version"], mark=form.cleaned_data["submission"]
        )

    if request.method == "POST":
        tried = try_saving(form, save)
        if tried.saved:
            messages.success(request, "Saved.")
            return go_to(request, request.path)
    context = {"form": form, "differences": tried.differences, "acts": Act.objects.about(settings)[:20]}
    return answer(request, "members/club.html", context, fragment="members/_club_form.html", status=tried.status)
