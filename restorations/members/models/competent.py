"""The competent person: in a club with one mentor, somebody who may answer for engine work in the mentor's stead."""

from datetime import date
from typing import Any, ClassVar, Self

from django.conf import settings
from django.db import models
from django.db.models import Count, F, Q, Subquery
from django.utils import timezone

from restorations.members.models.entries import Struck, StruckQuerySet
from restorations.members.models.member import Member


def _mentors_now() -> Subquery:
    mentors = Member.objects.mentors().order_by().values("is_mentor")
    return Subquery(mentors.annotate(number=Count("pk")).values("number"))


class CompetentPersonQuerySet(StruckQuerySet):
    def in_force(self, on: date) -> Self:
        """Named for that day, not ended, still a member and no mentor, in a club that has one mentor and no more."""
        named = self.not_struck().filter(from_on__lte=on, until_on__gte=on)
        people = named.filter(member__left_on__isnull=True, member__is_mentor=False)
        return people.annotate(mentors=_mentors_now()).filter(mentors=1)


class CompetentPerson(Struck):
    """For engine work, never for boilers. Struck out means ended before its day, with the reason."""

    member = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    from_on = models.DateField()
    until_on = models.DateField(help_text="The last day on which it holds.")
    why = models.CharField(max_length=200)
    named_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    named_at = models.DateTimeField(default=timezone.now, editable=False)

    objects: ClassVar[Any] = CompetentPersonQuerySet.as_manager()

    class Meta:
        ordering = ["-from_on", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(until_on__gte=F("from_on")), name="competent_until_after_from"),
            models.CheckConstraint(condition=~Q(member=F("named_by")), name="nobody_names_themselves_competent"),
        ]

    def __str__(self) -> str:
        return f"{self.member}, {self.from_on:%d %b %Y} to {self.until_on:%d %b %Y}"


def is_competent(member: Member, on: date) -> bool:
    """Whether this member stands in for a second mentor that day."""
    return not member.is_mentor and CompetentPerson.objects.in_force(on).filter(member=member).exists()


def answers_for_others(member: Member, on: date) -> bool:
    """Whether this member gives go-aheads of one kind or another."""
    return member.is_mentor or member.is_inspector or is_competent(member, on)
