"""A spell of time somebody stands close to an engine: half open, from `since` to the day before `until`."""

from datetime import date, timedelta
from typing import Any, Self

from django.db import models
from django.db.models import F, Q


class SpellQuerySet(models.QuerySet[Any]):
    def current(self, on: date) -> Self:
        """Those that hold on that day."""
        return self.filter(since__lte=on).filter(Q(until__isnull=True) | Q(until__gt=on))


class Spell(models.Model):
    """Whoever is taken off today has no more to say from today on, so `until` is the first day it no longer holds."""

    since = models.DateField()
    until = models.DateField(null=True, blank=True)

    objects = SpellQuerySet.as_manager()

    class Meta:
        abstract = True
        ordering = ["since", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")), name="%(app_label)s_%(class)s_spell"
            )
        ]

    @property
    def last_day(self) -> date | None:
        return self.until - timedelta(days=1) if self.until else None
