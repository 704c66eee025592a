"""Test sessions: an engine and the inspector on one day."""

from datetime import date
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import Member, Versioned

TESTS = {
    "hydraulic_test": "Hydraulic test of the boiler",
    "steam_test": "Steam test of the boiler",
    "both_tests": "Hydraulic and steam test of the boiler",
    "gas_tank": "Gas tank test",
}
COVERS = {"both_tests": ("hydraulic_test", "steam_test")}  # any other test gives the paper of its own name
OUTCOMES = {"held": "took place", "missed": "missed", "called_off": "called off"}


def tests() -> dict[str, str]:
    return TESTS


def outcomes() -> dict[str, str]:
    return OUTCOMES


class BoilerTestSessionQuerySet(models.QuerySet["BoilerTestSession"]):
    def ahead(self) -> Self:
        """Asked for or booked, and nobody has said yet how it went."""
        return self.filter(outcome="")

    def booked(self) -> Self:
        return self.ahead().filter(on__isnull=False)

    def visible_to(self, member: Member, *, on: date) -> Self:
        """They are seen with the papers: by everybody for whom the engine exists."""
        return self.filter(engine__in=Engine.objects.visible_to(member, on=on))

    def in_order(self) -> Self:
        return self.order_by(F("on").asc(nulls_first=True), "asked_at", "pk")


class BoilerTestSession(Versioned):
    """Asked for, then booked (a day and who tests), then held, missed or called off."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="test_sessions")
    test = models.CharField(max_length=20, choices=tests)
    words = models.CharField("what the inspector should know", max_length=400, blank=True)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    asked_at = models.DateTimeField(default=timezone.now, editable=False)
    on = models.DateField("day", null=True, blank=True)
    begins_at = models.TimeField("from", null=True, blank=True)
    place = models.CharField(max_length=120, blank=True)
    inspector = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    inspector_name = models.CharField("inspector from outside", max_length=80, blank=True)
    witness = models.CharField(max_length=80, blank=True)
    changed_at = models.DateTimeField(default=timezone.now, editable=False)
    outcome = models.CharField(max_length=10, choices=outcomes, blank=True, default="")
    outcome_words = models.CharField("how it went, or why not", max_length=400, blank=True)
    came = models.ManyToManyField(settings.AUTH_USER_MODEL, related_name="+")
    missed = models.ManyToManyField(settings.AUTH_USER_MODEL, related_name="+")
    others = models.CharField("who else came", max_length=200, blank=True)

    objects = BoilerTestSessionQuerySet.as_manager()

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["engine", "test"], condition=Q(outcome=""), name="asked_for_the_same_test_once"
            ),
            models.CheckConstraint(
                condition=Q(on__isnull=True) | Q(inspector__isnull=False) | ~Q(inspector_name=""),
                name="somebody_tests_at_a_session",
            ),
        ]

    def __str__(self) -> str:
        return f"{TESTS.get(self.test, self.test)}, {self.engine}"

    def get_absolute_url(self) -> str:
        return reverse("traffic:test_session", args=[self.pk])

    @property
    def gives(self) -> tuple[str, ...]:
        """The kinds of paper that come of it."""
        return COVERS.get(self.test, (self.test,))

    @property
    def who_tests(self) -> str:
        return str(self.inspector) if self.inspector else self.inspector_name
