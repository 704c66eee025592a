"""What the sheet says of go-aheads, questions and consents: one line for each, with what may be done about it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from restorations.engines.models import ConsentRequest
from restorations.faults.access import Standing
from restorations.faults.go_ahead_forms import ReplyForm
from restorations.faults.models import GoAhead, Question, StandingGoAhead
from restorations.faults.models.go_ahead import AUTHORITIES
from restorations.faults.page import SheetPage


@dataclass(frozen=True, slots=True)
class QuestionLine:
    row: Question
    form: ReplyForm | None
    """For whoever it was put to, while it has no answer."""


@dataclass(frozen=True, slots=True)
class GoAheadLine:
    """The newest go-ahead for a step."""

    row: GoAhead
    shape: str
    word: str
    why: str
    """Why it has lapsed, or was withdrawn or taken back."""
    questions: Sequence[QuestionLine]
    may_ask_again: bool
    may_withdraw: bool


@dataclass(frozen=True, slots=True)
class Permissions:
    """Everything of the kind on one sheet."""

    lines: Sequence[GoAheadLine]
    earlier: Sequence[GoAhead]
    questions: Sequence[QuestionLine]
    """Put to the mentors, with their answers."""
    consents: Sequence[ConsentRequest]
    standing: Sequence[StandingGoAhead]
    """Who may do what on this engine without asking each time."""


def permissions_on(page: SheetPage, standing: Standing, at: datetime) -> Permissions:
    """Three queries, however much was asked and answered."""
    sheet = page.sheet
    questions = list(sheet.questions.select_related("asked_by", "answered_by", "go_ahead"))
    newest = {row.action: row for row in page.go_aheads}
    allowed = StandingGoAhead.objects.in_force(at).filter(engine=sheet.engine_id)
    return Permissions(
        lines=[_line(row, page, standing, questions) for row in newest.values()],
        earlier=[row for row in page.go_aheads if newest[row.action] is not row],
        questions=[_question(row, standing) for row in questions if row.go_ahead_id is None],
        consents=list(ConsentRequest.objects.waiting().filter(engine=sheet.engine_id).select_related("asked_by")),
        standing=list(allowed.select_related("member", "given_by")),
    )


def _line(row: GoAhead, page: SheetPage, standing: Standing, questions: Sequence[Question]) -> GoAheadLine:
    lapsed = page.leave.lapsed.get(row.pk, "")
    mine = [_question(question, standing) for question in questions if question.go_ahead_id == row.pk]
    shape, word = _word(row, lapsed, standing, mine)
    is_over = row.is_struck or row.answer == "refused" or bool(lapsed)
    known = row.action in page.expanded.checks or row.action in page.expanded.remedies
    return GoAheadLine(
        row=row,
        shape=shape,
        word=word,
        why=lapsed or (row.struck_reason if row.is_struck else ""),
        questions=mine,
        may_ask_again=is_over and known and standing.may_ask,
        may_withdraw=not standing.is_closed and not lapsed and standing.may_withdraw(row),
    )


def _word(row: GoAhead, lapsed: str, standing: Standing, questions: Sequence[QuestionLine]) -> tuple[str, str]:
    """The shape, and the word beside it."""
    if row.is_struck:
        return "rest", "taken back" if row.answer else "withdrawn"
    if lapsed:
        return "stop", "go-ahead lapsed"
    if row.answer:
        return ("good", "go-ahead given") if row.answer == "given" else ("stop", "refused")
    if any(question.form for question in questions):
        return "ask", "a question to you"
    return ("ask", "answer it") if standing.may_answer(row) else ("wait", f"waits for {AUTHORITIES[row.authority]}")


def _question(row: Question, standing: Standing) -> QuestionLine:
    waits = not row.answer and not standing.is_closed and (row.go_ahead is None or row.go_ahead.is_waiting)
    may = waits and standing.may_answer_question(row)
    return QuestionLine(row, ReplyForm(auto_id=f"id_reply_{row.pk}_%s") if may else None)
