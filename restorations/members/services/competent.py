"""Naming the competent person of a club with one mentor, and ending it."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from restorations.members.models import CompetentPerson, Member, Message
from restorations.members.models.records import record, submit_once

LONGEST = timedelta(days=366)
SECOND_MENTOR = "ended by itself: the club has a second mentor, {}"


@dataclass(frozen=True, slots=True)
class Naming:
    member: Member
    from_on: date
    until_on: date
    why: str


def may_be_named() -> str:
    """Empty where the club has exactly one mentor; else why nobody can be named."""
    mentors = Member.objects.mentors().count()
    if mentors == 1:
        return ""
    if mentors:
        return f"The club has {mentors} mentors: they answer for each other, and nobody stands in."
    return "The club has no mentor. Make somebody a mentor first; a competent person stands in beside one."


def name_competent_person(*, naming: Naming, by: Member, at: datetime, mark: UUID) -> CompetentPerson:
    """One at a time, never oneself, never a mentor."""

    def make() -> CompetentPerson:
        _refuse(naming, by)
        row = CompetentPerson.objects.create(
            member=naming.member, from_on=naming.from_on, until_on=naming.until_on, why=naming.why,
            named_by=by, named_at=at,
        )  # fmt: skip
        record(by, "named a competent person", naming.member, after={"from": naming.from_on, "until": naming.until_on})
        Message.objects.create(
            to=naming.member,
            subject="You are named the club's competent person",
            body=f"{by} named you for engine work, from {naming.from_on:%d %b %Y} to {naming.until_on:%d %b %Y}: "
            f"{naming.why}\nYou answer for go-aheads beside the mentor; never for boilers, never for your own work.\n"
            "It ends by itself when the club has a second mentor.\n/desk/\n",
        )
        return row

    return submit_once(by, mark, make)[0]


def _refuse(naming: Naming, by: Member) -> None:
    barred = may_be_named()
    if barred:
        raise ValidationError(barred)
    if naming.member.pk == by.pk:
        raise ValidationError({"member": "Nobody names themselves. Another administrator has to."})
    if naming.member.is_mentor or naming.member.left_on is not None:
        raise ValidationError({"member": "Choose somebody who is a member now and no mentor."})
    if naming.until_on < naming.from_on or naming.until_on - naming.from_on > LONGEST:
        raise ValidationError({"until_on": "The last day is after the first, and a year at the most."})
    rows = CompetentPerson.objects.not_struck().filter(from_on__lte=naming.until_on, until_on__gte=naming.from_on)
    other = rows.select_related("member").first()
    if other is not None:
        raise ValidationError(f"{other} is named already. End that first: there is one at a time.")


def end_competent_person(*, row: CompetentPerson, by: Member, reason: str, at: datetime, mark: UUID) -> CompetentPerson:
    """Before its day, with a reason; what was answered until now stays good."""

    def make() -> CompetentPerson:
        row.strike_out(member=by, reason=reason, at=at)
        record(by, "ended a competent person", row.member, after={"reason": reason})
        return row

    return submit_once(by, mark, make)[0]


def end_for_second_mentor(mentor: Member, *, by: Member) -> None:
    """Call inside the transaction that makes somebody a mentor: whoever stood in stands in no more."""
    if Member.objects.mentors().count() < 2:
        return
    with transaction.atomic():
        rows = CompetentPerson.objects.not_struck().filter(until_on__gte=timezone.localdate())
        for row in rows.select_related("member"):
            row.strike_out(member=by, reason=SECOND_MENTOR.format(mentor)[:200])
            record(by, "ended a competent person", row.member, after={"reason": row.struck_reason})
