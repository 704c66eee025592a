"""Incidents and near misses of a running day: append-only, put right by adding."""

from datetime import date
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models import Engine, Stoppage
from restorations.members.models import Member
from restorations.members.permissions import may
from restorations.traffic.models.running import Attendance, RunningDay

LONGEST_WORDS = 4000
KINDS = {"incident": "incident", "near_miss": "near miss"}
HURT = {"no": "nobody was hurt", "yes": "somebody was hurt", "not_known": "not known whether anybody was hurt"}
SEE_ALL = "see every incident"


def incident_kinds() -> dict[str, str]:
    return KINDS


def hurt_answers() -> dict[str, str]:
    return HURT


class IncidentQuerySet(models.QuerySet["Incident"]):
    def visible_to(self, member: Member) -> Self:
        """All to mentors, secretary and inspector; to others those they reported, and those of days they were at."""
        if may(member, SEE_ALL):
            return self.all()
        there = Attendance.objects.filter(day=OuterRef("day"), member=member, came=True)
        return self.filter(Q(recorded_by=member) | Q(Exists(there)))

    def on_days(self, start: date, end: date) -> Self:
        """Of running days from start up to, but not including, end."""
        return self.filter(day__on__gte=start, day__on__lt=end)


class Incident(models.Model):
    """What happened, or nearly did; never changed, only added to."""

    day = models.ForeignKey(RunningDay, models.PROTECT, related_name="incidents")
    kind = models.CharField("what it was", max_length=10, choices=incident_kinds)
    words = models.TextField("what happened", max_length=LONGEST_WORDS)
    about = models.TimeField("about what time", null=True, blank=True)
    engine = models.ForeignKey(Engine, models.PROTECT, null=True, blank=True, related_name="incidents")
    hurt = models.CharField("was anybody hurt", max_length=10, choices=hurt_answers)
    hurt_words = models.CharField("who, and how badly", max_length=400, blank=True)
    action = models.TextField("what was done at once", max_length=LONGEST_WORDS, blank=True)
    stoppage = models.ForeignKey(Stoppage, models.PROTECT, null=True, blank=True, related_name="+", editable=False)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    recorded_at = models.DateTimeField(default=timezone.now, editable=False)

    objects = IncidentQuerySet.as_manager()

    class Meta:
        ordering = ["day__on", "about", "pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(words=""), name="an_incident_says_what_happened"),
            models.CheckConstraint(
                condition=Q(stoppage__isnull=True) | Q(engine__isnull=False), name="only_a_named_engine_is_stopped"
            ),
        ]

    def __str__(self) -> str:
        return f"{KINDS.get(self.kind, self.kind).capitalize()}, {self.day}"

    def get_absolute_url(self) -> str:
        return reverse("traffic:incident", args=[self.pk])


class IncidentNote(models.Model):
    """A correction, or what came to light later."""

    incident = models.ForeignKey(Incident, models.PROTECT, related_name="notes")
    words = models.TextField("correction, or what else is known", max_length=LONGEST_WORDS)
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    written_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["written_at", "pk"]

    def __str__(self) -> str:
        return self.words[:60]
