"""Who works on an engine, and who is invited to it."""

from datetime import date, timedelta
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from restorations.engines.models import Engine, Guest, Hand
from restorations.engines.models.spells import Spell
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once


def add_hand(*, engine: Engine, member: Member, mark: UUID, hand: Member, on: date) -> Hand:
    """Put somebody on the engine from today; whoever is on it already stays so."""

    def make() -> Hand:
        current: Hand | None = Hand.objects.current(on).filter(engine=engine, member=hand).first()
        if current is not None:
            return current
        made = Hand.objects.create(engine=engine, member=hand, since=on)
        record(member, "put on the engine", engine, after={"hands": hand})
        return made

    return submit_once(member, mark, make)[0]


def end_hand(*, hand: Hand, member: Member, on: date) -> None:
    """Take somebody off the engine from today."""
    with transaction.atomic():
        _end(hand, on)
        record(member, "taken off the engine", hand.engine, before={"hands": hand.member})


def invite_guest(
    *, engine: Engine, member: Member, mark: UUID, guest: Member, why: str, spell: tuple[date, date | None]
) -> Guest:
    """Invite somebody for a spell: from the first day to the last, or until it is ended."""

    def make() -> Guest:
        since, last_day = spell
        until = last_day + timedelta(days=1) if last_day else None
        made = Guest.objects.create(engine=engine, member=guest, why=why, since=since, until=until, invited_by=member)
        record(member, "invited", engine, after={"guest": guest, "why": why, "last day": last_day})
        return made

    return submit_once(member, mark, make)[0]


def end_guest(*, guest: Guest, member: Member, on: date) -> None:
    """End an invitation today."""
    with transaction.atomic():
        _end(guest, on)
        record(member, "ended an invitation", guest.engine, before={"guest": guest.member})


def _end(spell: Spell, on: date) -> None:
    """Set the end once; one that has ended keeps its day."""
    open_rows = type(spell)._default_manager.filter(pk=spell.pk).current(on)
    if not open_rows.update(until=on):
        raise ValidationError("This has ended already.")
    spell.refresh_from_db()
