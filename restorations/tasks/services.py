"""Parts coming off and going back, soaks begun and ended. Every act is one transaction and leaves a record."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import partial
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.tasks.models import Soak, StrippedPart


def split_part_id(part_id: str) -> tuple[str, str]:
    component, _, place = part_id.partition("@")
    return component, place


def take_off(*, engine: Engine, part_id: str, box: str, doing: Doing) -> StrippedPart:
    """Write down that a part came off; call inside a transaction. A part already off is returned as it is."""
    component, place = split_part_id(part_id)
    already: StrippedPart | None = (
        StrippedPart.objects.off().filter(engine=engine, component=component, place=place).first()
    )
    if already is not None and component:
        return already
    part = StrippedPart.objects.create(
        engine=engine,
        component=component,
        place=place,
        box=box,
        off_at=doing.at,
        off_by=doing.member,
        **doing.acceptance,
    )
    record(doing.member, "took a part off", part, after={"part": part.part_id, "box": box})
    return part


def strip_part(*, engine: Engine, part_id: str, box: str, doing: Doing, mark: UUID) -> StrippedPart:
    make = partial(take_off, engine=engine, part_id=part_id, box=box, doing=doing)
    return submit_once(doing.member, mark, make)[0]


def put_back(part: StrippedPart, *, ending: str, member: Member, at: datetime) -> bool:
    """End a part's time off; False if somebody did already. Call inside a transaction."""
    rows = StrippedPart.objects.filter(pk=part.pk, ended_at__isnull=True, struck_at__isnull=True)
    if not rows.update(ended_at=at, ended_by=member, ending=ending):
        return False
    part.refresh_from_db()
    record(member, "put a part back", part, before={"off": True}, after={"ending": ending})
    return True


def end_time_off(*, part: StrippedPart, ending: str, member: Member, at: datetime, mark: UUID) -> StrippedPart:
    """The same from a form of its own; raises ValidationError where somebody was quicker."""

    def make() -> StrippedPart:
        if not put_back(part, ending=ending, member=member, at=at):
            part.refresh_from_db()
            raise ValidationError(f"{part.ended_by or 'Somebody'} has written this part up already.")
        return part

    row, _ = submit_once(member, mark, make)
    return row


def put_back_all(engine: Engine, part_ids: Iterable[str], *, member: Member, at: datetime) -> list[StrippedPart]:
    """Refit every named part that is off; call inside a transaction."""
    wanted = set(part_ids)
    parts = [part for part in StrippedPart.objects.off().filter(engine=engine) if part.part_id in wanted]
    return [part for part in parts if put_back(part, ending="refitted", member=member, at=at)]


@dataclass(frozen=True, slots=True)
class SoakPlan:
    """Where (a place of the engine), in what, whether it gives off vapour that burns, until when."""

    place: str
    fluid: str
    is_volatile: bool
    due_at: datetime


def begin_soak(*, engine: Engine, plan: SoakPlan, doing: Doing) -> Soak:
    """Write a soak down; call inside a transaction."""
    soak = Soak(engine=engine, **asdict(plan), begun_at=doing.at, begun_by=doing.member, **doing.acceptance)
    soak.full_clean()
    soak.save()
    record(doing.member, "began a soak", soak, after=asdict(plan))
    return soak


def end_soak(*, soak: Soak, member: Member, at: datetime, mark: UUID) -> Soak:
    """The soak is over and what it was done with is off the engine; raises ValidationError if it ended before."""

    def make() -> Soak:
        if not Soak.objects.filter(pk=soak.pk, ended_at__isnull=True, struck_at__isnull=True).update(
            ended_at=at, ended_by=member
        ):
            raise ValidationError("This soak was ended already.")
        soak.refresh_from_db()
        record(member, "ended a soak", soak, after={"ended": at})
        return soak

    row, _ = submit_once(member, mark, make)
    return row


def end_soaks(engine: Engine, place: str, *, member: Member, at: datetime) -> None:
    """End every soak under way at a place; call inside a transaction."""
    for soak in Soak.objects.under_way().filter(engine=engine, place=place):
        soak.ended_at, soak.ended_by = at, member
        soak.save(update_fields=["ended_at", "ended_by"])
        record(member, "ended a soak", soak, after={"ended": at})


@transaction.atomic
def accept(row: StrippedPart | Soak, *, member: Member, at: datetime) -> None:
    """One of the hands takes a helper's entry for true."""
    row.accepted_at, row.accepted_by = at, member
    row.save(update_fields=["accepted_at", "accepted_by"])
    record(member, "accepted an entry", row)
