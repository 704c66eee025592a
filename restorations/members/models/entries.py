"""What every row that people write has in common: version, striking out, when it happened and who did it."""

from typing import Any, ClassVar, Self

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import models
from django.utils import timezone

PRECISIONS = {
    "minute": "to the minute",
    "day": "that day",
    "month": "that month",
    "year": "that year",
    "about": "about then",
}


def precisions() -> dict[str, str]:
    return PRECISIONS


class Changed(Exception):
    """Somebody else saved the row meanwhile; `theirs` is the row as it stands now."""

    def __init__(self, theirs: models.Model) -> None:
        super().__init__("Somebody else changed this while you were writing.")
        self.theirs = theirs


class Versioned(models.Model):
    """A row two people may edit: a save names the version it started from."""

    version = models.PositiveIntegerField(default=1)

    class Meta:
        abstract = True

    def save_from(self, version: int, **fields: Any) -> None:
        """Write `fields` if nobody saved since `version`; raises Changed otherwise. Call inside a transaction."""
        rows = type(self)._default_manager.filter(pk=self.pk, version=version)
        if not rows.update(version=version + 1, **fields):
            raise Changed(type(self)._default_manager.get(pk=self.pk))
        self.refresh_from_db()


class StruckQuerySet(models.QuerySet[Any]):
    def not_struck(self) -> Self:
        return self.filter(struck_at__isnull=True)


class Struck(models.Model):
    """Nothing logged is deleted: it is struck out, once, with a reason."""

    struck_at = models.DateTimeField(null=True, blank=True, editable=False)
    struck_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    struck_reason = models.CharField(max_length=200, blank=True, editable=False)

    objects: ClassVar[Any] = StruckQuerySet.as_manager()

    class Meta:
        abstract = True

    @property
    def is_struck(self) -> bool:
        return self.struck_at is not None

    def strike_out(self, *, member: Any, reason: str, at: Any = None) -> None:
        """Set once; a second striking out is refused."""
        at = at or timezone.now()
        rows = type(self)._default_manager.filter(pk=self.pk, struck_at__isnull=True)
        if not rows.update(struck_at=at, struck_by=member, struck_reason=reason):
            raise ValidationError("This is struck out already.")
        self.refresh_from_db()


class AcceptedQuerySet(StruckQuerySet):
    def standing(self) -> Self:
        """Accepted and not struck out: only these count as evidence, as parts off and in reports."""
        return self.not_struck().filter(accepted_at__isnull=False)

    def waiting(self) -> Self:
        """A helper's entries that one of the hands has yet to accept."""
        return self.not_struck().filter(accepted_at__isnull=True)


class AcceptedEntry(Struck):
    """An entry that stands at once when one of the hands makes it, and when they accept it if a helper does."""

    accepted_at = models.DateTimeField(null=True, blank=True, editable=False)
    accepted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )

    objects: ClassVar[Any] = AcceptedQuerySet.as_manager()

    class Meta:
        abstract = True

    @property
    def stands(self) -> bool:
        return self.accepted_at is not None and self.struck_at is None


class Happened(models.Model):
    """When it happened (as exactly as is known), when it was written down, and who did it: a member, or a name."""

    happened_at = models.DateTimeField()
    happened_precision = models.CharField(max_length=6, choices=precisions, default="minute")
    recorded_at = models.DateTimeField(default=timezone.now, editable=False)
    done_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    done_by_name = models.CharField(max_length=80, blank=True)

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=models.Q(done_by__isnull=False, done_by_name="")
                | (models.Q(done_by__isnull=True) & ~models.Q(done_by_name="")),
                name="%(app_label)s_%(class)s_done_by_one",
            ),
        ]

    @property
    def doer(self) -> str:
        return self.done_by_name or str(self.done_by)
