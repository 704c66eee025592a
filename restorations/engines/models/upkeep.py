"""What an engine is oiled with and held together by: the oil chart and the fastenings table."""

from typing import Any, ClassVar

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from restorations.engines.models.engine import Engine
from restorations.members.models import Struck, Versioned
from restorations.members.models.entries import StruckQuerySet

HOW_OFTEN = {
    "each_run": "before each run",
    "during_run": "during the run",
    "after_run": "after each run",
    "monthly": "each month",
    "yearly": "each year",
    "overhaul": "when taken apart",
}
MOST_OF_ONE = 500


def how_often() -> dict[str, str]:
    return HOW_OFTEN


class UpkeepRow(Versioned, Struck):
    """A line of a table about one engine: changed by a save that names its version, or struck out."""

    note = models.CharField(max_length=200, blank=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[Any] = StruckQuerySet.as_manager()

    class Meta:
        abstract = True


class OilPoint(UpkeepRow):
    """One point on the oil chart."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="oil_points")
    point = models.CharField(max_length=80)
    oil = models.CharField(max_length=80)
    how_often = models.CharField(max_length=10, choices=how_often, default="each_run")

    class Meta:
        ordering = ["point", "pk"]

    def __str__(self) -> str:
        return self.point


class Fastening(UpkeepRow):
    """One place where screws, bolts or studs of a kind hold it together."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="fastenings")
    where = models.CharField("place", max_length=80)
    thread = models.CharField(max_length=40)
    length_typed = models.CharField(max_length=40, blank=True)
    length_mm = models.FloatField(null=True, blank=True)
    how_many = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(MOST_OF_ONE)]
    )
    spanner = models.CharField(max_length=40, blank=True)

    class Meta:
        ordering = ["where", "thread", "pk"]

    def __str__(self) -> str:
        return f"{self.where}, {self.thread}"
