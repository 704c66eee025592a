"""Readings: a measured value kept as it was typed, with the same in SI units beside it for comparison."""

from datetime import date
from typing import Any, ClassVar, Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from restorations.engines.models import Design, Engine
from restorations.members.models import AcceptedEntry, Happened, Member
from restorations.members.models.entries import AcceptedQuerySet
from restorations.tasks.measuring import LONGEST_LINE, in_shown_unit, plain, shown_value
from restorations.tasks.models.day_book import DayBookEntry


class ReadingQuerySet(AcceptedQuerySet):
    def contents_visible_to(self, member: Member, *, on: date) -> Self:
        return self.filter(engine__in=Engine.objects.contents_visible_to(member, on=on))


class Reading(Happened, AcceptedEntry):
    """What was measured, where, in what state of the engine; repeats as their mean, least and most."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="readings")
    entry = models.ForeignKey(DayBookEntry, models.PROTECT, null=True, blank=True, related_name="readings")
    what = models.CharField("what was measured", max_length=80)
    where = models.CharField("where on the engine", max_length=40, blank=True)
    key = models.CharField(max_length=130, editable=False, help_text="What and where as they are compared.")
    typed = models.CharField("value as typed", max_length=LONGEST_LINE)
    dimension = models.CharField(max_length=12)
    mean_si = models.FloatField()
    least_si = models.FloatField()
    most_si = models.FloatField()
    repeats = models.PositiveSmallIntegerField(default=1)
    state = models.CharField("state of the engine", max_length=120, blank=True)
    known_good_for = models.ForeignKey(
        Design, models.PROTECT, null=True, blank=True, related_name="known_good_readings"
    )
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[Any] = ReadingQuerySet.as_manager()

    class Meta(Happened.Meta):
        ordering = ["-happened_at", "-pk"]
        constraints = [
            *Happened.Meta.constraints,
            models.CheckConstraint(
                condition=Q(least_si__lte=F("mean_si"), mean_si__lte=F("most_si"), repeats__gte=1),
                name="a_mean_lies_between_its_repeats",
            ),
        ]
        indexes = [
            models.Index(fields=["engine", "key", "happened_at"]),
            models.Index(fields=["known_good_for", "key"]),
        ]

    def __str__(self) -> str:
        return f"{self.title} = {self.typed}"

    def get_absolute_url(self) -> str:
        return f"{reverse('tasks:series', args=[self.engine_id])}?reading={self.pk}"

    @staticmethod
    def key_of(what: str, where: str) -> str:
        return f"{plain(what)}|{plain(where)}"

    @property
    def title(self) -> str:
        return f"{self.what}, {self.where}" if self.where else self.what

    @property
    def for_comparison(self) -> str:
        """The mean in the unit readings are compared in."""
        return in_shown_unit(self.mean_si, self.dimension)

    @property
    def spread(self) -> str:
        """Of repeats: "28.6 mm to 28.7 mm"; nothing for a single value."""
        if self.repeats == 1:
            return ""
        return f"{in_shown_unit(self.least_si, self.dimension)} to {in_shown_unit(self.most_si, self.dimension)}"

    @property
    def shown(self) -> tuple[float, float, float]:
        """Least, mean and most in the unit readings are compared in."""
        return (
            shown_value(self.least_si, self.dimension),
            shown_value(self.mean_si, self.dimension),
            shown_value(self.most_si, self.dimension),
        )
