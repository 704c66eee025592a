"""The club's yard: its roads and turntable, and which engine stands on which since when."""

from typing import ClassVar, Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import Struck, Versioned
from restorations.members.models.entries import StruckQuerySet

ROAD_KINDS = {
    "shed": "shed road",
    "bay": "steaming bay",
    "turntable": "turntable",
    "bench": "bench in the workshop",
    "siding": "siding",
    "away": "away from the yard",
}


def road_kinds() -> dict[str, str]:
    return ROAD_KINDS


class Road(Versioned):
    """One road, in the order they are drawn; one that is taken up is kept for what stood on it."""

    name = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=10, choices=road_kinds, default="shed")
    position = models.PositiveSmallIntegerField("how far down the drawing", default=1)
    taken_up_on = models.DateField("taken up on", null=True, blank=True)

    class Meta:
        ordering = ["position", "name"]

    def __str__(self) -> str:
        return self.name


class EngineStandsQuerySet(StruckQuerySet):
    def now(self) -> Self:
        return self.not_struck().filter(until__isnull=True)


class EngineStands(Struck):
    """A spell of an engine on a road: begun by a move that somebody recorded, ended by the next one."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="stands")
    road = models.ForeignKey(Road, models.PROTECT, related_name="stands")
    since = models.DateField()
    until = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=120, blank=True)
    moved_by = models.CharField("who moved it", max_length=80, blank=True)
    recorded_at = models.DateTimeField(default=timezone.now, editable=False)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[EngineStandsQuerySet] = EngineStandsQuerySet.as_manager()  # type: ignore[assignment]

    class Meta:
        ordering = ["-since", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(until__isnull=True) | Q(until__gte=F("since")), name="stands_forwards"),
            models.UniqueConstraint(
                fields=["engine"], condition=Q(until__isnull=True, struck_at__isnull=True), name="stands_in_one_place"
            ),
        ]
        indexes = [models.Index(fields=["until", "road"])]

    def __str__(self) -> str:
        return f"{self.engine} on {self.road}"
