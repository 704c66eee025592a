"""Asking for a go-ahead, and a mentor's answer."""

from dataclasses import asdict, dataclass
from datetime import datetime
from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction

from restorations.faults.models import FaultSheet, GoAhead, Step
from restorations.faults.models.step import StepQuerySet
from restorations.knowledge.engine import PlacedCheck, PlacedRemedy
from restorations.members.doing import Doing
from restorations.members.models import Message
from restorations.members.models.records import record, submit_once


def ask_go_ahead(
    *, sheet: FaultSheet, placed: PlacedCheck | PlacedRemedy, reason: str, doing: Doing, mark: UUID
) -> GoAhead:
    """Ask once; asking again while it waits gives the one that waits."""

    def make() -> GoAhead:
        try:
            with transaction.atomic():
                row = GoAhead.objects.create(
                    sheet=sheet,
                    action=placed.id,
                    words=placed.name[:300],
                    reason=reason,
                    asked_by=doing.member,
                    asked_at=doing.at,
                )
        except IntegrityError:
            return GoAhead.objects.waiting().get(sheet=sheet, action=placed.id)
        record(doing.member, "asked for a go-ahead", row, after={"action": placed.id, "reason": reason})
        return row

    return submit_once(doing.member, mark, make)[0]


@dataclass(frozen=True, slots=True)
class Decision:
    """Given or refused, with conditions (or why not), until when."""

    answer: str
    conditions: str
    until: datetime | None


def answer_go_ahead(*, go_ahead: GoAhead, decision: Decision, doing: Doing, mark: UUID) -> GoAhead:
    """Give or refuse; the second of two mentors who answer at once is told what the first one said."""
    if doing.member.pk == go_ahead.asked_by_id:
        raise PermissionDenied("Nobody gives the go-ahead for what they asked for themselves.")
    if decision.answer == "refused" and not decision.conditions:
        raise ValidationError({"conditions": "Say why not, so that they know what to do instead."})

    def make() -> GoAhead:
        changed = GoAhead.objects.filter(pk=go_ahead.pk, answer="").update(
            **asdict(decision), answered_at=doing.at, answered_by=doing.member
        )
        go_ahead.refresh_from_db()
        if not changed:
            raise ValidationError(f"{go_ahead.answered_by} has answered meanwhile: {go_ahead.get_answer_display()}.")
        record(doing.member, f"go-ahead {decision.answer}", go_ahead, after=asdict(decision))
        _tell(go_ahead)
        return go_ahead

    return submit_once(doing.member, mark, make)[0]


def _tell(go_ahead: GoAhead) -> None:
    words = f"{go_ahead.answered_by} answered “{go_ahead.words}”: {go_ahead.answer}."
    Message.objects.create(
        to=go_ahead.asked_by,
        subject=f"{go_ahead.sheet.engine}: go-ahead {go_ahead.answer}",
        body=f"{words}\n{go_ahead.conditions}\n{go_ahead.sheet.get_absolute_url()}\n",
    )


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
            raise ValidationError(_why_not_looked_at(step))
        step.refresh_from_db()
        record(doing.member, "looked at a step", step, after={"words": step.words})
        return step

    return submit_once(doing.member, mark, make)[0]


def _why_not_looked_at(step: Step) -> str:
    if step.is_struck:
        return "This line was struck out meanwhile: there is nothing to look at."
    return f"{step.looked_by} has looked at it already." if step.looked_by else "This was done with a go-ahead."
