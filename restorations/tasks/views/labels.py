"""Labels to print: boxes singly, connections in pairs, on the sheets and rolls a shop sells."""

from typing import Any

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_GET

from restorations.engines.models import Engine
from restorations.tasks.forms.labels import LabelsForm
from restorations.tasks.labels import SHEETS, Label, label_pdf
from restorations.tasks.models import Box, Connection
from restorations.tasks.parts import part_names
from restorations.tasks.views.boxes import box_for_code
from restorations.tasks.views.common import engine_for, named
from restorations.web.answers import answer


def as_pdf(document: bytes, name: str) -> HttpResponse:
    return HttpResponse(
        document, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'}
    )


@require_GET
def labels(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose what to print; with `print` in the address, the sheet itself."""
    engine, _ = engine_for(request, pk)
    boxes, connections = _boxes_of(engine), _connections_of(engine)
    wanted = LabelsForm(request.GET or None, boxes=boxes, connections=connections)
    if not wanted.is_bound or not wanted.is_valid():
        context = {"engine": engine, "form": wanted, "boxes": boxes, "connections": connections}
        return answer(request, "tasks/labels.html", context, status=422 if wanted.is_bound else 200)
    data, names = wanted.cleaned_data, part_names(engine.configuration.as_configuration())
    chosen = [
        *(_box_label(request, box) for box in data["box"]),
        *(label for row in data["connection"] for label in _pair(request, row, named(row, names))),
    ]
    return as_pdf(label_pdf(chosen, SHEETS[data["sheet"]], skip=data["skip"] or 0), f"labels-{engine.pk}.pdf")


@require_GET
def box_label(request: HttpRequest, code: str) -> HttpResponse:
    """One box's label for the roll."""
    box = box_for_code(code)
    return as_pdf(label_pdf([_box_label(request, box)], SHEETS["roll"]), f"box-{box.number}.pdf")


def _boxes_of(engine: Engine) -> Any:
    """Boxes that hold something of this engine, and empty ones for what comes off next."""
    holding = Q(pk__in=engine.stripped_parts.filter(struck_at__isnull=True, ended_at__isnull=True).values("in_box"))
    return Box.objects.filter(holding | Q(pk__in=Box.objects.empty().values("pk")))


def _connections_of(engine: Engine) -> Any:
    return Connection.objects.parted().filter(engine=engine).select_related("engine").order_by("number")


def _box_label(request: HttpRequest, box: Box) -> Label:
    address = request.build_absolute_uri(box.get_absolute_url())
    return Label(big=str(box.number), code=box.code, lines=tuple(filter(None, (box.label, box.where))), address=address)


def _pair(request: HttpRequest, row: Connection, name: str) -> tuple[Label, Label]:
    """The two labels of a connection, alike but for the letter and the end they hang on."""
    address = request.build_absolute_uri(reverse("tasks:connection", args=[row.pk]))
    carries = row.get_carries_display() if row.carries != "pin_joint" else "pin joint"

    def label(letter: str, end: str) -> Label:
        lines = (str(row.engine), name, f"end {letter}: {end}", f"{carries}, A {row.arrow} B")
        return Label(big=f"{row.number}{letter}", code=carries, lines=lines, address=address)

    return label("A", row.end_a), label("B", row.end_b)
