"""Who holds which engine, key, box and paper."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied, ValidationError
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from restorations.engines.access import places_of
from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.permissions import allowed, office_places
from restorations.members.requests import signed_in, try_once
from restorations.tasks.forms.holdings import HandOverForm
from restorations.tasks.models import Holding
from restorations.tasks.services.holdings import give_back, hand_over
from restorations.tasks.tables import HOLDINGS
from restorations.tasks.views.working import page_of
from restorations.web.answers import answer, go_to
from restorations.web.fields import OnceForm
from restorations.web.tables_out import taken_out

ACT = "record a hand-over"
REFUSED = "A hand-over is recorded by the engine's hands, its owner, a mentor, the secretary or the administrator."
CHOSEN = ("engine", "person")


@require_safe
def holdings(request: HttpRequest) -> HttpResponse:
    """Everything that somebody holds now; of one engine or one person where that is asked."""
    member, on = signed_in(request), timezone.localdate()
    rows = Holding.objects.visible_to(member, on=on).select_related("engine", "box", "holder")
    asked = {name: request.GET[name] for name in CHOSEN if request.GET.get(name, "").isdecimal()}
    asked = {name: pk for name, pk in asked.items() if len(pk) <= 18}
    if "engine" in asked:
        rows = rows.filter(engine=asked["engine"])
    if "person" in asked:
        rows = rows.filter(holder=asked["person"])
    now = rows.current().order_by("kind", "engine__name", "what", "pk")
    table = taken_out(request, HOLDINGS, now)
    if table is not None:
        return table
    context = {
        "page": page_of(request, now),
        "before": rows.filter(until__isnull=False)[:20] if asked else [],
        "asked": asked,
        "engine": Engine.objects.visible_to(member, on=on).filter(pk=asked.get("engine", 0)).first(),
        "person": Member.objects.filter(pk=asked.get("person", 0)).first(),
        "may_record": _may(member, None) or _own(member).exists(),
    }
    return answer(request, "tasks/holdings.html", context)


def _own(member: Member) -> QuerySet[Engine]:
    return Engine.objects.with_hands(member, on=timezone.localdate()) | Engine.objects.filter(owner_member=member)


@require_http_methods(["GET", "HEAD", "POST"])
def hand_it_over(request: HttpRequest) -> HttpResponse:
    member, on = signed_in(request), timezone.localdate()
    replaces = _replaced(request, member)
    engines = Engine.objects.visible_to(member, on=on)
    start = _said_of(replaces) if replaces else {"engine": request.GET.get("engine", "")[:18]}
    form = HandOverForm(
        request.POST if request.method == "POST" else None, engines=engines, on=on, replaces=replaces,
        initial={**start, "since": on},
    )  # fmt: skip
    _require(member, replaces.engine if replaces else None, or_of_own=True)

    def save() -> None:
        data = form.hand_over()
        if not _may(member, data.engine):
            raise ValidationError({"engine": "Choose an engine that you work on, own or look after."})
        hand_over(handed=data, doing=Doing(member, timezone.now()), mark=form.cleaned_data["submission"])

    if form.is_bound and try_once(form, save):
        messages.success(request, "The hand-over is recorded.")
        return go_to(request, reverse("tasks:holdings"))
    context = {"form": form, "replaces": replaces, "again": f"?again={replaces.pk}" if replaces else ""}
    return answer(request, "tasks/hand_over.html", context, status=422 if form.is_bound else 200)


def _replaced(request: HttpRequest, member: Member) -> Holding | None:
    pk = request.GET.get("again", "")
    if not pk.isdecimal() or len(pk) > 18:
        return None
    rows = Holding.objects.visible_to(member, on=timezone.localdate()).current()
    return rows.select_related("engine", "box", "holder").filter(pk=pk).first()


def _said_of(row: Holding) -> dict[str, object]:
    return {"kind": row.kind, "engine": row.engine_id, "box": row.box_id, "what": row.what, "where": row.where}


def _may(member: Member, engine: Engine | None) -> bool:
    return allowed(ACT, places_of(member, engine, timezone.localdate()) if engine else office_places(member))


def _require(member: Member, engine: Engine | None, *, or_of_own: bool = False) -> None:
    """`or_of_own`: before an engine is chosen, whether there is any that they could choose."""
    if not _may(member, engine) and not (or_of_own and engine is None and _own(member).exists()):
        raise PermissionDenied(REFUSED)


@require_POST
def came_back(request: HttpRequest, pk: int) -> HttpResponse:
    member, on = signed_in(request), timezone.localdate()
    row = get_object_or_404(Holding.objects.visible_to(member, on=on).select_related("engine"), pk=pk)
    _require(member, row.engine)
    form = OnceForm(request.POST)
    if form.is_valid():
        try:
            give_back(holding=row, on=on, doing=Doing(member, timezone.now()), mark=form.cleaned_data["submission"])
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
    return go_to(request, reverse("tasks:holdings"))
