"""The addresses of the club, and one more for the bare view that a benchmark compares with."""

from collections.abc import Callable
from typing import Any

from django.urls import path

from clubshop.urls import handler400, handler403, handler404, handler500
from clubshop.urls import urlpatterns as addresses_of_the_club

__all__ = ["handler400", "handler403", "handler404", "handler500"]

ADDRESS = "/bare/"
bare_view: dict[str, Callable[[Any], Any]] = {}  # by its address: one at a time


def shown(request: Any) -> Any:
    return bare_view[ADDRESS](request)


urlpatterns = [*addresses_of_the_club, path("bare/", shown)]
