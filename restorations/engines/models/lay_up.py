"""An engine laid up with care: how often it is turned over, when frost comes, and what was done to it."""

import calendar
from datetime import date, timedelta
from typing import Any, ClassVar

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone

from restorations.engines.models.stoppage import Stoppage
from restorations.members.models import Struck, Versioned
from restorations.members.models.entries import StruckQuerySet

TURN_OVER, FROST = "turn_over", "frost"
CARE = {
    "drained": "Boiler, tanks, pumps and pipes drained",
    "dried": "Dried out inside",
    "oiled": "Oiled: bores, motion, bright work",
    "cocks": "Cocks and valves left as agreed",
    "covers": "Covers on, chimney stopped up",
    TURN_OVER: "Turned over",
    FROST: "Looked over against frost",
}
ASKED = {TURN_OVER: "turn it over", FROST: "look it over against frost"}
REMINDED = {TURN_OVER: "turn-over due", FROST: "before the frost"}
FROST_NOTICE = timedelta(days=14)
FROST_CHECK_HOLDS = timedelta(days=60)
LONGEST_INTERVAL = 366


def care_items() -> dict[str, str]:
    return CARE


def reminded_of() -> dict[str, str]:
    return REMINDED


def months() -> dict[int, str]:
    return {number: calendar.month_name[number] for number in range(1, 13)}


class LayUp(Versioned):
    """What was agreed for the time an engine is laid up; it belongs to a stoppage of that kind."""

    stoppage = models.OneToOneField(Stoppage, models.PROTECT, related_name="lay_up")
    turn_over_days = models.PositiveSmallIntegerField(
        "turned over every so many days",
        null=True,
        blank=True,
        validators=[MinValueValidator(1), MaxValueValidator(LONGEST_INTERVAL)],
    )
    frost_month = models.PositiveSmallIntegerField("month the frost may come", null=True, blank=True, choices=months)
    stands_on = models.CharField("how it stands", max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(turn_over_days__isnull=True) | Q(turn_over_days__range=(1, LONGEST_INTERVAL)),
                name="turned_over_within_a_year",
            ),
            models.CheckConstraint(
                condition=Q(frost_month__isnull=True) | Q(frost_month__range=(1, 12)), name="frost_comes_in_a_month"
            ),
        ]

    def __str__(self) -> str:
        return f"Lay-up of {self.stoppage.engine}"

    def turn_over_due(self, last: date | None) -> date | None:
        """When it is to be turned over next; nothing where no interval was agreed."""
        if self.turn_over_days is None:
            return None
        return (last or self.stoppage.began_on) + timedelta(days=self.turn_over_days)

    def frost_due(self, last: date | None) -> date | None:
        """The first of the frost's month that still asks for a look; nothing where no month was agreed.

        A look within sixty days before the month counts for that winter; one that was missed stays due.
        """
        if self.frost_month is None:
            return None
        start = last or self.stoppage.began_on
        first = next_first_of(self.frost_month, start)
        if last is not None and first - last <= FROST_CHECK_HOLDS:
            return first.replace(year=first.year + 1)
        return first


def next_first_of(month: int, after: date) -> date:
    """The first day of that month, on or after the day given."""
    year = after.year + (after > date(after.year, month, 1))
    return date(year, month, 1)


class LayUpCare(Struck):
    """One thing done for an engine that is laid up: what, when, by whom."""

    lay_up = models.ForeignKey(LayUp, models.PROTECT, related_name="care")
    item = models.CharField(max_length=10, choices=care_items)
    done_on = models.DateField()
    done_by = models.CharField("who did it", max_length=80)
    note = models.CharField(max_length=200, blank=True)
    recorded_at = models.DateTimeField(default=timezone.now, editable=False)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[Any] = StruckQuerySet.as_manager()

    class Meta:
        ordering = ["-done_on", "-pk"]

    def __str__(self) -> str:
        return CARE.get(self.item, self.item)


class LayUpReminder(models.Model):
    """That somebody was told of what is due on a day: once each."""

    lay_up = models.ForeignKey(LayUp, models.PROTECT, related_name="reminders")
    of = models.CharField(max_length=10, choices=reminded_of)
    due_on = models.DateField()
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["lay_up", "of", "due_on"], name="told_once_of_a_lay_up")]

    def __str__(self) -> str:
        return f"{REMINDED[self.of]}, {self.due_on}"
