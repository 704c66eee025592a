"""Handing things over: whoever had it no longer does, whoever has it now is written down with the day."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.tasks.models import Box, Holding


@dataclass(frozen=True, slots=True, kw_only=True)
class HandOver:
    """What goes to whom; `replaces` is the spell that ends with it."""

    kind: str
    engine: Engine | None
    box: Box | None
    what: str
    holder: Member | None
    holder_name: str
    since: date
    where: str = ""
    note: str = ""
    replaces: Holding | None = None


def hand_over(*, handed: HandOver, doing: Doing, mark: UUID) -> Holding:
    """Raises ValidationError where it would end before it began."""

    def make() -> Holding:
        before = _end(handed)
        row = Holding.objects.create(
            kind=handed.kind, engine=handed.engine, box=handed.box, what=handed.what, holder=handed.holder,
            holder_name=handed.holder_name, since=handed.since, where=handed.where, note=handed.note,
            handed_by=before.holder_in_words if before else "", recorded_by=doing.member, recorded_at=doing.at,
        )  # fmt: skip
        record(
            doing.member, "recorded a hand-over", row,
            before={"holder": before.holder_in_words if before else ""},
            after={"what": str(row), "holder": row.holder_in_words, "since": row.since},
        )  # fmt: skip
        return row

    return submit_once(doing.member, mark, make)[0]


def _end(handed: HandOver) -> Holding | None:
    """End the spell that this one follows: of an engine and a box there is only one at a time."""
    rows = Holding.objects.current().select_for_update(of=("self",)).select_related("holder")
    if handed.kind in ("engine", "box"):
        same: dict[str, Any] = {"kind": handed.kind, **_same(handed)}
    else:
        same = {"pk": handed.replaces.pk if handed.replaces else None}
    found: Holding | None = rows.filter(**same).first()
    if found is None:
        return None
    if handed.since < found.since:
        raise ValidationError(
            {"since": f"{found.holder_in_words} has it since {found.since:%d %b %Y}: not earlier than that."}
        )
    Holding.objects.filter(pk=found.pk).update(until=handed.since)
    return found


def _same(handed: HandOver) -> dict[str, Any]:
    return {"engine": handed.engine} if handed.kind == "engine" else {"box": handed.box}


def give_back(*, holding: Holding, on: date, doing: Doing, mark: UUID) -> Holding:
    """It is with nobody any more: back on its hook or shelf. Raises ValidationError where that is so already."""

    def make() -> Holding:
        if on < holding.since:
            raise ValidationError(f"It is held since {holding.since:%d %b %Y}: not earlier than that.")
        if not Holding.objects.current().filter(pk=holding.pk).update(until=on):
            raise ValidationError("This was handed on or given back already.")
        holding.refresh_from_db()
        record(doing.member, "recorded that it came back", holding, after={"what": str(holding), "on": on})
        return holding

    return submit_once(doing.member, mark, make)[0]
