"""Signing in and out, and the two secret ways in: joining, and a slip for a new password."""

from collections.abc import Callable

from django.contrib.auth import login, logout
from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from restorations.members.addresses import client_address, own_page
from restorations.members.forms import JoinForm, NewPasswordForm, SignInForm
from restorations.members.models import Member
from restorations.members.requests import sent
from restorations.members.services import door, invitations

View = Callable[..., HttpResponse]


@login_not_required
@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    if request.method != "POST":
        wanted = request.GET.get("next", "")[:300]
        if request.user.is_authenticated:
            return HttpResponseRedirect(own_page(request, wanted))
        return render(request, "members/sign_in.html", {"form": SignInForm(initial={"next": wanted})})
    form = SignInForm(request.POST)
    status = 422
    if form.is_valid():
        try:
            member = door.recognise(
                request,
                name=form.cleaned_data["name"],
                password=form.cleaned_data["password"],
                address=client_address(request),
                at=timezone.now(),
            )
        except door.TooManyFailures as failure:
            form.add_error(None, str(failure))
            status = 429
        else:
            if member is not None:
                login(request, member)
                return HttpResponseRedirect(own_page(request, form.cleaned_data["next"]))
            form.add_error(
                None, "Name and password do not go together. Both must be exact; capitals count in a password."
            )
    return render(request, "members/sign_in.html", {"form": form}, status=status)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    logout(request)
    return redirect("members:sign_in")


def _dead_links_answered(view: View) -> View:
    """A used, withdrawn, lapsed or invented link is answered in words, and all of them alike."""

    def answered(request: HttpRequest, secret: str) -> HttpResponse:
        try:
            return view(request, secret)
        except invitations.LinkIsDead:
            return render(request, "members/link_is_dead.html", status=404)

    return answered


@login_not_required
@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@_dead_links_answered
def join(request: HttpRequest, secret: str) -> HttpResponse:
    invitation = invitations.open_invitation(secret, at=timezone.now())
    newcomer = Member(full_name=invitation.full_name, email=invitation.email)
    form = JoinForm(sent(request), member=newcomer)
    form.order_fields(["sign_in_name", "password", "again"])
    if request.method == "POST" and form.is_valid():
        try:
            member = invitations.join(
                secret=secret,
                sign_in_name=form.cleaned_data["sign_in_name"],
                password=form.cleaned_data["password"],
                at=timezone.now(),
            )
        except ValidationError as error:
            form.add_error(None, error)
        else:
            return _let_in(request, member)
    status = 422 if request.method == "POST" else 200
    return render(request, "members/join.html", {"form": form, "invitation": invitation}, status=status)


@login_not_required
@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
@_dead_links_answered
def slip(request: HttpRequest, secret: str) -> HttpResponse:
    opened = invitations.open_slip(secret, at=timezone.now())
    form = NewPasswordForm(sent(request), member=opened.member)
    if request.method == "POST" and form.is_valid():
        member = invitations.use_slip(secret=secret, password=form.cleaned_data["password"], at=timezone.now())
        return _let_in(request, member)
    status = 422 if request.method == "POST" else 200
    return render(request, "members/slip.html", {"form": form, "member": opened.member}, status=status)


def _let_in(request: HttpRequest, member: Member) -> HttpResponse:
    login(request, member, backend="django.contrib.auth.backends.ModelBackend")
    return HttpResponseRedirect(own_page(request, ""))
