"""Setting a short code, and knowing somebody by it on another member's phone."""

from datetime import datetime

from django.contrib.auth.hashers import make_password
from django.core.exceptions import ValidationError
from django.db import transaction

from restorations.members.models import Member, Message, ShortCode, ShortCodeAttempt, record
from restorations.members.models.short_codes import LONGEST_KEPT, TRIES_ALLOWED

NOT_THE_CODE = "This is not {}'s short code. Nothing was given; the question still waits."


class TooManyCodes(Exception):
    """Too many wrong codes for one person, or on one phone; `minutes` until the next try."""

    def __init__(self, minutes: int) -> None:
        wait = f"{minutes} minute{'' if minutes == 1 else 's'}" if minutes < 90 else f"{round(minutes / 60)} hours"
        super().__init__(
            f"Too many wrong codes. Try again in {wait}, or let the mentor answer on their own phone: "
            "the question waits on their desk."
        )
        self.minutes = minutes


def set_short_code(*, member: Member, code: str, at: datetime) -> None:
    """A new code in the place of the old one; only its hash is kept, and what was tried before no longer counts."""
    hashed = make_password(code)
    with transaction.atomic():
        ShortCode.objects.update_or_create(member=member, defaults={"hashed": hashed, "set_at": at})
        ShortCodeAttempt.objects.filter(member=member).delete()
        record(member, "set a short code", member)


def take_short_code_away(*, member: Member) -> None:
    """From now on nobody is known by it; one that was never set is no fault."""
    with transaction.atomic():
        if ShortCode.objects.filter(member=member).exclude(hashed="").update(hashed=""):
            record(member, "took the short code away", member)


def has_short_code(member: Member) -> bool:
    return ShortCode.objects.filter(member=member).exclude(hashed="").exists()


def check_short_code(*, member: Member, code: str, phone_of: Member, at: datetime) -> None:
    """Raises ValidationError where it is not the code, and TooManyCodes even where it is, after too many tries."""
    _claim_try(member, phone_of, at)
    row = ShortCode.objects.filter(member=member).exclude(hashed="").first()
    if row is None or not row.is_code(code):
        _warn_of_guessing(member, phone_of, at)
        raise ValidationError({"code": NOT_THE_CODE.format(member)})
    ShortCodeAttempt.objects.filter(member=member, phone_of=phone_of).delete()


def _claim_try(member: Member, phone_of: Member, at: datetime) -> None:
    """Count the try before the code is looked at: tries made side by side count as well."""
    with transaction.atomic():
        ShortCodeAttempt.objects.filter(at__lte=at - LONGEST_KEPT).delete()
        counted = (ShortCodeAttempt.objects.filter(member=member), ShortCodeAttempt.objects.filter(phone_of=phone_of))
        minutes = max(rows.minutes_to_wait(at=at) for rows in counted)
        if minutes:
            raise TooManyCodes(minutes)
        ShortCodeAttempt.objects.create(member=member, phone_of=phone_of, at=at)


def _warn_of_guessing(member: Member, phone_of: Member, at: datetime) -> None:
    """Whoever's code is being guessed hears of it once, when the tries are used up."""
    most, within = TRIES_ALLOWED[0]
    if ShortCodeAttempt.objects.filter(member=member, at__gt=at - within).count() == most:
        Message.objects.create(
            to=member,
            subject="Wrong short codes in your name",
            body=f"{most} wrong codes were tried in your name, the last on the phone of {phone_of}. Nothing was given. "
            "If it was not you, set a new code on your page.\n",
        )
