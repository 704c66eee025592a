"""Changes to members and to the club's settings."""

from datetime import date
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from restorations.members.models import OFFICES, Club, Member, record, submit_once
from restorations.members.services.competent import end_for_second_mentor

LAST_ADMINISTRATOR = "This is the only administrator; make somebody else one first."


def set_offices(*, member: Member, by: Member, offices: frozenset[str], version: int, mark: UUID) -> Member:
    """Give and take offices. Raises Changed when somebody saved the member meanwhile."""

    def make() -> Member:
        if "administrator" not in offices:
            _keep_an_administrator(member)
        flags = {f"is_{office}": office in offices for office in OFFICES}
        saved = _save(member, by, "set offices", version, flags)
        end_for_second_mentor(saved, by=by)
        return saved

    return submit_once(by, mark, make)[0]


def record_left(*, member: Member, by: Member, left_on: date | None, version: int, mark: UUID) -> Member:
    """Write down the day somebody left, which ends their sessions; None puts a mistake right."""

    def make() -> Member:
        if left_on is not None:
            _keep_an_administrator(member)
        verb = "recorded that they left" if left_on else "recorded that they are back"
        saved = _save(member, by, verb, version, {"left_on": left_on})
        end_for_second_mentor(saved, by=by)
        return saved

    return submit_once(by, mark, make)[0]


def change_own(*, member: Member, full_name: str, email: str, version: int, mark: UUID) -> Member:
    fields = {"full_name": full_name, "email": email}
    return submit_once(member, mark, lambda: _save(member, member, "changed own particulars", version, fields))[0]


def change_password(*, member: Member, password: str) -> None:
    """Set a new one; sessions elsewhere end, because they carry the old one's mark."""
    with transaction.atomic():
        member.set_password(password)
        member.save(update_fields=["password"])
        record(member, "changed own password", member)


def change_club(*, by: Member, fields: dict[str, Any], version: int, mark: UUID) -> Club:
    def make() -> Club:
        club, _ = Club.objects.get_or_create(pk=1)
        before = {name: getattr(club, name) for name in fields}
        club.save_from(version, **fields)
        record(by, "changed the club's settings", club, **changed(before, fields))
        return club

    return submit_once(by, mark, make)[0]


def make_first_administrator(*, sign_in_name: str, full_name: str, password: str) -> Member:
    """On an empty installation only: everybody after is invited."""
    with transaction.atomic():
        if Member.objects.exists():
            raise ValidationError("There are members already: an administrator invites, and sets offices.")
        member = Member(sign_in_name=sign_in_name, full_name=full_name, is_administrator=True)
        member.full_clean(exclude=["password"])
        member = Member.objects.create_member(
            sign_in_name=sign_in_name, full_name=full_name, password=password, is_administrator=True
        )
        record(member, "became the first administrator", member)
    return member


def changed(before: dict[str, Any], after: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Only the fields that differ, as `record` takes them."""
    names = [name for name in after if before[name] != after[name]]
    return {"before": {name: before[name] for name in names}, "after": {name: after[name] for name in names}}


def _save(member: Member, by: Member, verb: str, version: int, fields: dict[str, Any]) -> Member:
    before = {name: getattr(Member.objects.get(pk=member.pk), name) for name in fields}
    member.save_from(version, **fields)
    record(by, verb, member, **changed(before, fields))
    return member


def _keep_an_administrator(member: Member) -> None:
    others = Member.objects.current().filter(is_administrator=True).exclude(pk=member.pk)
    if member.is_administrator and not others.exists():
        raise ValidationError(LAST_ADMINISTRATOR)
