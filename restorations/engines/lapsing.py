"""Papers by the day they lapse: of each engine and kind only the one that lapses last."""

from datetime import date
from typing import Any

from django.db.models import F, OuterRef, QuerySet, Subquery

from restorations.engines.models import Certificate, Engine


def newest_papers(engines: QuerySet[Engine]) -> QuerySet[Any]:
    """Of these engines; the one that lapses first comes first."""
    same = Certificate.objects.not_struck().filter(engine=OuterRef("engine"), kind=OuterRef("kind"))
    last = Subquery(same.order_by("-lapses_on", "-pk").values("pk")[:1])
    rows: QuerySet[Any] = Certificate.objects.filter(pk=last, engine__in=engines)
    return rows.select_related("engine").order_by(F("lapses_on").asc(), "pk")


def lapsing_by(engines: QuerySet[Engine], on: date) -> QuerySet[Any]:
    """Those that lapse, or have lapsed, by that day."""
    return newest_papers(engines).filter(lapses_on__lte=on)
