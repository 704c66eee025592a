"""A mentor's leave for a risky step: asked, then given or refused, with the questions that were put between."""

from datetime import datetime
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from restorations.faults.models.sheet import FaultSheet
from restorations.members.models import Struck
from restorations.members.models.entries import StruckQuerySet

ANSWERS = {"": "waits for a mentor", "given": "given", "refused": "refused"}
AUTHORITIES = {"mentor": "a mentor", "inspector": "the inspector"}
GRAVE = 2  # from this risk on a step waits for a go-ahead whoever may do it


def answers() -> dict[str, str]:
    return ANSWERS


def authorities() -> dict[str, str]:
    return AUTHORITIES


class GoAheadQuerySet(StruckQuerySet):
    def waiting(self) -> Self:
        """Neither answered nor withdrawn."""
        return self.not_struck().filter(answer="")

    def in_force(self, at: datetime) -> Self:
        """Given by then, not taken back, not past its end, and not known to have lapsed. What has lapsed since by the
        facts of the engine is worked out by faults.leave."""
        given = self.not_struck().filter(answer="given", answered_at__lte=at)
        holding = given.filter(Q(until__isnull=True) | Q(until__gt=at))
        return holding.filter(Q(lapsed_at__isnull=True) | Q(lapsed_at__gt=at))


class GoAhead(Struck):
    """For one step of one sheet. Nobody answers what they asked for themselves.

    What the step can do (`risk_person`, `risk_engine`, `authority`, `is_of_boiler`) is kept as it was when asked.
    Struck out means withdrawn by whoever asked, or taken back by a mentor.
    """

    sheet = models.ForeignKey(FaultSheet, models.PROTECT, related_name="go_aheads")
    action = models.CharField("check or remedy", max_length=120)
    words = models.CharField("what is to be done", max_length=300)
    risk_person = models.PositiveSmallIntegerField(default=0)
    risk_engine = models.PositiveSmallIntegerField(default=0)
    authority = models.CharField("who has to say yes", max_length=10, choices=authorities, default="mentor")
    is_of_boiler = models.BooleanField(default=False)
    reason = models.TextField("why, and how it will be done", blank=True, max_length=2000)
    asked_at = models.DateTimeField(default=timezone.now)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    answer = models.CharField(max_length=8, choices=answers, blank=True, default="")
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    on_phone_of = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    conditions = models.TextField(blank=True, max_length=2000)
    until = models.DateTimeField(null=True, blank=True)
    facts = models.JSONField("what was so on the engine when it was given", default=dict, blank=True)
    lapsed_at = models.DateTimeField(null=True, blank=True)
    lapsed_why = models.CharField(max_length=400, blank=True)

    objects = GoAheadQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["asked_at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["sheet", "action"],
                condition=Q(answer="", struck_at__isnull=True),
                name="asked_once_at_a_time",
            ),
            models.CheckConstraint(
                condition=Q(answer="", answered_by__isnull=True) | (~Q(answer="") & Q(answered_by__isnull=False)),
                name="answer_has_a_name",
            ),
            models.CheckConstraint(
                condition=Q(answered_by__isnull=True) | ~Q(answered_by=F("asked_by")), name="never_ones_own_go_ahead"
            ),
        ]
        indexes = [models.Index(fields=["answer", "asked_at"])]

    def __str__(self) -> str:
        return self.words

    def get_absolute_url(self) -> str:
        return f"{self.sheet.get_absolute_url()}#go-ahead-{self.pk}"

    @property
    def is_waiting(self) -> bool:
        return self.answer == "" and not self.is_struck


class QuestionQuerySet(models.QuerySet["Question"]):
    def to_the_bench(self) -> Self:
        """A mentor's, about a go-ahead that still waits, with no answer yet."""
        waiting = {"go_ahead__answer": "", "go_ahead__struck_at__isnull": True, "sheet__closed_at__isnull": True}
        return self.filter(go_ahead__isnull=False, answer="", **waiting)

    def to_mentors(self) -> Self:
        """Put to the mentors from the bench, with no answer yet."""
        return self.filter(go_ahead__isnull=True, answer="", sheet__closed_at__isnull=True)


class Question(models.Model):
    """About a go-ahead it is a mentor's, for whoever asked to answer; without one it is put to the mentors."""

    sheet = models.ForeignKey(FaultSheet, models.PROTECT, related_name="questions")
    go_ahead = models.ForeignKey(GoAhead, models.PROTECT, null=True, blank=True, related_name="questions")
    action = models.CharField("check or remedy", max_length=120, blank=True)
    about = models.CharField(max_length=300, blank=True)
    words = models.TextField(max_length=2000)
    asked_at = models.DateTimeField(default=timezone.now)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    answer = models.TextField(blank=True, max_length=2000)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    objects = QuestionQuerySet.as_manager()

    class Meta:
        ordering = ["asked_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(answer="", answered_by__isnull=True) | (~Q(answer="") & Q(answered_by__isnull=False)),
                name="answer_to_a_question_has_a_name",
            ),
            models.CheckConstraint(
                condition=Q(answered_by__isnull=True) | ~Q(answered_by=F("asked_by")),
                name="nobody_answers_their_own_question",
            ),
        ]

    def __str__(self) -> str:
        return self.words

    def get_absolute_url(self) -> str:
        return f"{self.sheet.get_absolute_url()}#question-{self.pk}"
