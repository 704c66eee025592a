"""The owner is asked for consent to one thing that cannot be undone; a yes becomes an OwnerConsent."""

from datetime import date
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models.engine import Engine
from restorations.engines.models.papers import OwnerConsent
from restorations.members.models import Member

ANSWERS = {"": "waits for the owner", "given": "consented", "refused": "not consented"}


def consent_answers() -> dict[str, str]:
    return ANSWERS


class ConsentRequestQuerySet(models.QuerySet["ConsentRequest"]):
    def waiting(self) -> Self:
        return self.filter(answer="")

    def for_speaker(self, member: Member, *, on: date) -> Self:
        """Those that this member answers: as owner, as secretary for the club, as mentor for an owner from outside."""
        mine = Q(engine__owner_member=member)
        if member.is_secretary:
            mine |= Q(engine__owner_is_club=True)
        if member.is_mentor:
            mine |= Q(engine__owner_member__isnull=True, engine__owner_is_club=False)
        return self.waiting().filter(mine, engine__in=Engine.objects.visible_to(member, on=on))


class ConsentRequest(models.Model):
    """`why` is the asker's, `how` the procedure in words as the knowledge had it; `address` leads to the sheet."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="consent_requests")
    action = models.CharField("step of the knowledge it covers", max_length=120)
    what = models.CharField(max_length=200)
    why = models.TextField(blank=True, max_length=2000)
    how = models.TextField(blank=True, max_length=6000)
    address = models.CharField(max_length=200, blank=True)
    asked_at = models.DateTimeField(default=timezone.now)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    answer = models.CharField(max_length=8, choices=consent_answers, blank=True, default="")
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    words = models.TextField("what the owner says", blank=True, max_length=2000)
    consent = models.ForeignKey(OwnerConsent, models.PROTECT, null=True, blank=True, related_name="+")

    objects = ConsentRequestQuerySet.as_manager()

    class Meta:
        ordering = ["asked_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["engine", "action"], condition=Q(answer=""), name="owner_asked_once_at_a_time"
            ),
            models.CheckConstraint(
                condition=Q(answer="", answered_by__isnull=True) | (~Q(answer="") & Q(answered_by__isnull=False)),
                name="owners_answer_has_a_name",
            ),
            models.CheckConstraint(
                condition=Q(answer="given", consent__isnull=False) | (~Q(answer="given") & Q(consent__isnull=True)),
                name="a_consent_given_is_recorded",
            ),
        ]

    def __str__(self) -> str:
        return self.what

    def get_absolute_url(self) -> str:
        return reverse("engines:consent_asked", args=[self.engine_id, self.pk])
