"""A forecast as it was made: what it rested on, what came out, what it could not say. Pages read it; none simulates."""

from collections.abc import Iterable
from datetime import date
from typing import Any, Self

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models import Engine, Stoppage
from restorations.engines.state import day


class ForecastQuerySet(models.QuerySet["Forecast"]):
    def of_this_spell(self) -> Self:
        """Made in the spell out of traffic that goes on: a stop that held then holds still."""
        same = Stoppage.objects.not_lifted().filter(engine=OuterRef("engine"), began_on__lte=OuterRef("made_on"))
        return self.filter(Exists(same))

    def newest_of_each(self, engines: Iterable[Engine]) -> Self:
        """For each engine the one made last, if it belongs to the present spell."""
        newest = Forecast.objects.filter(engine=OuterRef("engine")).order_by("-made_at", "-pk").values("pk")[:1]
        return self.of_this_spell().filter(engine__in=[engine.pk for engine in engines], pk=newest)


class Forecast(models.Model):
    """Append-only. `samples` are 200 equally likely days of return in order, null where no day can be put on it.

    Where something is missing, there is no even chance and no likely day, only a day before which it will not be.
    """

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="forecasts")
    made_at = models.DateTimeField(default=timezone.now)
    made_on = models.DateField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    seed = models.PositiveBigIntegerField()
    inputs = models.JSONField()
    inputs_checksum = models.CharField(max_length=64)
    samples = models.JSONField(default=list)
    even_chance_on = models.DateField(null=True, blank=True)
    likely_on = models.DateField("8 in 10", null=True, blank=True)
    not_before_on = models.DateField(null=True, blank=True)
    drivers = models.JSONField(default=list)
    missing = models.JSONField(default=list)

    objects = ForecastQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [models.Index(fields=["engine", "made_at"])]

    def __str__(self) -> str:
        return f"{self.engine}, forecast of {self.made_on:%d %b %Y}"

    def get_absolute_url(self) -> str:
        return reverse("traffic:forecast", args=[self.engine_id])

    @property
    def says_something(self) -> bool:
        return bool(self.samples)

    @property
    def is_whole(self) -> bool:
        """Nothing that is known to be missing: its days are days of return, not only of what was estimated."""
        return not self.missing

    @property
    def in_words(self) -> str:
        """For one line beside an engine's state."""
        if self.even_chance_on:
            likely = f", 8 in 10 by {day(self.likely_on)}" if self.likely_on else ""
            return f"an even chance by {day(self.even_chance_on)}{likely}"
        return f"not before about {day(self.not_before_on)}" if self.not_before_on else "no day can be given"

    @property
    def dated(self) -> list[date]:
        """The samples that have a day."""
        days: list[Any] = self.samples
        return [date.fromisoformat(one) for one in days if one is not None]

    def chance_by(self, by: date) -> float | None:
        """The share of samples back by then, at most so much where something is missing; None where nothing is said."""
        return sum(one <= by for one in self.dated) / len(self.samples) if self.samples else None
