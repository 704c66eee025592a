"""Stripped parts: what is off an engine, since when, where it lies, and how it ended."""

from datetime import datetime
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models import Engine, OwnerConsent
from restorations.members.models import AcceptedEntry, Struck, Versioned
from restorations.members.models.entries import AcceptedQuerySet
from restorations.photos.models import Photo
from restorations.tasks.models.boxes import Box

ENDINGS = {
    "refitted": "refitted",
    "renewed": "renewed",
    "replaced": "lost and replaced",
    "left_off": "left off on purpose",
    "scrapped": "scrapped",
}
STAYS_OFF = frozenset({"left_off", "scrapped"})


def endings() -> dict[str, str]:
    return ENDINGS


class StrippedPartQuerySet(AcceptedQuerySet):
    def off(self, *, at: datetime | None = None) -> Self:
        """Off the engine and not accounted for, now or at a moment of the past; a helper's ending waits."""
        if at is None:
            return self.not_struck().filter(Q(ended_at__isnull=True) | Q(ending_waits=True))
        return self.not_struck().filter(off_at__lte=at).filter(Q(ended_at__isnull=True) | Q(ended_at__gt=at))

    def absent(self) -> Self:
        """Not on the engine: off, or left off or scrapped with nothing fitted in its place since."""
        later = Q(ended_at__gt=OuterRef("ended_at")) | Q(ended_at=OuterRef("ended_at"), pk__gt=OuterRef("pk"))
        same = {"engine": OuterRef("engine"), "component": OuterRef("component"), "place": OuterRef("place")}
        fitted = StrippedPart.objects.not_struck().filter(later, **same, ending_waits=False)
        gone = Q(ending__in=STAYS_OFF) & ~Exists(fitted.exclude(ending__in=STAYS_OFF))
        return self.not_struck().filter(Q(ended_at__isnull=True) | Q(ending_waits=True) | gone)

    def in_order(self) -> Self:
        return self.order_by("number")


class StrippedPart(AcceptedEntry, Versioned):
    """One part's time off the engine: one row each time it comes off."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="stripped_parts")
    number = models.PositiveIntegerField("order in which it came off", editable=False)
    component = models.CharField(
        max_length=80, blank=True, help_text="The part's id in the knowledge; empty while unnamed."
    )
    place = models.CharField(max_length=40, blank=True)
    name = models.CharField("name in your own words", max_length=80, blank=True)
    box = models.CharField("where it lies", max_length=60, blank=True)
    in_box = models.ForeignKey(Box, models.PROTECT, null=True, blank=True, related_name="parts")
    tray_place = models.PositiveSmallIntegerField("place in the box", null=True, blank=True)
    orientation = models.CharField("which way it sat", max_length=200, blank=True)
    photos = models.ManyToManyField(Photo, blank=True, related_name="+")
    mates = models.CharField("what it belongs with", max_length=200, blank=True)
    shim_typed = models.CharField(max_length=40, blank=True)
    shim_mm = models.FloatField(null=True, blank=True)
    gasket_typed = models.CharField(max_length=40, blank=True)
    gasket_mm = models.FloatField(null=True, blank=True)
    off_at = models.DateTimeField(default=timezone.now)
    off_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    off_not_recorded = models.BooleanField(
        default=False, help_text="It went back on although nobody had written down that it came off."
    )
    ended_at = models.DateTimeField(null=True, blank=True)
    ended_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    ending = models.CharField(max_length=10, choices=endings, blank=True)
    ending_reason = models.CharField(max_length=200, blank=True)
    ending_waits = models.BooleanField(
        default=False, help_text="A helper wrote the ending; one of the hands has yet to accept it."
    )
    consent = models.ForeignKey(OwnerConsent, models.PROTECT, null=True, blank=True, related_name="+")

    objects = StrippedPartQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["-off_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["engine", "component", "place"],
                condition=Q(ended_at__isnull=True, struck_at__isnull=True) & ~Q(component=""),
                name="a_part_is_off_once_at_a_time",
            ),
            models.UniqueConstraint(fields=["engine", "number"], name="parts_come_off_in_order"),
            models.CheckConstraint(
                condition=Q(ended_at__isnull=True, ending="", ended_by__isnull=True, ending_waits=False)
                | (Q(ended_at__isnull=False, ended_by__isnull=False) & ~Q(ending="")),
                name="a_time_off_ends_whole",
            ),
            models.CheckConstraint(
                condition=~Q(ending="scrapped") | Q(consent__isnull=False), name="scrapped_with_the_owners_consent"
            ),
            models.CheckConstraint(
                condition=~Q(ending="left_off") | ~Q(ending_reason=""), name="left_off_for_a_reason"
            ),
        ]
        indexes = [models.Index(fields=["engine", "ended_at"])]

    def __str__(self) -> str:
        where = f", {self.place.replace('.', ' ')}" if self.place else ""
        return f"{self.component.replace('_', ' ')}{where}" if self.component else self.name or "a part to be named"

    def get_absolute_url(self) -> str:
        return reverse("tasks:part", args=[self.pk])

    @property
    def part_id(self) -> str:
        """As the knowledge writes it: `connecting_rod@left`."""
        return f"{self.component}@{self.place}" if self.place else self.component

    @property
    def is_off(self) -> bool:
        return self.struck_at is None and (self.ended_at is None or self.ending_waits)

    @property
    def lies_in(self) -> str:
        """Where to look for it, with the place in the tray."""
        where = str(self.in_box) if self.in_box_id else self.box
        return f"{where}, place {self.tray_place}" if where and self.tray_place else where

    @property
    def in_other_words(self) -> str:
        """What was typed as its box, where the box's number, code and label do not say it."""
        if self.in_box is None:
            return ""
        says = {str(self.in_box.number), self.in_box.code.casefold(), self.in_box.label.casefold()}
        return "" if {self.box.casefold(), self.box.casefold().split(" ")[-1]} & says else self.box


class FixingSet(Struck):
    """Screws, bolts or studs that go together: how many, which thread, how long, in which holes."""

    part = models.ForeignKey(StrippedPart, models.PROTECT, related_name="fixings")
    how_many = models.PositiveSmallIntegerField()
    thread = models.CharField("thread and head", max_length=40)
    length_typed = models.CharField(max_length=40, blank=True)
    length_mm = models.FloatField(null=True, blank=True)
    holes = models.CharField("which holes", max_length=80, blank=True)
    lie_in = models.CharField("where they lie", max_length=80, blank=True)
    noted_at = models.DateTimeField(default=timezone.now, editable=False)
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    class Meta:
        ordering = ["pk"]
        constraints = [models.CheckConstraint(condition=Q(how_many__gte=1), name="a_set_of_fixings_holds_one")]

    def __str__(self) -> str:
        length = f" × {self.length_typed}" if self.length_typed else ""
        return f"{self.how_many} of {self.thread}{length}"
