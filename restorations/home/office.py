"""What a secretary sees first: engines with something open, and papers that lapse soon."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Count, F, Min, OuterRef, Q, Subquery

from restorations.engines.models import Certificate, Engine
from restorations.engines.showing import WARNED_DAYS, Standing, standing

MOST = 50


@dataclass(frozen=True, slots=True)
class Office:
    stopped: Sequence[Any]
    """Engines with how many sheets are open, and since when."""
    papers: Sequence[Standing]


def office(on: date) -> Office:
    """Two queries; a private engine shows its state and papers only, which this is."""
    still_open = Q(fault_sheets__closed_at__isnull=True)
    engines = Engine.objects.annotate(
        open_sheets=Count("fault_sheets", filter=still_open), since=Min("fault_sheets__opened_at", filter=still_open)
    )
    return Office(list(engines.filter(open_sheets__gt=0).order_by("since", "pk")[:MOST]), _papers(on))


def _papers(on: date) -> list[Standing]:
    """Of each engine and kind the paper that lapses last, where that is soon or past."""
    same = Certificate.objects.not_struck().filter(engine=OuterRef("engine"), kind=OuterRef("kind"))
    last = Subquery(same.order_by("-lapses_on", "-pk").values("pk")[:1])
    rows = Certificate.objects.filter(pk=last, lapses_on__lte=on + timedelta(days=WARNED_DAYS))
    ordered = rows.select_related("engine").order_by(F("lapses_on").asc(), "pk")[:MOST]
    return [standing(paper, on=on) for paper in ordered]
