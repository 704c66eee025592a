"""Boxes: all of them, one with what lies in it, a new one."""

from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Count, Q
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods

from restorations.engines.models import Engine, EngineConfiguration
from restorations.members.doing import Doing
from restorations.members.models import Act, Member
from restorations.members.requests import NOT_TRIED, sent, signed_in, try_saving
from restorations.tasks import services
from restorations.tasks.forms.boxes import BoxForm, ChangeBoxForm, FindBoxForm
from restorations.tasks.models import Box, StrippedPart
from restorations.tasks.parts import part_names
from restorations.tasks.tables import BOXES
from restorations.tasks.tray import Tray, draw_tray
from restorations.tasks.views.common import A_PAGE, named
from restorations.web.answers import answer, go_to
from restorations.web.tables_out import taken_out

IN_IT = Q(parts__struck_at__isnull=True) & (Q(parts__ended_at__isnull=True) | Q(parts__ending_waits=True))


@require_http_methods(["GET", "POST"])
def boxes(request: HttpRequest) -> HttpResponse:
    """Every box with how much is in it; found by number, code or label; a new one."""
    form = BoxForm(sent(request))
    if request.method == "POST" and form.is_valid():
        doing = Doing(signed_in(request), timezone.now())
        try:
            box = services.add_box(plan=form.plan(), doing=doing, mark=form.cleaned_data["submission"])
            return go_to(request, box.get_absolute_url())
        except ValidationError as error:
            form.add_error(None, error)
    sought = FindBoxForm(request.GET)
    words = sought.cleaned_data["q"] if sought.is_valid() else ""
    found = services.find_box(words) if words else None
    if found is not None and request.method == "GET":
        return go_to(request, found.get_absolute_url())
    rows = Box.objects.filter(Q(label__icontains=words) | Q(where__icontains=words)).annotate(
        filled=Count("parts", filter=IN_IT)
    )
    table = taken_out(request, BOXES, rows)
    if table is not None:
        return table
    context = {"form": form, "sought": words, "boxes": rows}
    return answer(request, "tasks/boxes.html", context, status=422 if form.is_bound else 200)


def box_for_code(code: str) -> Box:
    found = Box.objects.select_related("made_by").filter(code=code.upper()) if code.isalnum() else Box.objects.none()
    box = found.first()
    if box is None:
        raise Http404("no such box")
    return box


@require_GET
def box(request: HttpRequest, code: str) -> HttpResponse:
    """What lies in it, of the engines one may see; the rest is only said to be there."""
    row, member = box_for_code(code), signed_in(request)
    inside = StrippedPart.objects.off().filter(in_box=row).in_order()
    mine = _shown(list(_visible(inside, member)))
    hidden = inside.count() - len(mine)
    context = {
        "box": row, "rows": mine, "hidden": hidden, "address": request.build_absolute_uri(row.get_absolute_url()),
        "tray": _tray(row, mine),
        "acts": Act.objects.about(row).select_related("member")[:A_PAGE],
    }  # fmt: skip
    return answer(request, "tasks/box.html", context)


def _tray(row: Box, rows: list[dict[str, Any]]) -> Tray:
    """Every place of it, and any that somebody counted beyond; two parts in one place share it."""
    words: dict[int, str] = {}
    for item in rows:
        place = item["part"].tray_place
        if place:
            words[place] = f"{words[place]} + {item['name']}" if place in words else item["name"]
    return draw_tray(max([row.places, *words]), words)


def _visible(inside: Any, member: Member) -> Any:
    seen = Engine.objects.contents_visible_to(member, on=timezone.localdate())
    return inside.filter(engine__in=seen).select_related("engine", "off_by").order_by("engine__name", "number")


def _shown(parts: list[StrippedPart]) -> list[dict[str, Any]]:
    """Each with its name, by the newest configuration of its engine."""
    versions = EngineConfiguration.objects.filter(engine__in={part.engine_id for part in parts}).order_by("number")
    newest = {version.engine_id: version for version in versions}
    names = {engine: part_names(version.as_configuration()) for engine, version in newest.items()}
    return [{"part": part, "name": named(part, names[part.engine_id])} for part in parts]


@require_http_methods(["GET", "POST"])
def change_box(request: HttpRequest, code: str) -> HttpResponse:
    row, tried = box_for_code(code), NOT_TRIED
    form = ChangeBoxForm(sent(request), box=row)
    if request.method == "POST":
        doing = Doing(signed_in(request), timezone.now())

        def save() -> None:
            data = form.cleaned_data
            services.change_box(
                box=row, change=form.change(), version=data["version"], doing=doing, mark=data["submission"]
            )

        tried = try_saving(form, save)
        if tried.saved:
            return go_to(request, row.get_absolute_url())
    context = {"form": form, "box": row, "differences": tried.differences}
    return answer(request, "tasks/box_change.html", context, status=tried.status)
