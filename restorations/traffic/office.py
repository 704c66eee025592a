"""What waits for the secretary: returns to record, papers about to lapse."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import QuerySet

from restorations.engines.lapsing import lapsing_by
from restorations.engines.models import Engine, Stoppage
from restorations.engines.showing import WARNED_DAYS, Standing, standing
from restorations.members.models import Member
from restorations.traffic.models import FitForTraffic

MOST, MOST_PAPERS = 50, 10


@dataclass(frozen=True, slots=True)
class Waiting:
    returns: list[FitForTraffic]
    papers: list[Standing]


def waiting_for_the_secretary(member: Member, *, on: date) -> Waiting:
    """Of the engines that exist for whoever opens the office: an administrator may too, and sees no private one."""
    engines = Engine.objects.visible_to(member, on=on).still_here()
    papers = lapsing_by(engines, on + timedelta(days=WARNED_DAYS))[:MOST_PAPERS]
    return Waiting(
        returns=signed_fit(engines, on)[:MOST],
        papers=[standing(paper, on=on) for paper in papers],
    )


def signed_fit(engines: QuerySet[Engine], on: date) -> list[FitForTraffic]:
    """Of these engines, those signed fit and still out of traffic: the newest signature of each."""
    out = Stoppage.objects.open(on).values("engine")
    rows = FitForTraffic.objects.filter(returned__isnull=True, engine__in=engines).filter(engine__in=out)
    return list({fit.engine_id: fit for fit in rows.select_related("engine", "signed_by").order_by("pk")}.values())
