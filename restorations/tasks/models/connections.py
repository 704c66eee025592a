"""Connections: a pipe, wire or pin joint with two ends, parted and joined as a pair."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import AcceptedEntry
from restorations.members.models.entries import AcceptedQuerySet
from restorations.photos.models import Photo

CARRIES = {
    "steam": "steam",
    "air": "air",
    "water": "water",
    "oil": "oil",
    "gas": "gas",
    "exhaust": "exhaust",
    "electricity": "electricity",
    "pin_joint": "nothing: a pin joint",
}
FLOWS = {
    "a_to_b": "from A to B",
    "b_to_a": "from B to A",
    "both": "both ways",
    "not_known": "not known",
    "none": "nothing flows",
}
CLOSINGS = {"open": "left open", "plugged": "plugged", "capped": "capped"}


def carries() -> dict[str, str]:
    return CARRIES


def flows() -> dict[str, str]:
    return FLOWS


def closings() -> dict[str, str]:
    return CLOSINGS


class ConnectionQuerySet(AcceptedQuerySet):
    def parted(self) -> Self:
        """Apart now; a helper's joining counts when one of the hands has accepted it."""
        return self.not_struck().filter(Q(joined_at__isnull=True) | Q(joining_waits=True))

    def unchecked(self) -> Self:
        """Joined, and nobody has looked over both ends together since."""
        return self.not_struck().filter(joined_at__isnull=False, joining_waits=False, checked_at__isnull=True)


class Connection(AcceptedEntry):
    """One parting of a connection: what it joins, how each end was left, and its joining again."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="connections")
    number = models.PositiveIntegerField("number on both labels", editable=False)
    name = models.CharField("what it is", max_length=80, blank=True)
    component = models.CharField(max_length=80, blank=True, help_text="Its id in the knowledge, where it has one.")
    place = models.CharField(max_length=40, blank=True)
    carries = models.CharField("what it carries", max_length=12, choices=carries)
    flow = models.CharField("which way it flows", max_length=9, choices=flows, default="not_known")
    end_a = models.CharField("end A", max_length=80)
    end_b = models.CharField("end B", max_length=80)
    closed_a = models.CharField("end A is", max_length=7, choices=closings, default="open")
    closed_b = models.CharField("end B is", max_length=7, choices=closings, default="open")
    photos = models.ManyToManyField(Photo, blank=True, related_name="+")
    made_safe = models.JSONField("what was so before parting", default=list, blank=True)
    parted_at = models.DateTimeField(default=timezone.now)
    parted_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    joined_at = models.DateTimeField(null=True, blank=True)
    joined_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    joining_waits = models.BooleanField(default=False)
    checked_at = models.DateTimeField("both ends looked over", null=True, blank=True)
    checked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    objects = ConnectionQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["-parted_at", "-pk"]
        constraints = [
            models.UniqueConstraint(fields=["engine", "number"], name="connections_are_numbered"),
            models.UniqueConstraint(
                fields=["engine", "component", "place"],
                condition=Q(joined_at__isnull=True, struck_at__isnull=True) & ~Q(component=""),
                name="a_connection_is_parted_once_at_a_time",
            ),
            models.CheckConstraint(
                condition=Q(joined_at__isnull=True, joined_by__isnull=True, joining_waits=False)
                | Q(joined_at__isnull=False, joined_by__isnull=False),
                name="a_joining_is_whole",
            ),
            models.CheckConstraint(
                condition=Q(checked_at__isnull=True, checked_by__isnull=True)
                | Q(checked_at__isnull=False, checked_by__isnull=False, joined_at__isnull=False),
                name="checked_as_a_pair_once_joined",
            ),
        ]
        indexes = [models.Index(fields=["engine", "joined_at"])]

    def __str__(self) -> str:
        where = f", {self.place.replace('.', ' ')}" if self.place else ""
        return self.name or f"{self.component.replace('_', ' ')}{where}"

    def get_absolute_url(self) -> str:
        return reverse("tasks:connection", args=[self.pk])

    @property
    def part_id(self) -> str:
        return f"{self.component}@{self.place}" if self.place else self.component

    @property
    def is_parted(self) -> bool:
        return self.struck_at is None and (self.joined_at is None or self.joining_waits)

    @property
    def arrow(self) -> str:
        """The flow from end A to end B, as drawn between them on labels and pages."""
        return {"a_to_b": "→", "b_to_a": "←", "both": "↔"}.get(self.flow, "–")
