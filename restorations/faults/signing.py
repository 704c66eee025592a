"""Who may sign a conclusion off, in which office, and whose signature is missing."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, Q, QuerySet

from restorations.faults.models import Conclusion, FaultSheet, GoAhead, SignOff, Step
from restorations.faults.reviewers import own_boiler, who_may
from restorations.members.models import Member
from restorations.members.permissions import allowed

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
    return FaultSheet.objects.filter(pk=sheet.pk).filter(with_a_part_of(member)).exists()


def with_a_part_of(member: Member) -> Q:
    """Sheets on which something of theirs stands."""
    here = {"sheet": OuterRef("pk")}
    lines = Step.objects.not_struck().filter(Q(done_by=member) | Q(recorded_by=member), **here)
    concluded = Conclusion.objects.not_struck().filter(Q(concluded_by=member) | Q(closed_by=member), **here)
    asked = GoAhead.objects.filter(asked_by=member, **here)
    return Q(Exists(lines.exclude(kind__in=NOT_WORK))) | Q(Exists(concluded)) | Q(Exists(asked))


def waiting_for(member: Member, places: frozenset[str]) -> QuerySet[Conclusion]:
    """Conclusions that lack a signature which this member may give, whatever engines they see; a boiler of their own
    is left to the caller."""
    signed = SignOff.objects.filter(conclusion=OuterRef("pk"))
    lacks_mentor, lacks_inspector = ~Exists(signed.filter(as_mentor=True)), ~Exists(signed.filter(as_inspector=True))
    kinds = Q(pk__in=[])
    if allowed(SIGN, places):
        kinds |= Q(is_of_boiler=False)
    if "mentor" in places and allowed(SIGN_FOR_BOILER, places):
        kinds |= Q(lacks_mentor, is_of_boiler=True)
    if "inspector" in places and allowed(SIGN_FOR_BOILER, places):
        kinds |= Q(lacks_inspector, is_of_boiler=True)
    others = FaultSheet.objects.closed().exclude(with_a_part_of(member))
    rows: QuerySet[Conclusion] = Conclusion.objects.unsigned().filter(kinds, sheet__in=others)
    return rows.exclude(sign_offs__by=member)


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
