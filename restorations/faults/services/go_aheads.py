"""Asking for a go-ahead, a mentor's answer to it, and looking at what was done without one."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction

from restorations.faults.facts import bare_facts
from restorations.faults.leave import facts_given_on
from restorations.faults.models import FaultSheet, GoAhead, Step
from restorations.faults.models.step import StepQuerySet
from restorations.faults.services.lapses import note_lapses
from restorations.faults.services.sheets import ground_of, is_repeat, leave_for_all
from restorations.faults.standing_kinds import is_of_boiler
from restorations.faults.telling import tell_of_answer, tell_of_request, tell_of_withdrawal
from restorations.knowledge.engine import PlacedCheck, PlacedRemedy
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import Submission, record, submit_once
from restorations.members.services.short_codes import check_short_code

OWN_REQUEST = "Nobody gives the go-ahead for what they asked for themselves."
NO_SUCH_STEP = "The engine was corrected and has no such step any more. Refuse it, so that they ask anew."

Placed = PlacedCheck | PlacedRemedy


class Overtaken(ValidationError):
    """Somebody or something was quicker: nothing is wrong with what was sent, but it comes too late."""


def ask_go_ahead(*, sheet: FaultSheet, placed: Placed, reason: str, doing: Doing, mark: UUID) -> GoAhead:
    """Ask once; asking again while it waits gives the one that waits."""
    leave, _ = leave_for_all(sheet, ground_of(sheet, at=doing.at), at=doing.at)

    def make() -> GoAhead:
        _still_open(sheet)
        note_lapses(leave, at=doing.at)
        row, is_new = _waiting_or_new(sheet, placed, reason, doing)
        if is_new:
            record(doing.member, "asked for a go-ahead", row, after={"action": placed.id, "reason": reason})
            tell_of_request(row)
        return row

    return submit_once(doing.member, mark, make)[0]


def _still_open(sheet: FaultSheet) -> None:
    """Asked inside the transaction: somebody may have closed it a moment ago."""
    FaultSheet.objects.get(pk=sheet.pk).require_open()


def _waiting_or_new(sheet: FaultSheet, placed: Placed, reason: str, doing: Doing) -> tuple[GoAhead, bool]:
    entry = placed.entry
    kept: dict[str, Any] = {
        "words": placed.name[:300], "risk_person": entry.risk_person, "risk_engine": entry.risk_engine,
        "authority": "inspector" if entry.authority == "inspector" else "mentor", "is_of_boiler": is_of_boiler(entry),
    }  # fmt: skip
    try:
        with transaction.atomic():
            row = GoAhead.objects.create(
                sheet=sheet, action=placed.id, reason=reason, asked_by=doing.member, asked_at=doing.at, **kept
            )
    except IntegrityError:
        waiting: GoAhead = GoAhead.objects.waiting().get(sheet=sheet, action=placed.id)
        return waiting, False
    return row, True


@dataclass(frozen=True, slots=True)
class Decision:
    """Given or refused, with conditions (or why not), until when; `seen` is the last line that was read before."""

    answer: str
    conditions: str
    until: datetime | None
    seen: int | None = None


def answer_go_ahead(*, go_ahead: GoAhead, decision: Decision, doing: Doing, mark: UUID) -> GoAhead:
    """Give or refuse; the second of two mentors who answer at once is told what the first one said."""
    _refuse_decision(go_ahead, decision, doing.member)
    facts = _facts_now(go_ahead, doing.at)
    if decision.answer == "given" and not facts:
        raise ValidationError(NO_SUCH_STEP)

    def make() -> GoAhead:
        _still_open(go_ahead.sheet)
        _refuse_unread(go_ahead, decision)
        return _decide(go_ahead, decision, facts, doing)

    return submit_once(doing.member, mark, make)[0]


def _refuse_decision(go_ahead: GoAhead, decision: Decision, by: Member) -> None:
    if by.pk == go_ahead.asked_by_id:
        raise PermissionDenied(OWN_REQUEST)
    if decision.answer == "refused" and not decision.conditions:
        raise ValidationError({"conditions": "Say why not, so that they know what to do instead."})


def _facts_now(go_ahead: GoAhead, at: datetime) -> dict[str, list[str]]:
    """What is so on the engine now; nothing where it has no such step any more."""
    ground = ground_of(go_ahead.sheet, at=at)
    placed = ground.expanded.checks.get(go_ahead.action) or ground.expanded.remedies.get(go_ahead.action)
    return facts_given_on(placed, bare_facts(go_ahead.sheet, ground.bench, ground.steps)) if placed else {}


def _refuse_unread(go_ahead: GoAhead, decision: Decision) -> None:
    """Nobody allows a thing on a sheet as it stood before lines were added to it."""
    if decision.answer != "given" or decision.seen is None:
        return
    unread = Step.objects.not_struck().filter(sheet=go_ahead.sheet_id, number__gt=decision.seen).order_by("number")
    words = [f"“{step.words}”" for step in unread[:3]]
    if words:
        raise Overtaken(f"The sheet has new lines since you opened this: {', '.join(words)}. Read them, then answer.")


def _decide(
    row: GoAhead, decision: Decision, facts: dict[str, list[str]], doing: Doing, on_phone_of: Member | None = None
) -> GoAhead:
    said = {"answer": decision.answer, "conditions": decision.conditions, "until": decision.until}
    changed = GoAhead.objects.waiting().filter(pk=row.pk).update(
        **said, facts=facts, answered_at=doing.at, answered_by=doing.member, on_phone_of=on_phone_of
    )  # fmt: skip
    row.refresh_from_db()
    if not changed:
        raise Overtaken(_why_overtaken(row))
    phone = {"on_phone_of": on_phone_of} if on_phone_of else {}
    record(doing.member, f"go-ahead {decision.answer}", row, after={**said, **phone})
    tell_of_answer(row)
    return row


def _why_overtaken(row: GoAhead) -> str:
    if row.is_struck:
        return f"{row.struck_by} has withdrawn this meanwhile: {row.struck_reason}"
    return f"{row.answered_by} has answered meanwhile: {row.get_answer_display()}."


def withdraw_go_ahead(*, go_ahead: GoAhead, reason: str, doing: Doing, mark: UUID) -> GoAhead:
    """Whoever asked withdraws it while it waits; a mentor takes back what was given. Either stays readable."""

    def make() -> GoAhead:
        _still_open(go_ahead.sheet)
        was = go_ahead.answer
        rows = GoAhead.objects.not_struck().filter(pk=go_ahead.pk, answer=was)
        if not rows.update(struck_at=doing.at, struck_by=doing.member, struck_reason=reason):
            go_ahead.refresh_from_db()
            raise Overtaken(_why_overtaken(go_ahead))
        go_ahead.refresh_from_db()
        record(doing.member, "withdrew a go-ahead", go_ahead, before={"answer": was}, after={"reason": reason})
        tell_of_withdrawal(go_ahead)
        return go_ahead

    return submit_once(doing.member, mark, make)[0]


@dataclass(frozen=True, slots=True)
class AtTheElbow:
    """A mentor standing by says yes on the phone of whoever is about to do the step."""

    mentor: Member
    code: str
    conditions: str
    until: datetime


def give_at_the_elbow(*, sheet: FaultSheet, placed: Placed, elbow: AtTheElbow, doing: Doing, mark: UUID) -> GoAhead:
    """Raises ValidationError for a wrong code, TooManyCodes after too many; a repeat gives what was given."""
    if is_repeat(doing.member, mark):
        given: GoAhead = Submission.objects.get(member=doing.member, mark=mark).row
        return given
    if elbow.mentor.pk == doing.member.pk:
        raise PermissionDenied(OWN_REQUEST)
    check_short_code(member=elbow.mentor, code=elbow.code, phone_of=doing.member, at=doing.at)
    ground = ground_of(sheet, at=doing.at)
    facts = facts_given_on(placed, bare_facts(sheet, ground.bench, ground.steps))
    decision = Decision("given", elbow.conditions, elbow.until)

    def make() -> GoAhead:
        _still_open(sheet)
        row, _ = _waiting_or_new(sheet, placed, "", doing)
        if row.asked_by_id == elbow.mentor.pk:
            raise PermissionDenied(OWN_REQUEST)
        return _decide(row, decision, facts, Doing(elbow.mentor, doing.at), on_phone_of=doing.member)

    return submit_once(doing.member, mark, make)[0]


def unlooked(sheet: FaultSheet) -> StepQuerySet:
    """Steps done without a go-ahead that no mentor has looked at; the sheet is not closed before."""
    return Step.objects.filter(sheet=sheet).unlooked().in_order()


def look_at_step(*, step: Step, doing: Doing, mark: UUID) -> Step:
    """A mentor has looked at what was done without a go-ahead; never whoever did it or wrote it down."""
    if doing.member.pk in {step.done_by_id, step.recorded_by_id}:
        raise PermissionDenied("Another mentor has to look at it: nobody passes what they did themselves.")

    def make() -> Step:
        if not Step.objects.unlooked().filter(pk=step.pk).update(looked_at=doing.at, looked_by=doing.member):
            step.refresh_from_db()
            raise Overtaken(_why_not_looked_at(step))
        step.refresh_from_db()
        record(doing.member, "looked at a step", step, after={"words": step.words})
        return step

    return submit_once(doing.member, mark, make)[0]


def _why_not_looked_at(step: Step) -> str:
    if step.is_struck:
        return "This line was struck out meanwhile: there is nothing to look at."
    return f"{step.looked_by} has looked at it already." if step.looked_by else "This was done with a go-ahead."
