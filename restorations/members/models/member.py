"""A person who signs in; offices add up."""

import unicodedata
from typing import Any, ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.core.validators import RegexValidator
from django.db import models
from django.utils import timezone

from restorations.members.models.entries import Versioned

OFFICES = ("mentor", "secretary", "inspector", "administrator")


def plain_name(typed: str | None) -> str:
    """A sign-in name as it is kept: capitals and look-alike spellings make no difference."""
    return unicodedata.normalize("NFKC", typed or "").strip().casefold()


class MemberQuerySet(models.QuerySet["Member"]):
    def current(self) -> "MemberQuerySet":
        """Everybody who has not left."""
        return self.filter(left_on__isnull=True)

    def mentors(self) -> "MemberQuerySet":
        return self.current().filter(is_mentor=True)


class MemberManager(BaseUserManager.from_queryset(MemberQuerySet)):  # type: ignore[misc]
    def get_by_natural_key(self, username: str | None) -> "Member":
        member: Member = self.get(sign_in_name=plain_name(username))
        return member

    def create_member(self, *, sign_in_name: str, full_name: str, password: str | None, **fields: Any) -> "Member":
        member: Member = self.model(sign_in_name=plain_name(sign_in_name), full_name=full_name, **fields)
        member.set_password(password)
        member.save()
        return member


class Member(AbstractBaseUser, Versioned):
    """Every signed-in member who has not left may do what any member may; an office only adds."""

    sign_in_name = models.CharField(
        max_length=40,
        unique=True,
        validators=[RegexValidator(r"^[\w.\-]+\Z", "Letters, digits, full stop, hyphen and underline only.")],
    )
    full_name = models.CharField(max_length=80)
    email = models.EmailField(blank=True)
    is_mentor = models.BooleanField(default=False)
    is_secretary = models.BooleanField(default=False)
    is_inspector = models.BooleanField(default=False)
    is_administrator = models.BooleanField(default=False)
    joined_on = models.DateField(default=timezone.localdate)
    left_on = models.DateField(null=True, blank=True)

    objects: ClassVar[MemberManager] = MemberManager()

    USERNAME_FIELD = "sign_in_name"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["full_name"]

    class Meta:
        ordering = ["full_name", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(left_on__isnull=True) | models.Q(left_on__gte=models.F("joined_on")),
                name="member_left_after_joining",
            ),
        ]

    def __str__(self) -> str:
        return self.full_name

    @property
    def is_active(self) -> bool:  # type: ignore[override]
        """Django asks this at every request: whoever has left is signed out."""
        return self.left_on is None

    @property
    def initials(self) -> str:
        return "".join(word[0].upper() for word in self.full_name.split())[:3]

    @property
    def offices(self) -> tuple[str, ...]:
        return tuple(office for office in OFFICES if getattr(self, f"is_{office}"))
