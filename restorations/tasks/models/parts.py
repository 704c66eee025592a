"""Stripped parts: what is off an engine, since when, and where it lies."""

from datetime import datetime
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import AcceptedEntry
from restorations.members.models.entries import AcceptedQuerySet

ENDINGS = {
    "refitted": "refitted",
    "renewed": "renewed",
    "replaced": "lost and replaced",
    "left_off": "left off on purpose",
}


def endings() -> dict[str, str]:
    return ENDINGS


class StrippedPartQuerySet(AcceptedQuerySet):
    def off(self, *, at: datetime | None = None) -> Self:
        """Off the engine now, or at a moment of the past."""
        if at is None:
            return self.not_struck().filter(ended_at__isnull=True)
        return self.not_struck().filter(off_at__lte=at).filter(Q(ended_at__isnull=True) | Q(ended_at__gt=at))


class StrippedPart(AcceptedEntry):
    """One part's time off the engine: one row each time it comes off."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="stripped_parts")
    component = models.CharField(
        max_length=80, blank=True, help_text="The part's id in the knowledge; empty while unnamed."
    )
    place = models.CharField(max_length=40, blank=True)
    box = models.CharField("where it lies", max_length=60, blank=True)
    off_at = models.DateTimeField(default=timezone.now)
    off_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    ending = models.CharField(max_length=10, choices=endings, blank=True)

    objects = StrippedPartQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["-off_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["engine", "component", "place"],
                condition=Q(ended_at__isnull=True, struck_at__isnull=True) & ~Q(component=""),
                name="a_part_is_off_once_at_a_time",
            ),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ending="", ended_by__isnull=True)
                | (Q(ended_at__isnull=False, ended_by__isnull=False) & ~Q(ending="")),
                name="a_time_off_ends_whole",
            ),
        ]
        indexes = [models.Index(fields=["engine", "ended_at"])]

    def __str__(self) -> str:
        return self.part_id or "a part to be named"

    @property
    def part_id(self) -> str:
        """As the knowledge writes it: `connecting_rod@left`."""
        return f"{self.component}@{self.place}" if self.place else self.component
