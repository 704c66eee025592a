"""Tags: the warnings that hang on an engine, on the hook and here."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import AcceptedEntry
from restorations.members.models.entries import AcceptedQuerySet

TAG_KINDS = {
    "do_not_steam": "DO NOT STEAM",
    "do_not_turn": "DO NOT TURN",
    "no_air": "NO AIR",
    "soaking": "SOAKING",
    "rod_off": "ROD OFF",
}


def tag_kinds() -> dict[str, str]:
    return TAG_KINDS


class TagQuerySet(AcceptedQuerySet):
    def hanging(self) -> Self:
        """On the engine now, a helper's too: a warning never waits."""
        return self.not_struck().filter(taken_off_at__isnull=True)


class Tag(AcceptedEntry):
    """One tag on one engine, with its reason."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="tags")
    kind = models.CharField("what it says", max_length=12, choices=tag_kinds)
    reason = models.CharField("why", max_length=120)
    put_on_at = models.DateTimeField(default=timezone.now)
    put_on_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    taken_off_at = models.DateTimeField(null=True, blank=True)
    taken_off_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    objects = TagQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["-put_on_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(taken_off_at__isnull=True, taken_off_by__isnull=True)
                | Q(taken_off_at__isnull=False, taken_off_by__isnull=False),
                name="a_tag_is_taken_off_by_somebody",
            )
        ]
        indexes = [models.Index(fields=["engine", "taken_off_at"])]

    def __str__(self) -> str:
        return TAG_KINDS.get(self.kind, self.kind)
