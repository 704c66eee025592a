"""When the club works: its weekly sessions, how many usually come, and the days the shop is shut."""

import calendar
from typing import Any, ClassVar

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from restorations.members.models import Struck, Versioned
from restorations.members.models.entries import StruckQuerySet

LONGEST_SESSION = 16
MOST_HANDS = 50
LONGEST_ASKED = 365


def weekdays() -> dict[int, str]:
    return dict(enumerate(calendar.day_name))


class WorkingPattern(Versioned):
    """The one pattern of the club; nothing until the secretary sets it."""

    inspector_days = models.PositiveSmallIntegerField(
        "days from asking the inspector to the test",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(LONGEST_ASKED)],
    )

    class Meta:
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="one_working_pattern"),
            models.CheckConstraint(
                condition=Q(inspector_days__isnull=True) | Q(inspector_days__range=(1, LONGEST_ASKED)),
                name="the_inspector_comes_within_a_year",
            ),
        ]

    def __str__(self) -> str:
        return "Working sessions of the club"

    @classmethod
    def current(cls) -> "WorkingPattern":
        """The one row; as if unset while nobody has saved it. Reading it never writes."""
        return cls.objects.filter(pk=1).first() or cls(pk=1)


class WorkingSession(models.Model):
    """One session a week."""

    pattern = models.ForeignKey(WorkingPattern, models.PROTECT, related_name="sessions")
    weekday = models.PositiveSmallIntegerField(choices=weekdays)
    begins_at = models.TimeField(null=True, blank=True)
    hours = models.FloatField()
    hands = models.PositiveSmallIntegerField("usually on one engine")

    class Meta:
        ordering = ["weekday"]
        constraints = [
            models.UniqueConstraint(fields=["pattern", "weekday"], name="one_session_a_weekday"),
            models.CheckConstraint(condition=Q(weekday__lte=6), name="a_week_has_seven_days"),
            models.CheckConstraint(condition=Q(hours__gt=0, hours__lte=LONGEST_SESSION), name="a_session_has_hours"),
            models.CheckConstraint(condition=Q(hands__range=(1, MOST_HANDS)), name="somebody_comes_to_a_session"),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()}s, {self.hours:g} h, {self.hands} {'hand' if self.hands == 1 else 'hands'}"


class ClosedSpell(Struck):
    """Days the shop is shut, both included: holidays, a show, the heating off."""

    first_on = models.DateField("shut from")
    last_on = models.DateField("up to and with")
    why = models.CharField(max_length=80)
    recorded_at = models.DateTimeField(default=timezone.now, editable=False)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[Any] = StruckQuerySet.as_manager()

    class Meta:
        ordering = ["first_on", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(last_on__gte=F("first_on")), name="shut_until_after_it_was_shut")
        ]

    def __str__(self) -> str:
        return f"Shut: {self.why}"
