"""The secretary's office: how every engine stands, what waits for the secretary, and where the rest is."""

from collections.abc import Mapping
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from restorations.engines.models.stoppage import CAUSE_CLASSES, WAITS_FOR
from restorations.engines.state import WORDS
from restorations.members.permissions import require
from restorations.members.requests import signed_in
from restorations.traffic.office import waiting_for_the_secretary
from restorations.traffic.shed import SHED, SORTS, Asked, shed_lines
from restorations.web.answers import answer
from restorations.web.tables_out import taken_out

A_PAGE = 50


@require_safe
def office(request: HttpRequest) -> HttpResponse:
    member, on = signed_in(request), timezone.localdate()
    require(member, "see the office")
    asked = Asked.of(request.GET)
    lines = shed_lines(member, asked, on=on)
    table = taken_out(request, SHED, lines)
    if table is not None:
        return table
    context = {**table_pieces(request, asked, lines), "waiting": waiting_for_the_secretary(member, on=on)}
    context["address"] = request.path
    return answer(request, "traffic/office.html", context, fragment="traffic/_shed_table.html")


def table_pieces(request: HttpRequest, asked: Asked, lines: Any) -> Mapping[str, Any]:
    """The context of traffic/_shed_table.html."""
    return {
        "asked": asked,
        "page": Paginator(lines, A_PAGE).get_page(request.GET.get("page")),
        "out": sum(1 for line in lines if not line.state.is_in_traffic),
        "all": len(lines),
        "choices": {
            "state": WORDS.items(),
            "cause": CAUSE_CLASSES.items(),
            "waits": [(key, words) for key, words in WAITS_FOR.items() if key],
            "sort": [(key, words) for key, (words, _) in SORTS.items()],
        },
    }
