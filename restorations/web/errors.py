"""Plain pages for what went wrong: each says what happened and what to do next."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


def not_understood(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "web/not_understood.html", status=400)


def refused(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "web/refused.html", {"reason": _own_words(exception)}, status=403)


def forgery_refused(request: HttpRequest, reason: str = "") -> HttpResponse:
    return render(request, "web/form_expired.html", {"written": _written(request)}, status=403)


def not_found(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    return render(request, "web/not_found.html", status=404)


def broken(request: HttpRequest) -> HttpResponse:
    return render(request, "web/broken.html", status=500)


def _written(request: HttpRequest) -> list[str]:
    """What somebody wrote in words and would be sorry to lose; no password, no tick, no hidden mark."""
    written = (str(value).strip() for name, value in request.POST.items() if "password" not in name)
    return [text for text in written if " " in text]


def _own_words(exception: Exception | None) -> str:
    words: Any = exception.args[0] if exception and exception.args else ""
    return words if isinstance(words, str) else ""
