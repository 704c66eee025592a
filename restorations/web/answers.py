"""How a view answers: the whole page, or the one fragment htmx asked for."""

from collections.abc import Mapping
from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.utils.cache import patch_vary_headers
from django_htmx.middleware import HtmxDetails


def wants_fragment(request: HttpRequest) -> bool:
    """htmx asks for a piece: not a boosted link, and not the browser going back to a page it forgot."""
    htmx: HtmxDetails | None = getattr(request, "htmx", None)
    return htmx is not None and bool(htmx) and not htmx.boosted and not htmx.history_restore_request


def answer(
    request: HttpRequest, page: str, context: Mapping[str, Any], *, fragment: str = "", status: int = 200
) -> HttpResponse:
    """Render `page`, or `fragment` with the same context where htmx asked for a piece."""
    template = fragment if fragment and wants_fragment(request) else page
    response = render(request, template, dict(context), status=status)
    patch_vary_headers(response, ["HX-Request"])
    return response


def go_to(request: HttpRequest, address: str) -> HttpResponse:
    """After a POST: a plain form is redirected; htmx is told to load the page."""
    if wants_fragment(request):
        return HttpResponse(status=204, headers={"HX-Redirect": address})
    return HttpResponseRedirect(address)
