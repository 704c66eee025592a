"""How well the ranking does, and what the closed sheets have made of the base rates."""

from dataclasses import dataclass
from typing import Any

from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from restorations.engines.models import Design, Engine
from restorations.faults.how_well import FEW, how_well, shipped_benchmark
from restorations.faults.learning import CLASS_WORDS, FILE, Taught, taught
from restorations.faults.models import FaultSheet, LearnedRates, StoredEvidence
from restorations.knowledge import load
from restorations.members.requests import signed_in
from restorations.web.answers import answer
from restorations.web.tables_out import Table, taken_out

A_PAGE = 25


@require_GET
def page(request: HttpRequest) -> HttpResponse:
    context = {"found": how_well(), "few": FEW, "benchmark": shipped_benchmark(load().checksum)}
    return answer(request, "faults/how_well.html", context)


@dataclass(frozen=True, slots=True)
class RateRow:
    cause: str
    title: str
    of_class: str
    words: str
    moved: float
    """How many times as high as in the files, or as low; 1 for not at all."""


RATES = Table(
    "Learned base rates",
    (
        ("cause", lambda row: row.cause),
        ("title", lambda row: row.title),
        ("history", lambda row: row.of_class),
        ("what is known", lambda row: row.words),
    ),
)


@require_GET
def rates(request: HttpRequest) -> HttpResponse:
    """What was learned, the most moved first; of the club, or of the engines of one design."""
    designs = _designs(request)
    design = _asked(request, designs)
    known = taught(design)
    rows = sorted(_rate_rows(known), key=lambda row: (-row.moved, row.cause, row.of_class))
    table = taken_out(request, RATES, rows)
    if table is not None:
        return table
    context = {
        "page": Paginator(rows, A_PAGE).get_page(request.GET.get("page")), "design": design,
        "designs": designs,
        "club": LearnedRates.objects.filter(of="club").first(), **_left_out(request),
    }  # fmt: skip
    return answer(request, "faults/rates.html", context)


def _designs(request: HttpRequest) -> QuerySet[Design]:
    """Those that taught something; of a private engine's design only to whoever sees inside the engine."""
    engines = Engine.objects.contents_visible_to(signed_in(request), on=timezone.localdate())
    taught_by = LearnedRates.objects.exclude(checksum="").values("design")
    return Design.objects.filter(pk__in=taught_by).filter(pk__in=engines.values("design"))


def _asked(request: HttpRequest, designs: QuerySet[Design]) -> Design | None:
    asked = request.GET.get("design", "")
    if not asked:
        return None
    design = designs.filter(pk=int(asked)).first() if asked.isdecimal() and len(asked) < 10 else None
    if design is None:
        raise Http404("no such design")
    return design


def _rate_rows(known: Taught) -> list[RateRow]:
    causes = known.knowledge.causes
    return [
        RateRow(cause, causes[cause].title, CLASS_WORDS[name], known.row_words(row), _moved(row))
        for cause, by_class in known.learned.items()
        if cause in causes and causes[cause].is_in_use
        for name, row in by_class.items()
    ]


def _moved(row: Any) -> float:
    ratio: float = row["rate"] / row[FILE]
    return max(ratio, 1 / ratio)


def _left_out(request: HttpRequest) -> dict[str, Any]:
    """Closed sheets that teach nothing, by name as far as the member may read them."""
    rows = StoredEvidence.objects.filter(of="club", sheet__in=FaultSheet.objects.closed()).exclude(left_out="")
    readable = FaultSheet.objects.contents_visible_to(signed_in(request), on=timezone.localdate())
    named = list(rows.filter(sheet__in=readable).select_related("sheet__engine").order_by("sheet"))
    return {"left_out": named, "left_out_unnamed": rows.count() - len(named)}
