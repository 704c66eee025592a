"""At the door: who somebody is, with wrong passwords counted by name and address together."""

import logging
from datetime import datetime

from django.contrib.auth import authenticate
from django.db import transaction
from django.http import HttpRequest

from restorations.members.models import Member, SignInAttempt, plain_name, record
from restorations.members.models.invitations import FAILURES_WITHIN

logger = logging.getLogger(__name__)


class TooManyFailures(Exception):
    """Eight wrong passwords in a quarter of an hour; `minutes` until the next try."""

    def __init__(self, minutes: int) -> None:
        plural = "" if minutes == 1 else "s"
        super().__init__(
            f"Too many wrong passwords for this name from this place. Try again in {minutes} minute{plural}, "
            "or ask the administrator for a slip to set a new one."
        )
        self.minutes = minutes


def recognise(request: HttpRequest, *, name: str, password: str, address: str, at: datetime) -> Member | None:
    """The member with this name and password, or None. Raises TooManyFailures, even when the password is right."""
    name = plain_name(name)
    _claim_try(name=name, address=address, at=at)
    found = authenticate(request, username=name, password=password)
    if not isinstance(found, Member):
        _note_refusal(name, address)
        return None
    with transaction.atomic():
        _clear_tries(name, address)
        record(found, "signed in", found)
    return found


def knows_own_password(member: Member, *, password: str, address: str, at: datetime) -> bool:
    """Whether somebody signed in as this member knows the password too; counted like a sign-in."""
    _claim_try(name=member.sign_in_name, address=address, at=at)
    if not member.check_password(password):
        return False
    _clear_tries(member.sign_in_name, address)
    return True


def _claim_try(*, name: str, address: str, at: datetime) -> None:
    """Count the try before the password is looked at: tries made side by side count as well."""
    with transaction.atomic():
        SignInAttempt.objects.filter(at__lte=at - FAILURES_WITHIN).delete()
        minutes = SignInAttempt.objects.minutes_to_wait(name=name, address=address, at=at)
        if minutes:
            raise TooManyFailures(minutes)
        SignInAttempt.objects.create(name=name, address=address, at=at)


def _clear_tries(name: str, address: str) -> None:
    SignInAttempt.objects.filter(name=name, address=address).delete()


def _note_refusal(name: str, address: str) -> None:
    # A name nobody has may be a password typed into the wrong box, so it is not written down.
    known = name if Member.objects.filter(sign_in_name=name).exists() else "a name not known here"
    logger.warning("sign-in refused: %s from %s", known, address)
