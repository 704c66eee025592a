"""What is known of an engine's past: answers per system, and work done before it came."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from restorations.engines.models import Engine, PastWork, SystemHistory
from restorations.engines.models.history import GENERAL, SYSTEMS
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once


def answer_history(
    *, engine: Engine, member: Member, mark: UUID, system: str, answers: Mapping[str, Any]
) -> SystemHistory:
    """Append the answers for the whole engine, or for one system where they differ; the latest counts."""

    def make() -> SystemHistory:
        row = SystemHistory.objects.create(engine=engine, made_by=member, system=system, **answers)
        record(
            member, "answered the history", engine, after={SYSTEMS[system]: "; ".join(row.in_words()) or "not known"}
        )
        return row

    return submit_once(member, mark, make)[0]


def follow_general(*, engine: Engine, member: Member, mark: UUID, system: str) -> SystemHistory:
    """Take a system's own answers back: from now on it follows the whole engine's."""
    if system == GENERAL:
        raise ValueError("the answers for the whole engine follow nothing")

    def make() -> SystemHistory:
        row = SystemHistory.objects.create(engine=engine, made_by=member, system=system, follows_general=True)
        record(member, "took back the history of a system", engine, after={SYSTEMS[system]: "as the whole engine"})
        return row

    return submit_once(member, mark, make)[0]


def note_past_work(
    *, engine: Engine, member: Member, mark: UUID, text: str, happened: tuple[datetime, str], by: str
) -> PastWork:
    """Write down what was done before it came: when, how exactly that is known, and by whom."""

    def make() -> PastWork:
        at, precision = happened
        row = PastWork.objects.create(
            engine=engine, text=text, happened_at=at, happened_precision=precision, done_by_name=by, recorded_by=member
        )
        record(member, "noted past work", engine, after={"what": text, "by": by, "when": at, "known": precision})
        return row

    return submit_once(member, mark, make)[0]


def strike_past_work(*, row: PastWork, member: Member, reason: str) -> None:
    """Strike it out with a reason; it stays readable."""
    with transaction.atomic():
        row.strike_out(member=member, reason=reason)
        record(member, "struck out past work", row.engine, before={"what": row.text}, after={"reason": reason})
