"""Pages are in the club's time zone; rows are in UTC."""

import zoneinfo

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from restorations.members.models import Club
from restorations.web.middleware import Handler


def club_time(get_response: Handler) -> Handler:
    def middleware(request: HttpRequest) -> HttpResponse:
        if request.user.is_authenticated:
            club = Club.current()
            request.club = club  # type: ignore[attr-defined]
            with timezone.override(zoneinfo.ZoneInfo(club.time_zone)):
                return get_response(request)
        return get_response(request)

    return middleware
