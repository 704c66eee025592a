"""A spell out of traffic: why, since when, what it waits for, and who gave the engine back."""

from datetime import date
from typing import Any, ClassVar, Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models.engine import Engine
from restorations.engines.models.history import GENERAL, SYSTEMS
from restorations.members.models import Member, Struck, Versioned
from restorations.members.models.entries import StruckQuerySet

BOILER = "boiler"
KINDS = {
    "defect": "defect",
    BOILER: "boiler, for the inspector",
    "works": "in works",
    "laid_up": "laid up",
    "papers": "papers lapsed",
}
CAUSE_CLASSES = {
    **{system: words for system, words in SYSTEMS.items() if system != GENERAL},
    "boiler": "Boiler",
    "feed": "Water and feed",
    "firing": "Fire and fuel",
    "fittings": "Gauges, valves and fittings",
    "track": "Wheels on the track, brakes, springs",
    "papers": "Papers",
    "storage": "Storage and lay-up",
    "accident": "Accident",
    "other": "Something else",
}
WAITS_FOR = {
    "": "nothing",
    "parts": "parts",
    "inspector": "the inspector",
    "mentor": "a mentor",
    "hands": "somebody to work on it",
    "owner": "the owner",
    "money": "money",
    "space": "space in the shop",
    "weather": "the weather",
}
LONGEST_WORDS = 2000


def stoppage_kinds() -> dict[str, str]:
    return KINDS


def cause_classes() -> dict[str, str]:
    return CAUSE_CLASSES


def waits_for() -> dict[str, str]:
    return WAITS_FOR


class StoppageQuerySet(StruckQuerySet):
    def open(self, on: date) -> Self:
        """Those that hold on that day: a stop ends on the first day it no longer holds."""
        return self.not_struck().filter(began_on__lte=on).filter(Q(ended_on__isnull=True) | Q(ended_on__gt=on))

    def not_lifted(self) -> Self:
        """Those that nobody has ended yet, whenever they begin."""
        return self.not_struck().filter(ended_on__isnull=True)

    def overlapping(self, start: date, end: date) -> Self:
        """Those with a day in common with [start, end); one lifted on the day it began has none."""
        lasted = Q(ended_on__gt=start) & Q(ended_on__gt=F("began_on"))
        return self.not_struck().filter(began_on__lt=end).filter(Q(ended_on__isnull=True) | lasted)

    def boiler(self) -> Self:
        return self.filter(kind=BOILER)

    def of_engines_visible_to(self, member: Member, *, on: date) -> Self:
        """State is seen by everybody for whom the engine exists."""
        return self.filter(engine__in=Engine.objects.visible_to(member, on=on))


class Stoppage(Versioned, Struck):
    """Half open, [began_on, ended_on). A stop on a boiler is lifted by an inspector only."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="stoppages")
    kind = models.CharField(max_length=10, choices=stoppage_kinds, default="defect")
    cause_class = models.CharField("where it lies", max_length=20, choices=cause_classes)
    words = models.TextField("what is wrong", max_length=LONGEST_WORDS)
    began_on = models.DateField("out of traffic since")
    ended_on = models.DateField("first day it no longer held", null=True, blank=True)
    reported_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    reported_at = models.DateTimeField(default=timezone.now, editable=False)
    seen_by = models.CharField("who saw it, if somebody else", max_length=80, blank=True)
    waits_for = models.CharField(max_length=10, choices=waits_for, blank=True, default="")
    waits_words = models.CharField("more about what it waits for", max_length=200, blank=True)
    place = models.CharField("where it stands", max_length=120, blank=True)
    custody = models.CharField("who has it", max_length=120, blank=True)
    expected_on = models.DateField("expected back", null=True, blank=True)
    expected_by = models.CharField("who said so", max_length=80, blank=True)
    expected_said_at = models.DateTimeField(null=True, blank=True, editable=False)
    lifted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    lifted_at = models.DateTimeField(null=True, blank=True, editable=False)
    lifted_words = models.TextField(max_length=LONGEST_WORDS, blank=True, editable=False)

    objects: ClassVar[Any] = StoppageQuerySet.as_manager()

    class Meta:
        ordering = ["-began_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(ended_on__isnull=True) | Q(ended_on__gte=F("began_on")), name="stoppage_ends_after_it_began"
            ),
            models.CheckConstraint(
                condition=Q(ended_on__isnull=True, lifted_by__isnull=True, lifted_at__isnull=True)
                | Q(ended_on__isnull=False, lifted_by__isnull=False, lifted_at__isnull=False),
                name="a_stop_is_lifted_by_somebody",
            ),
            models.CheckConstraint(condition=~Q(words=""), name="a_stop_says_why"),
            models.CheckConstraint(
                condition=Q(expected_on__isnull=True) | ~Q(expected_by=""), name="who_said_when_it_comes_back"
            ),
        ]
        indexes = [models.Index(fields=["engine", "ended_on"]), models.Index(fields=["began_on", "ended_on"])]

    def __str__(self) -> str:
        return f"{self.get_kind_display()}: {self.first_line}"

    def get_absolute_url(self) -> str:
        return reverse("engines:stoppage", args=[self.pk])

    @property
    def first_line(self) -> str:
        first = self.words.strip().splitlines()[0] if self.words.strip() else ""
        return first if len(first) <= 90 else first[:88].rsplit(" ", 1)[0] + " …"

    @property
    def is_open(self) -> bool:
        return self.ended_on is None and self.struck_at is None

    @property
    def is_of_boiler(self) -> bool:
        return self.kind == BOILER

    def days(self, on: date) -> int:
        """Days out so far, or in all."""
        return max(0, ((self.ended_on or on) - self.began_on).days)


class StoppageNote(Struck):
    """What somebody adds to a stop that stands already: append-only."""

    stoppage = models.ForeignKey(Stoppage, models.PROTECT, related_name="notes")
    words = models.TextField("what else", max_length=LONGEST_WORDS)
    written_at = models.DateTimeField(default=timezone.now, editable=False)
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[Any] = StruckQuerySet.as_manager()

    class Meta:
        ordering = ["written_at", "pk"]

    def __str__(self) -> str:
        return self.words[:60]
