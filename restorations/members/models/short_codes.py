"""Six digits by which a mentor at the elbow is known on another member's phone, and the throttle on guessing them."""

import math
from datetime import datetime, timedelta
from itertools import pairwise

from django.conf import settings
from django.contrib.auth.hashers import check_password
from django.db import models
from django.utils import timezone

from restorations.members.models.member import Member

DIGITS = 6
# Six digits are soon tried through by a machine: few tries in a quarter of an hour, and few in a day.
TRIES_ALLOWED = ((5, timedelta(minutes=15)), (20, timedelta(days=1)))
LONGEST_KEPT = max(within for _, within in TRIES_ALLOWED)


def is_easily_guessed(code: str) -> bool:
    """One digit again and again, a run such as 123456, a pattern that repeats or reads the same from both ends."""
    steps = {(int(after) - int(before)) % 10 for before, after in pairwise(code)}
    halves, pairs = code[:3] == code[3:], code[::2] == code[1::2]
    return len(steps) == 1 or len(set(code)) <= 2 or halves or pairs or code == code[::-1]


class ShortCode(models.Model):
    """Hashed like a password; nobody is ever shown it."""

    member = models.OneToOneField(settings.AUTH_USER_MODEL, models.PROTECT, related_name="short_code")
    hashed = models.CharField(max_length=128)
    set_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return f"Short code of {self.member}"

    def is_code(self, code: str) -> bool:
        return check_password(code, self.hashed)


class ShortCodeAttemptQuerySet(models.QuerySet["ShortCodeAttempt"]):
    def minutes_to_wait(self, *, at: datetime) -> int:
        """0 while another try of these is allowed; else whole minutes until one is."""
        moments = list(self.filter(at__gt=at - LONGEST_KEPT).order_by("-at").values_list("at", flat=True))
        waits = [
            (moments[most - 1] + within - at) / timedelta(minutes=1)
            for most, within in TRIES_ALLOWED
            if len(moments) >= most and moments[most - 1] > at - within
        ]
        return math.ceil(max(waits, default=0))


class ShortCodeAttempt(models.Model):
    """One try with a wrong code: whose code, and on whose phone. The right code clears those of the two."""

    member = models.ForeignKey(Member, models.PROTECT, related_name="+")
    phone_of = models.ForeignKey(Member, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    objects = ShortCodeAttemptQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["member", "at"]), models.Index(fields=["phone_of", "at"])]

    def __str__(self) -> str:
        return f"Code of {self.member} on the phone of {self.phone_of}"
