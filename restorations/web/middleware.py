"""Middleware that knows no rows: size of bodies, security headers, fragments for those signed out meanwhile."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

Handler = Callable[[HttpRequest], HttpResponse]

CONTENT_SECURITY_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; font-src 'self'; "
    "connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; "
    "frame-ancestors 'none'"
)


def refuse_large_bodies(get_response: Handler) -> Handler:
    """Answer 413 before a body is read that is larger than any form of ours."""

    def middleware(request: HttpRequest) -> HttpResponse:
        length = request.META.get("CONTENT_LENGTH") or "0"
        if not length.isdigit() or int(length) > settings.LARGEST_BODY:
            return render(request, "web/too_large.html", {"megabytes": settings.LARGEST_BODY // 2**20}, status=413)
        return get_response(request)

    return middleware


def security_headers(get_response: Handler) -> Handler:
    """One constant content policy (nothing inline anywhere), and nothing of a signed-in member's left in a cache."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", CONTENT_SECURITY_POLICY)
        response.headers.setdefault("Permissions-Policy", "geolocation=(), microphone=()")
        if not request.path.startswith(settings.STATIC_URL):
            response.headers.setdefault("Cache-Control", "private, no-store")
        return response

    return middleware


def refresh_signed_out_fragments(get_response: Handler) -> Handler:
    """A fragment asked for after the session ended reloads the page; else the sign-in page would land inside it."""

    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        redirected = 300 <= response.status_code < 400
        if redirected and getattr(request, "htmx", None) and not request.user.is_authenticated:
            return HttpResponse(status=204, headers={"HX-Refresh": "true"})
        return response

    return middleware
