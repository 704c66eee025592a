"""Questions between mentors and the bench, and their answers; whatever they are about still waits."""

from uuid import UUID

from django.core.exceptions import PermissionDenied, ValidationError

from restorations.faults.models import FaultSheet, GoAhead, Question
from restorations.faults.services.go_aheads import Overtaken
from restorations.faults.telling import tell_of_question, tell_of_reply
from restorations.members.doing import Doing
from restorations.members.models.records import record, submit_once


def ask_about_go_ahead(*, go_ahead: GoAhead, words: str, doing: Doing, mark: UUID) -> Question:
    """A mentor asks before answering; the go-ahead still waits."""
    if not words:
        raise ValidationError({"conditions": "Write what you want to know."})
    if doing.member.pk == go_ahead.asked_by_id:
        raise PermissionDenied("You asked for this go-ahead yourself.")

    def make() -> Question:
        FaultSheet.objects.get(pk=go_ahead.sheet_id).require_open()
        if not GoAhead.objects.waiting().filter(pk=go_ahead.pk).exists():
            raise Overtaken("This was answered or withdrawn meanwhile; there is nothing left to ask.")
        fields = {"sheet": go_ahead.sheet, "go_ahead": go_ahead, "action": go_ahead.action, "about": go_ahead.words}
        return _written(Question(**fields, words=words), doing)

    return submit_once(doing.member, mark, make)[0]


def ask_mentors(
    *, sheet: FaultSheet, words: str, action: str = "", about: str = "", doing: Doing, mark: UUID
) -> Question:
    """From the bench, helpers too: about a step, or about the sheet."""

    def make() -> Question:
        FaultSheet.objects.get(pk=sheet.pk).require_open()
        return _written(Question(sheet=sheet, action=action, about=about[:300], words=words), doing)

    return submit_once(doing.member, mark, make)[0]


def _written(row: Question, doing: Doing) -> Question:
    row.asked_by, row.asked_at = doing.member, doing.at
    row.save()
    record(doing.member, "asked a question", row, after={"words": row.words})
    tell_of_question(row)
    return row


def answer_question(*, question: Question, answer: str, doing: Doing, mark: UUID) -> Question:
    if doing.member.pk == question.asked_by_id:
        raise PermissionDenied("Nobody answers their own question.")

    def make() -> Question:
        FaultSheet.objects.get(pk=question.sheet_id).require_open()
        rows = Question.objects.filter(pk=question.pk, answer="")
        if not rows.update(answer=answer, answered_at=doing.at, answered_by=doing.member):
            question.refresh_from_db()
            raise Overtaken(f"{question.answered_by} has answered meanwhile: {question.answer}")
        question.refresh_from_db()
        record(doing.member, "answered a question", question, after={"answer": answer})
        tell_of_reply(question)
        return question

    return submit_once(doing.member, mark, make)[0]
