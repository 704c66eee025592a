"""Giving a standing go-ahead, and taking it back."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.core.exceptions import PermissionDenied

from restorations.engines.models import Engine
from restorations.faults.models import StandingGoAhead
from restorations.faults.services.go_aheads import Overtaken
from restorations.faults.telling import tell_of_revocation, tell_of_standing
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once


@dataclass(frozen=True, slots=True)
class StandingDraft:
    member: Member
    kind: str
    conditions: str
    until: datetime


def give_standing(*, engine: Engine, draft: StandingDraft, doing: Doing, mark: UUID) -> StandingGoAhead:
    """To somebody else, for one kind of step on one engine."""
    if draft.member.pk == doing.member.pk:
        raise PermissionDenied("Nobody gives a standing go-ahead to themselves.")

    def make() -> StandingGoAhead:
        row = StandingGoAhead.objects.create(
            engine=engine, member=draft.member, kind=draft.kind, conditions=draft.conditions, until=draft.until,
            given_at=doing.at, given_by=doing.member,
        )  # fmt: skip
        after = {"member": draft.member, "kind": row.kind_words, "until": draft.until, "conditions": draft.conditions}
        record(doing.member, "gave a standing go-ahead", row, after=after)
        tell_of_standing(row)
        return row

    return submit_once(doing.member, mark, make)[0]


def revoke_standing(*, row: StandingGoAhead, reason: str, doing: Doing, mark: UUID) -> StandingGoAhead:
    """It stays readable; what was done under it until now stays so."""

    def make() -> StandingGoAhead:
        rows = StandingGoAhead.objects.not_struck().filter(pk=row.pk)
        if not rows.update(struck_at=doing.at, struck_by=doing.member, struck_reason=reason):
            row.refresh_from_db()
            raise Overtaken(f"{row.struck_by} has taken it back already.")
        row.refresh_from_db()
        record(doing.member, "took back a standing go-ahead", row, after={"reason": reason})
        tell_of_revocation(row)
        return row

    return submit_once(doing.member, mark, make)[0]
