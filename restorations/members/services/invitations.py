"""Ways in for people: invitations to join, and printed slips for a forgotten password."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from restorations.members.models import (
    Club,
    Invitation,
    Member,
    Message,
    OneTimeSlip,
    SignInAttempt,
    plain_name,
    record,
    submit_once,
)
from restorations.members.models.invitations import INVITATION_DAYS, SLIP_DAYS, hashed, new_secret

Link = Callable[[str], str]


class LinkIsDead(Exception):
    """The secret address was used, withdrawn, has lapsed, or never was."""


@dataclass(frozen=True, slots=True)
class Invited:
    """An invitation; the secret only the first time, since it is kept hashed."""

    invitation: Invitation
    secret: str


@dataclass(frozen=True, slots=True)
class Printed:
    """A slip; the secret only the first time, since it is kept hashed."""

    slip: OneTimeSlip
    secret: str


def invite(*, by: Member, full_name: str, email: str, link: Link, mark: UUID, at: datetime) -> Invited:
    """Make the single-use address by which somebody joins; with an e-mail address it is sent as well."""
    secret = new_secret()

    def make() -> Invitation:
        invitation = Invitation.objects.create(
            secret_hash=hashed(secret),
            made_at=at,
            made_by=by,
            lapses_at=at + timedelta(days=INVITATION_DAYS),
            full_name=full_name,
            email=email,
        )
        if email:
            _queue_invitation(invitation, link(secret))
        record(by, "invited", invitation, after={"full_name": full_name})
        return invitation

    invitation, made_now = submit_once(by, mark, make)
    return Invited(invitation, secret if made_now else "")


def _queue_invitation(invitation: Invitation, address: str) -> None:
    club = Club.current()
    Message.objects.create(
        to_address=invitation.email,
        subject=f"{club}: your way in",
        body=f"{invitation.made_by} invites you to join {club}. Open this address, choose a name and a password:\n\n"
        f"{address}\n\nIt works once, until {invitation.lapses_at:%d %B %Y}.",
    )


def withdraw_invitation(invitation: Invitation, *, by: Member, at: datetime) -> None:
    """Close the address before it is used; withdrawing twice is the same as once."""
    with transaction.atomic():
        unused = Invitation.objects.filter(pk=invitation.pk, used_at__isnull=True, withdrawn_at__isnull=True)
        if unused.update(withdrawn_at=at):
            record(by, "withdrew the invitation", invitation)


def open_invitation(secret: str, *, at: datetime) -> Invitation:
    invitation: Invitation | None = Invitation.objects.usable(secret, at=at).select_related("made_by").first()
    if invitation is None:
        raise LinkIsDead
    return invitation


def join(*, secret: str, sign_in_name: str, password: str, at: datetime) -> Member:
    """Use the invitation up and make the member it was for."""
    try:
        with transaction.atomic():
            invitation = open_invitation(secret, at=at)
            if not invitation.use(at=at):
                raise LinkIsDead
            member = Member.objects.create_member(
                sign_in_name=sign_in_name, full_name=invitation.full_name, password=password, email=invitation.email
            )
            Invitation.objects.filter(pk=invitation.pk).update(joined=member)
            record(member, "joined", member, after={"invited_by": invitation.made_by})
    except IntegrityError:
        raise ValidationError({"sign_in_name": NAME_TAKEN.format(plain_name(sign_in_name))}) from None
    return member


NAME_TAKEN = "“{}” is taken already. Add an initial or a number."


def print_slip(*, member: Member, by: Member, mark: UUID, at: datetime) -> Printed:
    """Make the single-use address that sets a new password; earlier slips of this member stop working."""
    secret = new_secret()

    def make() -> OneTimeSlip:
        OneTimeSlip.objects.open(at=at).filter(member=member).update(withdrawn_at=at)
        slip = OneTimeSlip.objects.create(
            secret_hash=hashed(secret), made_at=at, made_by=by, lapses_at=at + timedelta(days=SLIP_DAYS), member=member
        )
        if member.email:
            _warn_of_slip(slip)
        record(by, "printed a one-time slip", member)
        return slip

    if member.left_on is not None:
        raise ValidationError("Whoever has left gets no slip.")
    slip, made_now = submit_once(by, mark, make)
    return Printed(slip, secret if made_now else "")


def _warn_of_slip(slip: OneTimeSlip) -> None:
    Message.objects.create(
        to=slip.member,
        subject=f"{Club.current()}: a slip for a new password was printed for you",
        body=f"{slip.made_by} printed a slip with which your password can be set anew. "
        "If you did not ask for it, tell the administrator.",
    )


def open_slip(secret: str, *, at: datetime) -> OneTimeSlip:
    usable = OneTimeSlip.objects.usable(secret, at=at).filter(member__left_on__isnull=True)
    slip: OneTimeSlip | None = usable.select_related("member").first()
    if slip is None:
        raise LinkIsDead
    return slip


def use_slip(*, secret: str, password: str, at: datetime) -> Member:
    """Set the new password; every session of the member ends, and the door forgets the wrong ones."""
    with transaction.atomic():
        slip = open_slip(secret, at=at)
        if not slip.use(at=at):
            raise LinkIsDead
        member: Member = slip.member
        member.set_password(password)
        member.save(update_fields=["password"])
        SignInAttempt.objects.filter(name=member.sign_in_name).delete()
        record(member, "set a new password with a slip", member)
    return member
