"""Private calendar addresses: one's own, made and revoked; and what a calendar program reads there."""

import hashlib
import zoneinfo

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from restorations.members.models import Club
from restorations.members.requests import sent, signed_in
from restorations.traffic.calendars import entries_of, written
from restorations.traffic.forms.feeds import FeedForm
from restorations.traffic.models import FeedAddress
from restorations.traffic.models.feeds import FEEDS
from restorations.traffic.services import feeds as services
from restorations.web.answers import go_to


@require_http_methods(["GET", "HEAD", "POST"])
def feeds(request: HttpRequest) -> HttpResponse:
    """One's own addresses; a new one is shown on the answer to its form, and never again."""
    member, form = signed_in(request), FeedForm(sent(request))
    if request.method == "POST" and form.is_valid():
        made = services.make_address(
            member=member, feed=form.cleaned_data["feed"], at=timezone.now(), mark=form.cleaned_data["submission"]
        )
        path = reverse("traffic:feed", args=[made.secret]) if made.secret else ""
        context = {"row": made.row, "address": request.build_absolute_uri(path) if path else ""}
        return render(request, "traffic/feed_made.html", context)
    context = {"form": form, "rows": FeedAddress.objects.in_use().filter(member=member)}
    return render(request, "traffic/feeds.html", context, status=422 if form.is_bound else 200)


@require_POST
def revoke(request: HttpRequest, pk: int) -> HttpResponse:
    member = signed_in(request)
    services.revoke(row=get_object_or_404(FeedAddress, pk=pk, member=member), by=member, at=timezone.now())
    return go_to(request, reverse("traffic:feeds"))


@login_not_required
@require_safe
def feed(request: HttpRequest, secret: str) -> HttpResponseBase:
    """The address is the key: no session, and as if it were not there once revoked or its owner has left."""
    row = get_object_or_404(FeedAddress.objects.usable(secret).select_related("member"))
    club = Club.current()
    with timezone.override(zoneinfo.ZoneInfo(club.time_zone)):
        entries = entries_of(row.feed, row.member, on=timezone.localdate())
        body = written(
            entries, name=f"{club}: {FEEDS[row.feed] if row.feed != 'everything' else 'calendar'}",
            host=request.get_host().partition(":")[0], absolute=request.build_absolute_uri,
        )  # fmt: skip
    etag = f'"{hashlib.sha256(body).hexdigest()[:32]}"'
    headers = {"Cache-Control": "private, no-cache", "ETag": etag, "Content-Disposition": 'inline; filename="club.ics"'}
    response = HttpResponse(body, content_type="text/calendar; charset=utf-8", headers=headers)
    return get_conditional_response(request, etag=etag, response=response) or response
