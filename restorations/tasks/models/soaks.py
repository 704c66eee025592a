"""Soaks, and the attempts at freeing what soaks: where, in what, until when, and what each attempt gained."""

from datetime import datetime
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import AcceptedEntry
from restorations.members.models.entries import AcceptedQuerySet
from restorations.photos.models import Photo

PUSHES = {"free": "free, by the fingers", "stiff": "stiff, by the hand", "strong": "only under a strong push"}


def pushes() -> dict[str, str]:
    return PUSHES


class SoakQuerySet(AcceptedQuerySet):
    def under_way(self) -> Self:
        """A helper's word that it is over counts once one of the hands has accepted it."""
        return self.not_struck().filter(Q(ended_at__isnull=True) | Q(ending_waits=True))

    def to_remind_of(self, at: datetime) -> Self:
        """Under way, with care or the end due and nobody told yet."""
        care = Q(next_care_at__lte=at, care_reminded_at__isnull=True)
        return (
            self.under_way()
            .filter(engine__gone_on__isnull=True)
            .filter(care | Q(due_at__lte=at, due_reminded_at__isnull=True))
        )


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
    care = models.CharField("what to do meanwhile", max_length=80, blank=True)
    next_care_at = models.DateTimeField(null=True, blank=True)
    care_reminded_at = models.DateTimeField(null=True, blank=True, editable=False)
    due_reminded_at = models.DateTimeField(null=True, blank=True, editable=False)
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    ending_waits = models.BooleanField(default=False)

    objects = SoakQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["-begun_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(due_at__gte=F("begun_at")), name="soak_due_after_it_began"),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True) | Q(ended_at__gte=F("begun_at")), name="soak_ended_after_it_began"
            ),
        ]
        indexes = [models.Index(fields=["engine", "ended_at"]), models.Index(fields=["ended_at", "due_at"])]

    def __str__(self) -> str:
        return f"{self.place} in {self.fluid}"

    @property
    def is_under_way(self) -> bool:
        return self.struck_at is None and (self.ended_at is None or self.ending_waits)


class FreeingAttempt(AcceptedEntry):
    """One try at moving what is stuck: how, how hard, and how much further it went each way."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="freeing_attempts")
    soak = models.ForeignKey(Soak, models.PROTECT, null=True, blank=True, related_name="attempts")
    place = models.CharField(max_length=80)
    method = models.CharField("how it was tried", max_length=120)
    push = models.CharField("how it moved", max_length=6, choices=pushes)
    forward_typed = models.CharField(max_length=40)
    forward_mm = models.FloatField(null=True, blank=True)
    forward_deg = models.FloatField(null=True, blank=True)
    back_typed = models.CharField(max_length=40)
    back_mm = models.FloatField(null=True, blank=True)
    back_deg = models.FloatField(null=True, blank=True)
    full_turn = models.BooleanField("it went right round", default=False)
    note = models.CharField(max_length=400, blank=True)
    photos = models.ManyToManyField(Photo, blank=True, related_name="+")
    tried_at = models.DateTimeField(default=timezone.now)
    tried_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["tried_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(forward_mm__gte=0, back_mm__gte=0, forward_deg__isnull=True, back_deg__isnull=True)
                | Q(forward_deg__gte=0, back_deg__gte=0, forward_mm__isnull=True, back_mm__isnull=True),
                name="gained_each_way_in_one_measure",
            )
        ]
        indexes = [models.Index(fields=["engine", "place", "tried_at"])]

    def __str__(self) -> str:
        return f"{self.method}: {self.forward_typed} forward, {self.back_typed} back"
