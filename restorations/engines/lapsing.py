"""Papers by the day they lapse: of each engine and kind only the one that lapses last."""

from datetime import date
from typing import Any

from django.db.models import F, QuerySet, Window
from django.db.models.functions import RowNumber

from restorations.engines.models import Certificate, Engine


def newest_papers(engines: QuerySet[Engine]) -> QuerySet[Any]:
    """Of these engines; the one that lapses first comes first."""
    place = Window(RowNumber(), partition_by=["engine", "kind"], order_by=["-lapses_on", "-pk"])
    of_kind = Certificate.objects.not_struck().filter(engine__in=engines).annotate(place=place)
    # Numbered in a query of its own: what is asked of the rows afterwards must not change which is the last.
    rows: QuerySet[Any] = Certificate.objects.filter(pk__in=of_kind.filter(place=1).values("pk"))
    return rows.select_related("engine").order_by(F("lapses_on").asc(), "pk")


def lapsing_by(engines: QuerySet[Engine], on: date) -> QuerySet[Any]:
    """Those that lapse, or have lapsed, by that day."""
    return newest_papers(engines).filter(lapses_on__lte=on)
