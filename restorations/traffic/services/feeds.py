"""Private addresses of calendars: made, shown once, revoked."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from restorations.members.models import Member
from restorations.members.models.invitations import hashed, new_secret
from restorations.members.models.records import record, submit_once
from restorations.traffic.models import FeedAddress


@dataclass(frozen=True, slots=True)
class Made:
    """An address; the secret only the first time, since it is kept hashed."""

    row: FeedAddress
    secret: str


def make_address(*, member: Member, feed: str, at: datetime, mark: UUID) -> Made:
    """One for each feed: the one there was stops working."""
    secret = new_secret()

    def make() -> FeedAddress:
        FeedAddress.objects.filter(member=member, feed=feed, revoked_at__isnull=True).update(revoked_at=at)
        row = FeedAddress.objects.create(member=member, feed=feed, secret_hash=hashed(secret), made_at=at)
        record(member, "made a calendar address", member, after={"feed": row.get_feed_display()})
        return row

    row, made_now = submit_once(member, mark, make)
    return Made(row, secret if made_now else "")


def revoke(*, row: FeedAddress, by: Member, at: datetime) -> None:
    """It stops working at once; twice is the same as once."""
    with transaction.atomic():
        if FeedAddress.objects.filter(pk=row.pk, revoked_at__isnull=True).update(revoked_at=at):
            record(by, "revoked a calendar address", row.member, after={"feed": row.get_feed_display()})
