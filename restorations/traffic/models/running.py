"""Running days: when the club means to run."""

from datetime import date
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from restorations.members.models import Versioned


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
    note = models.TextField(blank=True, max_length=2000)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
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
