"""Ways in: an invitation to join, a printed one-time slip for a forgotten password, and the throttle at the door."""

import hashlib
import math
import secrets
from datetime import datetime, timedelta
from typing import Any, Self

from django.conf import settings
from django.db import models
from django.utils import timezone

INVITATION_DAYS = 14
SLIP_DAYS = 3
FAILURES_ALLOWED = 8
FAILURES_WITHIN = timedelta(minutes=15)


def hashed(secret: str) -> str:
    """What is kept of a secret address: enough to know it again, not to make it."""
    return hashlib.sha256(secret.encode()).hexdigest()


class SecretQuerySet(models.QuerySet[Any]):
    def usable(self, secret: str, *, at: datetime) -> Self:
        """The one row this secret opens."""
        return self.open(at=at).filter(secret_hash=hashed(secret))

    def open(self, *, at: datetime) -> Self:
        """Neither used nor withdrawn nor lapsed, and made by somebody who is still a member."""
        return self.filter(
            used_at__isnull=True, withdrawn_at__isnull=True, lapses_at__gt=at, made_by__left_on__isnull=True
        )


class SecretAddress(models.Model):
    """A single-use address of 32 random bytes, stored hashed."""

    secret_hash = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    lapses_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    objects: Any = SecretQuerySet.as_manager()

    class Meta:
        abstract = True

    def use(self, *, at: datetime) -> bool:
        """Mark it used; False if somebody was quicker."""
        unused = type(self)._default_manager.filter(pk=self.pk, used_at__isnull=True, withdrawn_at__isnull=True)
        return bool(unused.update(used_at=at))


def new_secret() -> str:
    return secrets.token_urlsafe(32)


class Invitation(SecretAddress):
    """For somebody who is to join: whoever opens it chooses a sign-in name and a password."""

    full_name = models.CharField(max_length=80)
    email = models.EmailField(blank=True)
    joined = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"Invitation for {self.full_name}"


class OneTimeSlip(SecretAddress):
    """Printed by the administrator for a member without e-mail who forgot the password."""

    member = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="slips")

    def __str__(self) -> str:
        return f"Slip for {self.member}"


class SignInAttemptQuerySet(models.QuerySet["SignInAttempt"]):
    def lately(self, *, name: str, address: str, at: datetime) -> Self:
        """Failures of this name from this address; nobody elsewhere can lock a member out."""
        return self.filter(name=name, address=address, at__gt=at - FAILURES_WITHIN)

    def minutes_to_wait(self, *, name: str, address: str, at: datetime) -> int:
        """0 while another try is allowed; else whole minutes until one is."""
        moments = list(self.lately(name=name, address=address, at=at).order_by("-at").values_list("at", flat=True))
        if len(moments) < FAILURES_ALLOWED:
            return 0
        return math.ceil((moments[FAILURES_ALLOWED - 1] + FAILURES_WITHIN - at) / timedelta(minutes=1))


class SignInAttempt(models.Model):
    """One try with a wrong password; the sign-in that succeeds clears them."""

    name = models.CharField(max_length=40)
    address = models.CharField(max_length=64)
    at = models.DateTimeField(default=timezone.now)

    objects = SignInAttemptQuerySet.as_manager()

    class Meta:
        indexes = [models.Index(fields=["name", "address", "at"])]

    def __str__(self) -> str:
        return f"{self.name} from {self.address}"
