"""Private addresses under which a calendar program reads what a member may see."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from restorations.members.models.invitations import hashed

FEEDS = {
    "everything": "Everything: papers, days and sessions",
    "papers": "Papers that lapse",
    "running_days": "Running days",
    "working_sessions": "Working sessions",
    "test_sessions": "Test sessions",
}


def feeds() -> dict[str, str]:
    return FEEDS


class FeedAddressQuerySet(models.QuerySet["FeedAddress"]):
    def in_use(self) -> Self:
        """Not revoked, and of somebody who is still a member."""
        return self.filter(revoked_at__isnull=True, member__left_on__isnull=True)

    def usable(self, secret: str) -> Self:
        """The one row this secret opens."""
        return self.in_use().filter(secret_hash=hashed(secret))


class FeedAddress(models.Model):
    """32 random bytes, kept hashed: shown once, revocable, dead when its owner leaves."""

    member = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="feed_addresses")
    feed = models.CharField(max_length=20, choices=feeds)
    secret_hash = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    revoked_at = models.DateTimeField(null=True, blank=True, editable=False)

    objects = FeedAddressQuerySet.as_manager()

    class Meta:
        ordering = ["feed", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["member", "feed"], condition=Q(revoked_at__isnull=True), name="one_address_for_each_feed"
            )
        ]

    def __str__(self) -> str:
        return f"{FEEDS.get(self.feed, self.feed)}, {self.member}"
