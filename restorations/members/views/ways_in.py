"""Making the ways in: invitations (shown once), and one-time slips for the administrator to print."""

from datetime import timedelta

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from restorations.members.forms import InviteForm
from restorations.members.models import Invitation, Member
from restorations.members.permissions import require
from restorations.members.requests import sent, signed_in
from restorations.members.services import invitations as services
from restorations.web.fields import OnceForm


@require_http_methods(["GET", "HEAD", "POST"])
def invite(request: HttpRequest) -> HttpResponse:
    member = signed_in(request)
    require(member, "invite")
    form = InviteForm(sent(request))
    if request.method == "POST" and form.is_valid():
        invited = services.invite(
            by=member,
            full_name=form.cleaned_data["full_name"],
            email=form.cleaned_data["email"],
            link=lambda secret: _address(request, "members:join", secret),
            mark=form.cleaned_data["submission"],
            at=timezone.now(),
        )
        address = _address(request, "members:join", invited.secret) if invited.secret else ""
        return render(request, "members/invited.html", {"invitation": invited.invitation, "address": address})
    lately = Invitation.objects.filter(made_at__gt=timezone.now() - timedelta(days=60))
    context = {"form": form, "invitations": lately.select_related("made_by", "joined"), "now": timezone.now()}
    return render(request, "members/invite.html", context, status=422 if request.method == "POST" else 200)


@require_POST
def withdraw_invitation(request: HttpRequest, pk: int) -> HttpResponse:
    member, invitation = signed_in(request), get_object_or_404(Invitation, pk=pk)
    require(member, "invite")
    services.withdraw_invitation(invitation, by=member, at=timezone.now())
    return redirect("members:invite")


@require_http_methods(["GET", "HEAD", "POST"])
def print_slip(request: HttpRequest, pk: int) -> HttpResponse:
    member, forgetful = signed_in(request), get_object_or_404(Member, pk=pk)
    require(member, "print a slip")
    form = OnceForm(sent(request))
    if request.method == "POST" and form.is_valid():
        try:
            printed = services.print_slip(
                member=forgetful, by=member, mark=form.cleaned_data["submission"], at=timezone.now()
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            address = _address(request, "members:slip", printed.secret) if printed.secret else ""
            return render(request, "members/slip_printed.html", {"slip": printed.slip, "address": address})
    status = 422 if request.method == "POST" else 200
    return render(request, "members/print_slip.html", {"form": form, "person": forgetful}, status=status)


def _address(request: HttpRequest, name: str, secret: str) -> str:
    return request.build_absolute_uri(reverse(name, args=[secret]))
