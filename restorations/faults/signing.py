"""Who may sign a conclusion off, in which office, and whose signature is missing."""

from dataclasses import dataclass

from django.db.models import Q

from restorations.engines.access import is_own_boiler
from restorations.faults.models import Conclusion, FaultSheet, GoAhead, SignOff, Step
from restorations.members.models import Member
from restorations.members.permissions import allowed

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


def signature_of(member: Member, places: frozenset[str], conclusion: Conclusion) -> Signature:
    """Never one's own work; of a boiler never its owner or hands either. The inspector signs boiler work only."""
    if not conclusion.is_of_boiler:
        may = allowed("give a sign-off", places)
        return Signature(as_mentor=may and not took_part(member, conclusion.sheet))
    may = allowed("give a sign-off for boiler work", places, own=is_own_boiler(places))
    if not may or took_part(member, conclusion.sheet):
        return Signature()
    return Signature(as_mentor="mentor" in places, as_inspector="inspector" in places)


def still_to_sign(conclusion: Conclusion, signed: list[SignOff]) -> tuple[str, ...]:
    """The offices whose signature is missing. Boiler work needs the inspector's as well; where the club has a single
    mentor, the inspector's is enough for it."""
    missing = [] if any(row.as_mentor for row in signed) else ["a mentor"]
    if conclusion.is_of_boiler and not any(row.as_inspector for row in signed):
        missing.append("the inspector")
    elif conclusion.is_of_boiler and missing and Member.objects.mentors().count() <= 1:
        missing = []
    return tuple(missing)
