"""A mentor's leave for a risky step: asked, then given or refused."""

from datetime import datetime
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from restorations.faults.models.sheet import FaultSheet

ANSWERS = {"": "waits for a mentor", "given": "given", "refused": "refused"}


def answers() -> dict[str, str]:
    return ANSWERS


class GoAheadQuerySet(models.QuerySet["GoAhead"]):
    def waiting(self) -> Self:
        return self.filter(answer="")

    def in_force(self, at: datetime) -> Self:
        """Given by then, and not past its end."""
        given = self.filter(answer="given", answered_at__lte=at)
        return given.filter(Q(until__isnull=True) | Q(until__gt=at))


class GoAhead(models.Model):
    """For one step of one sheet. Nobody answers what they asked for themselves."""

    sheet = models.ForeignKey(FaultSheet, models.PROTECT, related_name="go_aheads")
    action = models.CharField("check or remedy", max_length=120)
    words = models.CharField("what is to be done", max_length=300)
    reason = models.TextField("why, and how it will be done", blank=True, max_length=2000)
    asked_at = models.DateTimeField(default=timezone.now)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    answer = models.CharField(max_length=8, choices=answers, blank=True, default="")
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    conditions = models.TextField(blank=True, max_length=2000)
    until = models.DateTimeField(null=True, blank=True)

    objects = GoAheadQuerySet.as_manager()

    class Meta:
        ordering = ["asked_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["sheet", "action"], condition=Q(answer=""), name="asked_once_at_a_time"),
            models.CheckConstraint(
                condition=Q(answer="", answered_by__isnull=True) | (~Q(answer="") & Q(answered_by__isnull=False)),
                name="answer_has_a_name",
            ),
            models.CheckConstraint(
                condition=Q(answered_by__isnull=True) | ~Q(answered_by=F("asked_by")), name="never_ones_own_go_ahead"
            ),
        ]

    def __str__(self) -> str:
        return self.words

    def get_absolute_url(self) -> str:
        return f"{self.sheet.get_absolute_url()}#go-ahead-{self.pk}"

    def is_in_force(self, at: datetime) -> bool:
        return self.answer == "given" and (self.until is None or self.until > at)
