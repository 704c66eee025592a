"""Sets when the club works, and the days the shop is shut."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, time
from uuid import UUID

from django.core.exceptions import ValidationError

from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.traffic.models import ClosedSpell, WorkingPattern, WorkingSession

NO_SESSIONS = "Give at least one day of the week its hours and hands: without a session no work can be forecast."


@dataclass(frozen=True, slots=True)
class SessionPlan:
    """One session a week; `hands` are those who usually work on one engine."""

    weekday: int
    hours: float
    hands: int
    begins_at: time | None = None


def set_pattern(
    *, sessions: Sequence[SessionPlan], inspector_days: int | None, member: Member, version: int, mark: UUID
) -> WorkingPattern:  # fmt: skip
    """Put these sessions in the place of those there were. Raises Changed where somebody saved meanwhile."""
    if not sessions:
        raise ValidationError(NO_SESSIONS)

    def make() -> WorkingPattern:
        pattern, _ = WorkingPattern.objects.get_or_create(pk=1)
        before = _told(pattern)
        pattern.save_from(version, inspector_days=inspector_days)
        WorkingSession.objects.exclude(weekday__in=[session.weekday for session in sessions]).delete()
        for session in sessions:
            said = {"begins_at": session.begins_at, "hours": session.hours, "hands": session.hands}
            WorkingSession.objects.update_or_create(pattern=pattern, weekday=session.weekday, defaults=said)
        record(member, "set the working sessions", pattern, before=before, after=_told(pattern))
        return pattern

    return submit_once(member, mark, make)[0]


def _told(pattern: WorkingPattern) -> dict[str, object]:
    return {
        "sessions": in_words(pattern.sessions.all()),
        "days from asking the inspector to the test": pattern.inspector_days,
    }


def in_words(sessions: Iterable[WorkingSession]) -> str:
    return "; ".join(str(session) for session in sessions) or "none"


def close_shop(*, first_on: date, last_on: date, why: str, doing: Doing, mark: UUID) -> ClosedSpell:
    """No session from the first day up to and with the last."""

    def make() -> ClosedSpell:
        if last_on < first_on:
            raise ValidationError({"last_on": "The last day is before the first; look at both again."})
        spell = ClosedSpell.objects.create(
            first_on=first_on, last_on=last_on, why=why, recorded_by=doing.member, recorded_at=doing.at
        )
        record(doing.member, "shut the shop", spell, after={"from": first_on, "up to": last_on, "why": why})
        return spell

    return submit_once(doing.member, mark, make)[0]


def strike_closing(*, spell: ClosedSpell, reason: str, doing: Doing, mark: UUID) -> ClosedSpell:
    """The shop is open after all."""

    def make() -> ClosedSpell:
        spell.strike_out(member=doing.member, reason=reason, at=doing.at)
        record(doing.member, "struck out that the shop is shut", spell, after={"reason": reason})
        return spell

    return submit_once(doing.member, mark, make)[0]
