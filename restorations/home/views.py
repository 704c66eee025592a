"""Pages that show rows of several apps: my bench, an engine with everything on it, help and safety."""

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from restorations.engines.models import Engine
from restorations.home.bench import my_bench
from restorations.home.engine_page import engine_page
from restorations.members.requests import signed_in
from restorations.web.answers import answer


@require_GET
def front(request: HttpRequest) -> HttpResponse:
    """My bench: what waits for me, and the next step on each of my engines."""
    bench = my_bench(signed_in(request), at=timezone.now())
    return answer(request, "home/front.html", {"bench": bench})


@require_GET
def engine(request: HttpRequest, pk: int) -> HttpResponse:
    member, today = signed_in(request), timezone.localdate()
    rows = Engine.objects.visible_to(member, on=today).select_related("design", "owner_member")
    row = rows.filter(pk=pk).first()
    if row is None:
        raise Http404("no such engine")
    return answer(request, "home/engine.html", engine_page(row, member, on=today))


@login_not_required
@require_GET
def help_page(request: HttpRequest) -> HttpResponse:
    return answer(request, "home/help.html", {})
