"""Soaks: what soaks where, in what, until when."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import AcceptedEntry
from restorations.members.models.entries import AcceptedQuerySet


class SoakQuerySet(AcceptedQuerySet):
    def under_way(self) -> Self:
        return self.not_struck().filter(ended_at__isnull=True)


class Soak(AcceptedEntry):
    """Something is soaking: where, in what, until when."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="soaks")
    place = models.CharField(max_length=80, help_text="Where: a part's id or a place.")
    fluid = models.CharField(max_length=80)
    is_volatile = models.BooleanField(
        "volatile", default=False, help_text="Paraffin, release spray, thinners: no heat near it."
    )
    begun_at = models.DateTimeField(default=timezone.now)
    begun_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    due_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    objects = SoakQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["-begun_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(due_at__gte=F("begun_at")), name="soak_due_after_it_began"),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("begun_at")), name="soak_ended_after_it_began"
            ),
        ]
        indexes = [models.Index(fields=["engine", "ended_at"])]

    def __str__(self) -> str:
        return f"{self.place} in {self.fluid}"
