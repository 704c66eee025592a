"""Mail about go-aheads, questions and what was done without: one message for each event and reader."""

from collections.abc import Iterable
from datetime import datetime

from django.utils import timezone
from django.utils.formats import date_format

from restorations.faults.models import GoAhead, Question, StandingGoAhead, Step
from restorations.faults.reviewers import REPLY, who_may, who_may_answer, who_may_look
from restorations.members.models import Member, Message

LONGEST_SUBJECT = 150


def _tell(people: Iterable[Member], subject: str, *lines: str) -> None:
    body = "\n".join(filter(None, lines)) + "\n"
    Message.objects.bulk_create([Message(to=to, subject=subject[:LONGEST_SUBJECT], body=body) for to in people])


def _until(moment: datetime) -> str:
    return date_format(timezone.localtime(moment), "j M Y, H.i")


def tell_of_request(row: GoAhead) -> None:
    """Everybody who may answer it, and never whoever asked."""
    people = who_may_answer(row, on=timezone.localdate(row.asked_at))
    engine = row.sheet.engine
    _tell(
        people, f"{engine}: a go-ahead is asked for", f"{row.asked_by} asks on {engine}: {row.words}", row.reason,
        f"/go-aheads/{row.pk}/",
    )  # fmt: skip


def tell_of_answer(row: GoAhead) -> None:
    """Whoever asked; and, where it was given on their phone, the mentor in whose name it was."""
    engine = row.sheet.engine
    ends = f"Good until {_until(row.until)}." if row.answer == "given" and row.until else ""
    if row.on_phone_of_id is None:
        words = f"{row.answered_by} answered “{row.words}”: {row.answer}."
        people = [row.asked_by]
    else:
        words = f"“{row.words}” was given with the short code of {row.answered_by} on the phone of {row.on_phone_of}."
        people = [person for person in (row.answered_by, row.asked_by) if person and person.pk != row.on_phone_of_id]
    _tell(people, f"{engine}: go-ahead {row.answer}", words, row.conditions, ends, row.get_absolute_url())


def tell_of_withdrawal(row: GoAhead) -> None:
    """What was given and is taken back: whoever asked hears of it, unless it was theirs to withdraw."""
    if row.struck_by_id != row.asked_by_id:
        words = f"{row.struck_by} took back the go-ahead for “{row.words}”: {row.struck_reason}"
        _tell([row.asked_by], f"{row.sheet.engine}: go-ahead taken back", words, row.get_absolute_url())


def tell_of_question(row: Question) -> None:
    """A mentor's to whoever asked for the go-ahead; one from the bench to those who may answer it."""
    engine, about = row.sheet.engine, f"About “{row.about}”." if row.about else ""
    if row.go_ahead is not None:
        people: Iterable[Member] = [row.go_ahead.asked_by]
    else:
        people = who_may(REPLY, engine, on=timezone.localdate(row.asked_at)).exclude(pk=row.asked_by_id)
    _tell(people, f"{engine}: {row.asked_by} asks", about, row.words, row.get_absolute_url())


def tell_of_reply(row: Question) -> None:
    words = f"{row.answered_by} answered “{row.words}”:"
    _tell([row.asked_by], f"{row.sheet.engine}: your question is answered", words, row.answer, row.get_absolute_url())


def tell_of_standing(row: StandingGoAhead) -> None:
    words = f"{row.given_by} allows you on {row.engine}, until {_until(row.until)}: {row.kind_words}."
    _tell([row.member], f"{row.engine}: a standing go-ahead", words, row.conditions, row.get_absolute_url())


def tell_of_revocation(row: StandingGoAhead) -> None:
    words = f"{row.struck_by} took back: {row.kind_words}. {row.struck_reason}"
    people = [person for person in (row.member, row.given_by) if person.pk != row.struck_by_id]
    _tell(people, f"{row.engine}: standing go-ahead taken back", words, row.get_absolute_url())


def tell_of_step_without(step: Step) -> None:
    """Whoever may look at what was done without a go-ahead, and never whoever did it or wrote it down."""
    if not step.without_go_ahead:
        return
    engine = step.sheet.engine
    _tell(
        who_may_look(step, on=timezone.localdate(step.recorded_at)),
        f"{engine}: done without a go-ahead", f"{step.recorded_by} recorded on {engine}: {step.words}",
        f"Open: {step.done_although}", f"The sheet: {step.sheet.get_absolute_url()}",
    )  # fmt: skip
