"""The shed: the drawn yard and the table beside it; engines moved by a record only."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from restorations.engines.access import require
from restorations.engines.views.visits import visit
from restorations.members.doing import Doing
from restorations.members.permissions import may
from restorations.members.permissions import require as require_at_all
from restorations.members.requests import signed_in, try_once
from restorations.traffic.forms.yard import MoveForm, RoadForm
from restorations.traffic.models import EngineStands, Road
from restorations.traffic.services import yard as services
from restorations.traffic.shed import SHED, Asked, shed_lines
from restorations.traffic.views.office import table_pieces
from restorations.traffic.yard import drawn_yard, places
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm
from restorations.web.tables_out import taken_out

VIEWS = ("yard", "table")
DRAWN_ON_A_PAGE = 60
LAYS_ROADS = "lay out the yard"
MOVE_REFUSED = "Where an engine stands is recorded by its hands, its owner, a mentor or the secretary."


@require_safe
def shed(request: HttpRequest) -> HttpResponse:
    """The yard as drawn, or the table, which is what a secretary sees first."""
    member, on = signed_in(request), timezone.localdate()
    asked = Asked.of(request.GET)
    lines = shed_lines(member, asked, on=on)
    table = taken_out(request, SHED, lines)
    if table is not None:
        return table
    shown = request.GET.get("view", "")
    shown = shown if shown in VIEWS else ("table" if member.is_secretary or asked.is_narrowed else "yard")
    context = {
        **table_pieces(request, asked, lines), "shown": shown, "address": reverse("traffic:shed"),
        "may_lay": may(member, LAYS_ROADS),
    }  # fmt: skip
    if shown == "yard":
        page = Paginator(places(lines), DRAWN_ON_A_PAGE).get_page(request.GET.get("page"))
        context |= {"page": page, "roads": drawn_yard(page)}
    fragment = "traffic/_shed_table.html" if shown == "table" else ""
    return answer(request, "traffic/shed.html", context, fragment=fragment)


@require_http_methods(["GET", "HEAD", "POST"])
def move(request: HttpRequest, pk: int) -> HttpResponse:
    seen = visit(request, pk, papers=True)
    require(seen.may("move an engine"), MOVE_REFUSED)
    stands = EngineStands.objects.not_struck().filter(engine=seen.engine).select_related("road", "recorded_by")
    form = MoveForm(
        request.POST if request.method == "POST" else None, on=seen.on,
        initial={"since": seen.on, "moved_by": seen.member.full_name},
    )  # fmt: skip

    def save() -> None:
        services.move_engine(
            engine=seen.engine, move=form.move(), doing=Doing(seen.member, timezone.now()),
            mark=form.cleaned_data["submission"],
        )  # fmt: skip

    if form.is_bound and try_once(form, save):
        messages.success(request, f"{seen.engine} stands on {form.cleaned_data['road']}.")
        return go_to(request, f"{reverse('traffic:shed')}?view=yard")
    context = {
        "engine": seen.engine, "form": form, "stands": stands[:20],
        "any_road": form.fields["road"].queryset.exists(),  # type: ignore[attr-defined]
    }  # fmt: skip
    return answer(request, "traffic/move.html", context, status=422 if form.is_bound else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def roads(request: HttpRequest) -> HttpResponse:
    member = signed_in(request)
    require_at_all(member, LAYS_ROADS)
    initial = {"position": Road.objects.count() + 1}
    form = RoadForm(request.POST if request.method == "POST" else None, initial=initial)

    def save() -> None:
        services.lay_road(columns=form.columns(), member=member, mark=form.cleaned_data["submission"])

    if form.is_bound and try_once(form, save):
        messages.success(request, "The road is laid.")
        return go_to(request, reverse("traffic:roads"))
    return _roads_shown(request, form)


def _roads_shown(request: HttpRequest, form: RoadForm, trouble: str = "") -> HttpResponse:
    context = {"form": form, "roads": Road.objects.all(), "trouble": trouble}
    return answer(request, "traffic/roads.html", context, status=422 if form.is_bound or trouble else 200)


@require_POST
def take_up(request: HttpRequest, pk: int) -> HttpResponse:
    member, road = signed_in(request), get_object_or_404(Road, pk=pk)
    require_at_all(member, LAYS_ROADS)
    form = OnceForm(request.POST)

    def save() -> None:
        mark = form.cleaned_data["submission"]
        services.take_up_road(road=road, on=timezone.localdate(), member=member, mark=mark)

    if not try_once(form, save):
        return _roads_shown(request, RoadForm(), form.first_error)
    messages.success(request, f"{road} is taken up; what stood on it stays readable.")
    return go_to(request, reverse("traffic:roads"))
