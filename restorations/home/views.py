"""Pages that show rows of several apps: my bench, an engine with everything on it, what is printed, help and safety."""

from django.contrib.auth.decorators import login_not_required
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone
from django.views.decorators.http import require_GET

from restorations.engines.models import Design, Engine
from restorations.home.bench import my_bench
from restorations.home.bench_pack import bench_pack_page
from restorations.home.design_page import design_page
from restorations.home.engine_page import engine_page
from restorations.home.forms import SearchForm, TimelineForm
from restorations.home.search import search_all, search_one, words_of
from restorations.home.taking_in import taking_in_page
from restorations.home.timeline import LINES, MOST_TAKEN_OUT, Scope, left_out, lines_to_take_out, read_timeline
from restorations.home.timeline_kinds import Filter
from restorations.home.tonight import tonight_page
from restorations.members.models import Member
from restorations.members.requests import signed_in
from restorations.web.answers import answer
from restorations.web.tables_out import ASKED, taken_out


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


def _readable(request: HttpRequest, pk: int) -> Engine:
    """The engine, or nothing there for whoever may not read its sheets and day book."""
    rows = Engine.objects.contents_visible_to(signed_in(request), on=timezone.localdate())
    return get_object_or_404(rows.select_related("design", "owner_member"), pk=pk)


@require_GET
def taking_in(request: HttpRequest, pk: int) -> HttpResponse:
    context = taking_in_page(_readable(request, pk), signed_in(request), on=timezone.localdate())
    return answer(request, "home/taking_in.html", context)


@require_GET
def bench_pack(request: HttpRequest, pk: int) -> HttpResponse:
    return answer(request, "home/bench_pack.html", bench_pack_page(_readable(request, pk), at=timezone.now()))


@require_GET
def tonight(request: HttpRequest, pk: int) -> HttpResponse:
    return answer(request, "home/tonight.html", tonight_page(_readable(request, pk), at=timezone.now()))


@require_GET
def design(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Design, pk=pk)
    return answer(request, "home/design.html", design_page(row, signed_in(request), on=timezone.localdate()))


@require_GET
def engine_timeline(request: HttpRequest, pk: int) -> HttpResponse:
    seen = _readable(request, pk)
    return _timeline(request, Scope([seen]), engine=seen)


@require_GET
def person_timeline(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Member, pk=pk)
    return _timeline(request, Scope(_of_club(request), person), person=person)


@require_GET
def club_timeline(request: HttpRequest) -> HttpResponse:
    return _timeline(request, Scope(_of_club(request)))


def _of_club(request: HttpRequest) -> QuerySet[Engine]:
    return Engine.objects.contents_visible_to(signed_in(request), on=timezone.localdate())


def _timeline(
    request: HttpRequest, scope: Scope, *, engine: Engine | None = None, person: Member | None = None
) -> HttpResponse:
    form = TimelineForm(request.GET)
    chosen = Filter(**form.cleaned_data) if form.is_valid() else Filter()
    table = taken_out(request, LINES, lines_to_take_out(scope, chosen)) if ASKED in request.GET else None
    if table is not None:
        return table
    context = {
        "most_taken_out": f"The newest {MOST_TAKEN_OUT:,} lines",
        "timeline": read_timeline(scope, chosen, before=request.GET.get("before", "")),
        "form": form,
        "chosen": chosen,
        "engine": engine,
        "person": person,
        "left_out": left_out(chosen),
    }
    return answer(request, "home/timeline.html", context, fragment="home/_timeline.html")


@require_GET
def search(request: HttpRequest) -> HttpResponse:
    """Words in everything one may see: a few of each kind, or all of one kind."""
    member, on = signed_in(request), timezone.localdate()
    words = words_of(request.GET.get("q", ""))
    context = {"form": SearchForm(request.GET or None), "typed": " ".join(words)}
    one = search_one(member, words, request.GET.get("in", ""), on=on, page=request.GET.get("page", ""))
    if one is not None:
        context |= {"groups": [one[0]], "page": one[1], "all_of": one[0].key}
    else:
        context["groups"] = search_all(member, words, on=on)
    return answer(request, "home/search.html", context, fragment="home/_search.html")


@login_not_required
@require_GET
def help_page(request: HttpRequest) -> HttpResponse:
    return answer(request, "home/help.html", {})
