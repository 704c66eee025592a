"""Who may sign a conclusion off, in which office, and whose signature is missing."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet

from restorations.faults.models import Conclusion, FaultSheet, GoAhead, SignOff, Step
from restorations.faults.reviewers import own_boiler, who_may
from restorations.members.models import Member

SIGN, SIGN_FOR_BOILER = "give a sign-off", "give a sign-off for boiler work"
NOT_WORK = ("note", "configuration")


@dataclass(frozen=True, slots=True)
class Signature:
    """In which offices somebody would sign; in none of them they may not."""

    as_mentor: bool = False
    as_inspector: bool = False

    def __bool__(self) -> bool:
        return self.as_mentor or self.as_inspector


def took_part(member: Member, sheet: FaultSheet) -> bool:
    """Whether a line that stands, a go-ahead asked or a conclusion on this sheet is theirs; a note is no work."""
    lines = Step.objects.not_struck().filter(Q(done_by=member) | Q(recorded_by=member), sheet=sheet)
    concluded = Conclusion.objects.not_struck().filter(Q(concluded_by=member) | Q(closed_by=member), sheet=sheet)
    asked = GoAhead.objects.filter(sheet=sheet, asked_by=member)
    return lines.exclude(kind__in=NOT_WORK).exists() or concluded.exists() or asked.exists()


def act_of_signing(conclusion: Conclusion) -> str:
    return SIGN_FOR_BOILER if conclusion.is_of_boiler else SIGN


def who_may_sign(conclusion: Conclusion, *, on: date) -> QuerySet[Member]:
    """Whose office allows it; whether they had a part in it is asked of each of them."""
    engine = conclusion.sheet.engine
    people = who_may(act_of_signing(conclusion), engine, on=on)
    return people.exclude(own_boiler(engine, on)) if conclusion.is_of_boiler else people


def signature_of(member: Member, conclusion: Conclusion, *, on: date) -> Signature:
    """Never one's own work; the inspector signs boiler work only."""
    may = who_may_sign(conclusion, on=on).filter(pk=member.pk).exists()
    if not may or took_part(member, conclusion.sheet):
        return Signature()
    if conclusion.is_of_boiler:
        return Signature(as_mentor=member.is_mentor, as_inspector=member.is_inspector)
    return Signature(as_mentor=True)


def still_to_sign(conclusion: Conclusion, signed: list[SignOff]) -> tuple[str, ...]:
    """The offices whose signature is missing. Boiler work needs the inspector's as well; where the club has a single
    mentor, the inspector's is enough for it."""
    missing = [] if any(row.as_mentor for row in signed) else ["a mentor"]
    if conclusion.is_of_boiler and not any(row.as_inspector for row in signed):
        missing.append("the inspector")
    elif conclusion.is_of_boiler and missing and Member.objects.mentors().count() <= 1:
        missing = []
    return tuple(missing)
