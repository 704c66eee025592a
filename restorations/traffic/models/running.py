"""Running days: when the club means to run, which engines, who comes, and what came of it."""

from datetime import date
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import Member, Versioned
from restorations.tasks.models import DayBookEntry

LONGEST_NOTE = 2000
COMING = {"yes": "comes", "no": "cannot come"}


def coming_answers() -> dict[str, str]:
    return COMING


class RunningDayQuerySet(models.QuerySet["RunningDay"]):
    def taking_place(self) -> Self:
        return self.filter(cancelled_at__isnull=True)

    def between(self, start: date, end: date) -> Self:
        """From start up to, but not including, end."""
        return self.filter(on__gte=start, on__lt=end)


class RunningDay(Versioned):
    """One day of running."""

    on = models.DateField("date", unique=True)
    title = models.CharField("what it is", max_length=80, default="Running day")
    begins_at = models.TimeField("from", null=True, blank=True)
    ends_at = models.TimeField("to", null=True, blank=True)
    note = models.TextField(blank=True, max_length=LONGEST_NOTE)
    outcome = models.TextField("how the day went", blank=True, default="", max_length=LONGEST_NOTE)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    changed_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    cancelled_at = models.DateTimeField(null=True, blank=True, editable=False)
    cancelled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+", editable=False
    )
    cancelled_reason = models.CharField("why it is called off", max_length=200, blank=True)

    objects = RunningDayQuerySet.as_manager()

    class Meta:
        ordering = ["on"]
        constraints = [
            models.CheckConstraint(
                condition=Q(cancelled_at__isnull=True, cancelled_by__isnull=True)
                | (Q(cancelled_at__isnull=False, cancelled_by__isnull=False) & ~Q(cancelled_reason="")),
                name="called_off_by_somebody_for_a_reason",
            )
        ]

    def __str__(self) -> str:
        return f"{self.title}, {self.on.day} {self.on:%b %Y}"

    def get_absolute_url(self) -> str:
        return reverse("traffic:running_day", args=[self.pk])

    @property
    def is_called_off(self) -> bool:
        return self.cancelled_at is not None


class AllocationQuerySet(models.QuerySet["Allocation"]):
    def holding(self) -> Self:
        """Asked for or allocated, and not withdrawn."""
        return self.filter(withdrawn_at__isnull=True)

    def visible_to(self, member: Member, *, on: date) -> Self:
        return self.filter(engine__in=Engine.objects.visible_to(member, on=on))


class Allocation(models.Model):
    """One engine on one running day: asked for, allocated, withdrawn with a reason, and what it did.

    `condition` is what still had to happen when it was allocated. `entry` is what it did, in the engine's day book.
    """

    day = models.ForeignKey(RunningDay, models.PROTECT, related_name="allocations")
    engine = models.ForeignKey(Engine, models.PROTECT, related_name="allocations")
    words = models.CharField("what for", max_length=200, blank=True)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    asked_at = models.DateTimeField(default=timezone.now, editable=False)
    allocated_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+", editable=False
    )
    allocated_at = models.DateTimeField(null=True, blank=True, editable=False)
    condition = models.CharField(max_length=500, blank=True, editable=False)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+", editable=False
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True, editable=False)
    withdrawn_reason = models.CharField(max_length=200, blank=True)
    ran = models.BooleanField(null=True, blank=True)
    laps = models.PositiveIntegerField(null=True, blank=True)
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    entry = models.ForeignKey(DayBookEntry, models.PROTECT, null=True, blank=True, related_name="+", editable=False)

    objects = AllocationQuerySet.as_manager()

    class Meta:
        ordering = ["engine__name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["day", "engine"], condition=Q(withdrawn_at__isnull=True), name="an_engine_once_on_a_running_day"
            ),
            models.CheckConstraint(
                condition=Q(withdrawn_at__isnull=True) | ~Q(withdrawn_reason=""),
                name="withdrawn_for_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.engine}, {self.day}"

    @property
    def is_allocated(self) -> bool:
        return self.allocated_at is not None and self.withdrawn_at is None

    @property
    def has_result(self) -> bool:
        """Recorded, and not struck out of the day book since."""
        return self.entry is not None and not self.entry.is_struck


class Attendance(models.Model):
    """One member and one running day: what they said beforehand, and whether the secretary saw them there."""

    day = models.ForeignKey(RunningDay, models.PROTECT, related_name="attendance")
    member = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="running_days")
    coming = models.CharField(max_length=3, choices=coming_answers, blank=True)
    came = models.BooleanField(null=True, blank=True)

    class Meta:
        ordering = ["member__full_name", "pk"]
        constraints = [models.UniqueConstraint(fields=["day", "member"], name="a_member_once_on_a_running_day")]

    def __str__(self) -> str:
        return f"{self.member}, {self.day}"
