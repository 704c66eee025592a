"""Jobs (a restoration, an overhaul, a repair) and the cards they are made of; a card may hang straight on an engine."""

from datetime import date
from typing import Any, Self

from django.conf import settings
from django.db import models
from django.db.models import Exists, F, OuterRef, Q
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import Member, Versioned
from restorations.tasks.systems import place_in_words, sides, systems

KINDS = {"restoration": "restoration", "overhaul": "overhaul", "repair": "repair"}
STATES = {"to_do": "to do", "in_hand": "in hand", "waits": "waits", "done": "done", "dropped": "dropped"}
OPEN_STATES = ("to_do", "in_hand", "waits")
SHAPES = {"to_do": "rest", "in_hand": "work", "waits": "wait", "done": "good", "dropped": "unknown"}
MOST_HOURS = 200  # more than a winter of evenings: cut it into cards


def kinds() -> dict[str, str]:
    return KINDS


def states() -> dict[str, str]:
    return STATES


def _hours(label: str) -> "models.FloatField[Any, Any]":
    return models.FloatField(label)


class Restoration(Versioned):
    """A job on an engine, from the day it was begun to the day it was closed."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="jobs")
    kind = models.CharField(max_length=12, choices=kinds, default="restoration")
    title = models.CharField(max_length=80)
    begun_on = models.DateField()
    closed_on = models.DateField(null=True, blank=True)
    closed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    class Meta:
        ordering = [F("closed_on").desc(nulls_first=True), "-begun_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(closed_on__isnull=True, closed_by__isnull=True)
                | Q(closed_on__gte=F("begun_on"), closed_by__isnull=False),
                name="a_job_closes_after_it_began",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("tasks:job", args=[self.pk])


class JobCardQuerySet(models.QuerySet["JobCard"]):
    def contents_visible_to(self, member: Member, *, on: date) -> Self:
        return self.filter(engine__in=Engine.objects.contents_visible_to(member, on=on))

    def still_open(self) -> Self:
        return self.filter(state__in=OPEN_STATES)

    def free_to_start(self) -> Self:
        """Nothing that must come first is still open."""
        held = CardOrder.objects.filter(later=OuterRef("pk"), earlier__state__in=OPEN_STATES)
        return self.filter(~Exists(held))

    def before_traffic(self) -> Self:
        """Open, and to be done before the engine runs again."""
        return self.still_open().filter(may_wait=False)

    def good_first_jobs(self) -> Self:
        return self.filter(is_good_first_job=True, state="to_do").free_to_start()

    def of(self, member: Member) -> Self:
        """Those this member is on."""
        return self.filter(people=member)


class JobCard(Versioned):
    """One piece of work on an engine: what, how long, after what, by whom, and how it stands."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="cards")
    job = models.ForeignKey(Restoration, models.PROTECT, null=True, blank=True, related_name="cards")
    title = models.CharField(max_length=80)
    what = models.TextField("what is to be done", max_length=2000, blank=True)
    system = models.CharField(max_length=20, choices=systems, blank=True)
    side = models.CharField(max_length=10, choices=sides, blank=True)
    low_hours = _hours("at best")
    likely_hours = _hours("most likely")
    high_hours = _hours("at worst")
    comes_after = models.ManyToManyField(
        "self", through="CardOrder", through_fields=("later", "earlier"), symmetrical=False, related_name="comes_before"
    )
    people = models.ManyToManyField(settings.AUTH_USER_MODEL, related_name="cards")
    state = models.CharField(max_length=10, choices=states, default="to_do")
    waits_for = models.CharField(max_length=120, blank=True)
    waits_until = models.DateField(null=True, blank=True)
    drop_reason = models.CharField(max_length=200, blank=True)
    ended_at = models.DateTimeField("done or dropped at", null=True, blank=True)
    is_good_first_job = models.BooleanField("a good first job", default=False)
    may_wait = models.BooleanField("may wait until it is back in traffic", default=False)
    with_whom = models.CharField(max_length=80, blank=True)
    bring = models.CharField(max_length=200, blank=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects = JobCardQuerySet.as_manager()

    class Meta:
        ordering = ["made_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    low_hours__gt=0,
                    low_hours__lte=F("likely_hours"),
                    likely_hours__lte=F("high_hours"),
                    high_hours__lte=MOST_HOURS,
                ),
                name="a_cards_hours_are_in_order",
            ),
            models.CheckConstraint(condition=~Q(state="waits") | ~Q(waits_for=""), name="a_card_waits_for_something"),
            models.CheckConstraint(
                condition=~Q(state="dropped") | ~Q(drop_reason=""), name="a_card_drops_for_a_reason"
            ),
            models.CheckConstraint(
                condition=Q(state__in=OPEN_STATES, ended_at__isnull=True)
                | (~Q(state__in=OPEN_STATES) & Q(ended_at__isnull=False)),
                name="a_card_ends_when_done_or_dropped",
            ),
        ]
        indexes = [
            models.Index(fields=["engine", "state"]),
            models.Index(fields=["state", "is_good_first_job"]),
        ]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("tasks:card", args=[self.pk])

    @property
    def is_open(self) -> bool:
        return self.state in OPEN_STATES

    @property
    def shape(self) -> str:
        """The shape beside the word of its state."""
        return SHAPES[self.state]

    @property
    def on_it(self) -> list[str]:
        """Numbers of the members on it, as a form names them."""
        return [str(person.pk) for person in self.people.all()]

    @property
    def after(self) -> list[str]:
        """Numbers of the cards that come first, as a form names them."""
        return [str(card.pk) for card in self.comes_after.all()]

    @property
    def where(self) -> str:
        return place_in_words(self.system, self.side)


class CardOrder(models.Model):
    """One card comes before another."""

    earlier = models.ForeignKey(JobCard, models.PROTECT, related_name="+")
    later = models.ForeignKey(JobCard, models.PROTECT, related_name="order")

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["earlier", "later"], name="one_card_before_another_once"),
            models.CheckConstraint(condition=~Q(earlier=F("later")), name="no_card_before_itself"),
        ]

    def __str__(self) -> str:
        return f"{self.earlier} before {self.later}"
