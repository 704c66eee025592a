"""Addresses of visitors and of pages: whose word is taken for where a request comes from and goes to."""

from django.conf import settings
from django.http import HttpRequest
from django.shortcuts import resolve_url
from django.utils.http import url_has_allowed_host_and_scheme


def client_address(request: HttpRequest) -> str:
    """Where the request comes from. A forwarding header counts only behind the club's own proxy, which HTTPS means."""
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "") if settings.HTTPS else ""
    nearest = forwarded.rpartition(",")[2].strip()
    return str(nearest or request.META.get("REMOTE_ADDR", ""))[:64]


def own_page(request: HttpRequest, wanted: str) -> str:
    """The page asked for, if it is one of ours; else the front page."""
    ours = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if wanted and ours else resolve_url(settings.LOGIN_REDIRECT_URL)
