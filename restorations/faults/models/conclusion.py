"""How a sheet was closed: what it was and how that is known, who says so, who signed it, why it was opened again."""

from typing import ClassVar, Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from restorations.faults.models.sheet import FaultSheet
from restorations.faults.models.snapshot import Snapshot
from restorations.faults.models.step import Step
from restorations.members.models import Struck
from restorations.members.models.entries import StruckQuerySet

OUTCOMES = {"found": "the cause was found", "not_found": "the cause was not found"}
HOW = {"seen": "seen", "cured": "cured and proved", "inferred": "inferred"}
ROLES = {"cause": "the cause", "by_the_way": "found by the way"}
IN_FORCE = Q(struck_at__isnull=True, closed_at__isnull=False, reopened_at__isnull=True)


def outcomes() -> dict[str, str]:
    return OUTCOMES


def how() -> dict[str, str]:
    return HOW


def roles() -> dict[str, str]:
    return ROLES


class ConclusionQuerySet(StruckQuerySet):
    def proposed(self) -> Self:
        """Not yet closed by a mentor, nor withdrawn."""
        return self.not_struck().filter(closed_at__isnull=True)

    def in_force(self) -> Self:
        """What the sheet is closed with now."""
        return self.filter(IN_FORCE)

    def unsigned(self) -> Self:
        return self.in_force().filter(signed_at__isnull=True)


class Conclusion(Struck):
    """Proposed by anybody who works on the engine, closed by a mentor, signed by others; one in force at a time."""

    sheet = models.ForeignKey(FaultSheet, models.PROTECT, related_name="conclusions")
    number = models.PositiveIntegerField()
    outcome = models.CharField(max_length=9, choices=outcomes)
    words = models.TextField("what it was and what was done", blank=True, max_length=4000)
    regardless = models.TextField("why it is closed although something is missing", blank=True, max_length=2000)
    is_of_boiler = models.BooleanField(default=False)
    concluded_at = models.DateTimeField()
    concluded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    snapshot = models.ForeignKey(Snapshot, models.PROTECT, null=True, blank=True, related_name="+")
    signed_at = models.DateTimeField("when the last signature it needs was given", null=True, blank=True)
    reopened_at = models.DateTimeField(null=True, blank=True)
    reopened_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    reopened_reason = models.CharField(max_length=400, blank=True)

    objects: ClassVar[ConclusionQuerySet] = ConclusionQuerySet.as_manager()  # type: ignore[assignment]

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(fields=["sheet", "number"], name="one_conclusion_per_number"),
            models.UniqueConstraint(fields=["sheet"], condition=IN_FORCE, name="one_conclusion_in_force"),
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True, closed_by__isnull=True)
                | Q(closed_at__isnull=False, closed_by__isnull=False),
                name="closing_has_a_name",
            ),
            models.CheckConstraint(
                condition=Q(reopened_at__isnull=True, reopened_by__isnull=True, reopened_reason="")
                | (
                    Q(reopened_at__isnull=False, reopened_by__isnull=False, closed_at__isnull=False)
                    & ~Q(reopened_reason="")
                ),
                name="reopened_after_closing_with_a_reason",
            ),
            models.CheckConstraint(
                condition=Q(signed_at__isnull=True) | Q(closed_at__isnull=False), name="signed_after_closing"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_outcome_display()[:1].upper()}{self.get_outcome_display()[1:]}"

    def get_absolute_url(self) -> str:
        return reverse("faults:conclusion", args=[self.pk])

    @property
    def is_proposed(self) -> bool:
        return self.closed_at is None and not self.is_struck

    @property
    def is_in_force(self) -> bool:
        return self.closed_at is not None and self.reopened_at is None and not self.is_struck

    @property
    def the_causes(self) -> list["ConfirmedCause"]:
        return [cause for cause in self.causes.all() if cause.role == "cause"]

    @property
    def by_the_way(self) -> list["ConfirmedCause"]:
        return [cause for cause in self.causes.all() if cause.role == "by_the_way"]


class ConfirmedCause(models.Model):
    """`name` is what it was called then, so that it stays readable whatever becomes of the knowledge."""

    conclusion = models.ForeignKey(Conclusion, models.PROTECT, related_name="causes")
    cause = models.CharField(max_length=120)
    name = models.CharField(max_length=200)
    system = models.CharField(max_length=20, blank=True)
    how = models.CharField(max_length=8, choices=how)
    role = models.CharField(max_length=10, choices=roles, default="cause")
    words = models.CharField("where and how", blank=True, max_length=400)
    step = models.ForeignKey(Step, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-role", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["conclusion", "cause"], name="each_cause_once_in_a_conclusion"),
        ]

    def __str__(self) -> str:
        return self.name


class SignOff(models.Model):
    """A mentor's word, or for boiler work the inspector's, that the conclusion holds; never on one's own work."""

    conclusion = models.ForeignKey(Conclusion, models.PROTECT, related_name="sign_offs")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    words = models.TextField(blank=True, max_length=2000)
    as_mentor = models.BooleanField(default=False)
    as_inspector = models.BooleanField(default=False)

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["conclusion", "by"], name="each_signs_once"),
            models.CheckConstraint(condition=Q(as_mentor=True) | Q(as_inspector=True), name="signed_in_some_office"),
        ]

    def __str__(self) -> str:
        return f"signed off by {self.by}"
