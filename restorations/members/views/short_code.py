"""The short code of those who give go-aheads: set, and taken away; never shown."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from restorations.members.forms import ShortCodeForm
from restorations.members.models import Member, answers_for_others
from restorations.members.requests import sent, signed_in
from restorations.members.services import short_codes as services
from restorations.members.views.own import check_password


def _require(member: Member) -> None:
    if not answers_for_others(member, timezone.localdate()):
        raise PermissionDenied("A short code is for those who give go-aheads: mentors and inspectors.")


@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def short_code(request: HttpRequest) -> HttpResponse:
    member = signed_in(request)
    _require(member)
    form = ShortCodeForm(sent(request))
    if request.method == "POST" and form.is_valid():
        try:
            check_password(request, member, form.cleaned_data["current"])
        except ValidationError as error:
            form.add_error(None, error)
        else:
            services.set_short_code(member=member, code=form.cleaned_data["code"], at=timezone.now())
            messages.success(request, "Your short code is set. It is kept hashed and never shown.")
            return redirect("members:own")
    context = {"form": form, "is_set": services.has_short_code(member)}
    return render(request, "members/short_code.html", context, status=422 if request.method == "POST" else 200)


@require_POST
def take_away(request: HttpRequest) -> HttpResponse:
    member = signed_in(request)
    _require(member)
    services.take_short_code_away(member=member)
    messages.success(request, "Your short code is taken away.")
    return redirect("members:own")
