"""The day book: what was done on an engine, by whom, for how long."""

from datetime import date
from typing import Any, ClassVar, Self

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.urls import reverse

from restorations.engines.models import Engine
from restorations.members.models import AcceptedEntry, Happened, Member
from restorations.members.models.entries import AcceptedQuerySet
from restorations.photos.models import Photo
from restorations.tasks.measuring import MOST_MINUTES, in_hours
from restorations.tasks.models.jobs import JobCard
from restorations.tasks.systems import place_in_words, sides, systems


class DayBookQuerySet(AcceptedQuerySet):
    def contents_visible_to(self, member: Member, *, on: date) -> Self:
        return self.filter(engine__in=Engine.objects.contents_visible_to(member, on=on))

    def by(self, person: Member) -> Self:
        """What this person did or helped with."""
        helped = DayBookEntry.helpers.through.objects.filter(daybookentry=OuterRef("pk"), member=person)
        return self.filter(Q(done_by=person) | Exists(helped))

    def matching(self, words: str) -> Self:
        """Those whose text holds each of the words."""
        rows = self
        for word in words.split():
            rows = rows.filter(text__icontains=word)
        return rows


class DayBookEntry(Happened, AcceptedEntry):
    """One line of the day book. Struck out, never changed."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="entries")
    text = models.TextField("what was done", max_length=2000)
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    helpers = models.ManyToManyField(settings.AUTH_USER_MODEL, related_name="helped_with")
    helper_names = models.CharField("helpers who are no members", max_length=200, blank=True)
    people = models.PositiveSmallIntegerField("how many worked on it", default=1)
    system = models.CharField(max_length=20, choices=systems, blank=True)
    side = models.CharField(max_length=10, choices=sides, blank=True)
    card = models.ForeignKey(JobCard, models.PROTECT, null=True, blank=True, related_name="entries")
    photos = models.ManyToManyField(Photo, blank=True, related_name="entries")
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[Any] = DayBookQuerySet.as_manager()

    class Meta(Happened.Meta):
        ordering = ["-happened_at", "-pk"]
        constraints = [
            *Happened.Meta.constraints,
            models.CheckConstraint(
                condition=Q(minutes__isnull=True) | Q(minutes__gte=1, minutes__lte=MOST_MINUTES),
                name="an_entry_fits_in_a_day",
            ),
            models.CheckConstraint(condition=Q(people__gte=1), name="somebody_did_it"),
        ]
        indexes = [
            models.Index(fields=["engine", "happened_at"]),
            models.Index(fields=["done_by", "happened_at"]),
            models.Index(fields=["happened_at"]),
        ]

    def __str__(self) -> str:
        return self.text[:60]

    def get_absolute_url(self) -> str:
        return reverse("tasks:entry", args=[self.pk])

    @property
    def where(self) -> str:
        return place_in_words(self.system, self.side)

    @property
    def time_taken(self) -> str:
        return in_hours(self.minutes)

    @property
    def initials(self) -> str:
        """Of whoever did it: a member's, or those of the name given."""
        if self.done_by is not None:
            return str(self.done_by.initials)
        return "".join(word[0].upper() for word in self.done_by_name.split())[:3]

    @property
    def helped(self) -> list[str]:
        """Everybody who helped, by name; reads the prefetched members."""
        return [str(member) for member in self.helpers.all()] + [name for name in self.helper_names.split(", ") if name]
