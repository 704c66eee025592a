"""Filling in the take-in sheet, signing it, and adding what is found later."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from restorations.engines.models import Engine, LaterFinding, TakeIn, TakeInSignature
from restorations.engines.models.take_in import SIGNS
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once

FROZEN = "Both have signed this sheet, so it stays as it is. Write down what was found since as an addition."


def write_take_in(*, engine: Engine, member: Member, mark: UUID, version: int, facts: Mapping[str, Any]) -> TakeIn:
    """Begin the sheet, or save what changed; raises Changed where somebody saved since, ValidationError once frozen.

    A signature given before no longer holds: it was for another text.
    """

    def make() -> TakeIn:
        sheet, _ = TakeIn.objects.select_for_update().get_or_create(engine=engine, defaults={"begun_by": member})
        if sheet.is_frozen:
            raise ValidationError(FROZEN)
        before = {name: getattr(sheet, name) for name in facts}
        sheet.save_from(version, **facts)
        changed = [name for name, value in facts.items() if value != before[name]]
        record(
            member,
            "wrote the take-in sheet",
            engine,
            before={name: before[name] for name in changed},
            after={name: facts[name] for name in changed},
        )
        return sheet

    return submit_once(member, mark, make)[0]


@dataclass(frozen=True, slots=True)
class Signing:
    """Who signs as what, for which version; `own` where it is the member's own name, else typed for somebody here."""

    sign: str
    version: int
    name: str
    own: bool


def sign_take_in(*, sheet: TakeIn, member: Member, mark: UUID, signing: Signing, at: datetime) -> TakeInSignature:
    """Sign the sheet as it stands; the second of the two freezes it."""

    def make() -> TakeInSignature:
        fresh = TakeIn.objects.select_for_update(of=("self",)).select_related("engine__owner_member").get(pk=sheet.pk)
        _may_sign(fresh, signing)
        row = TakeInSignature.objects.create(
            take_in=fresh, sign=signing.sign, of_version=signing.version, name=signing.name,
            member=member if signing.own else None, written_by=member, signed_at=at,
        )  # fmt: skip
        if set(fresh.holding_signatures()) == set(SIGNS):
            fresh.frozen_at, fresh.owner_then = at, _owner(fresh.engine)
            fresh.save(update_fields=["frozen_at", "owner_then"])
        record(member, "signed the take-in sheet", fresh.engine, after={"as": SIGNS[signing.sign], "name": row.name})
        return row

    return submit_once(member, mark, make)[0]


def _may_sign(sheet: TakeIn, signing: Signing) -> None:
    held = sheet.holding_signatures()
    if sheet.version != signing.version:
        raise ValidationError("The sheet was changed while you read it. Read it again, then sign.")
    if signing.sign in held:
        raise ValidationError(f"{held[signing.sign].name} has signed here already.")
    if any(row.name.casefold() == signing.name.casefold() for row in held.values()):
        raise ValidationError("Two different people sign: who took it in, and who brought it.")


def _owner(engine: Engine) -> str:
    return f"{engine.owner}, {engine.owner_address}" if engine.owner_address else engine.owner


def add_later_finding(*, sheet: TakeIn, member: Member, mark: UUID, text: str, found_on: date) -> LaterFinding:
    """Write down what was found after the sheet was signed."""

    def make() -> LaterFinding:
        row = LaterFinding.objects.create(take_in=sheet, text=text, found_on=found_on, noted_by=member)
        record(member, "added to the take-in sheet", sheet.engine, after={"what": text, "found on": found_on})
        return row

    return submit_once(member, mark, make)[0]


def strike_later_finding(*, row: LaterFinding, member: Member, reason: str) -> None:
    """Strike it out with a reason; it stays readable."""
    with transaction.atomic():
        row.strike_out(member=member, reason=reason)
        record(
            member, "struck out an addition", row.take_in.engine, before={"what": row.text}, after={"reason": reason}
        )
