"""The wanted list: things asked for, ordered, promised, come and paid for."""

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.tasks.models import Wanted


def want(*, engine: Engine, columns: Mapping[str, Any], doing: Doing, mark: UUID) -> Wanted:
    def make() -> Wanted:
        row = Wanted.objects.create(engine=engine, made_by=doing.member, made_at=doing.at, **columns)
        record(doing.member, "put on the wanted list", row, after=_told(row))
        return row

    return submit_once(doing.member, mark, make)[0]


def change_wanted(*, row: Wanted, columns: Mapping[str, Any], member: Member, mark: UUID, version: int) -> Wanted:
    """Save what changed. Raises Changed where somebody saved meanwhile; what was repaid keeps its price and payer."""

    def make() -> Wanted:
        money = (row.price_pence, row.paid_by)
        if row.repaid_on and money != (columns["price_pence"], columns["paid_by"]):
            raise ValidationError("This was repaid: its price and who paid stay as they were.")
        before = _told(row)
        row.save_from(version, **columns)
        after = _told(row)
        changed = [name for name in after if after[name] != before[name]]
        record(
            member, "changed a wanted thing", row, before={name: before[name] for name in changed},
            after={name: after[name] for name in changed},
        )  # fmt: skip
        return row

    return submit_once(member, mark, make)[0]


def repay(*, row: Wanted, on: date, member: Member, mark: UUID) -> Wanted:
    """The member who paid has it back; raises ValidationError where there is nothing to repay."""

    def make() -> Wanted:
        if not Wanted.objects.to_repay().filter(pk=row.pk).update(repaid_on=on, version=row.version + 1):
            raise ValidationError(
                "There is nothing to repay here: no member paid for it, or they have it back already."
            )
        row.refresh_from_db()
        record(member, "recorded a repayment", row, after={"repaid": on, "to": row.paid_by})
        return row

    return submit_once(member, mark, make)[0]


def _told(row: Wanted) -> dict[str, Any]:
    """What is said of it, in the words of the pages."""
    return {
        "what": row.what,
        "size": row.size,
        "card": str(row.card or ""),
        "state": row.get_state_display(),
        "from whom": row.from_whom,
        "promised by": row.promised_by,
        "price": None if row.price_pence is None else f"{row.price_pence / 100:.2f}",
        "paid by": str(row.paid_by or ""),
    }
