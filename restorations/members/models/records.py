"""Records of what happened: acts (who changed what), submissions (each form once), mail waiting to go."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar
from uuid import UUID

from django.apps import apps
from django.conf import settings
from django.core.serializers.json import DjangoJSONEncoder
from django.db import IntegrityError, models, transaction
from django.utils import timezone

from restorations.members.models.member import Member

Row = TypeVar("Row", bound=models.Model)


class NamesARow(models.Model):
    """Names a row of any app by kind and number, so that nothing below points up."""

    row_kind = models.CharField(max_length=60, blank=True)
    row_id = models.BigIntegerField(null=True, blank=True)
    address = models.CharField(max_length=200, blank=True)

    class Meta:
        abstract = True

    def name_row(self, row: models.Model, address: str = "") -> None:
        self.row_kind, self.row_id = row._meta.label_lower, row.pk
        self.address = address or _address_of(row)


def _address_of(row: models.Model) -> str:
    find = getattr(row, "get_absolute_url", None)
    return str(find()) if find else ""


@dataclass(frozen=True, slots=True)
class FieldChange:
    field: str
    before: str
    after: str


class ActQuerySet(models.QuerySet["Act"]):
    def about(self, row: models.Model) -> "ActQuerySet":
        return self.filter(row_kind=row._meta.label_lower, row_id=row.pk)


class Act(NamesARow):
    """Append-only: who did what to which row, and what the changed fields were before and after."""

    at = models.DateTimeField(default=timezone.now)
    member = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="acts")
    verb = models.CharField(max_length=60)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)

    objects = ActQuerySet.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["row_kind", "row_id"]), models.Index(fields=["member", "at"])]

    def __str__(self) -> str:
        return f"{self.member}: {self.verb}"

    @property
    def changes(self) -> list["FieldChange"]:
        """The fields that changed, in words, for the page of the row."""
        names = [*self.after, *(name for name in self.before if name not in self.after)]
        return [
            FieldChange(name.replace("_", " "), _said(self.before, name), _said(self.after, name)) for name in names
        ]


def record(
    member: Member | None, verb: str, row: models.Model, *, before: dict[str, Any] | None = None,
    after: dict[str, Any] | None = None,
) -> Act:  # fmt: skip
    """Write the act down inside the service's own transaction."""
    act = Act(member=member, verb=verb, before=_plain(before or {}), after=_plain(after or {}))
    act.name_row(row)
    act.save()
    return act


def _said(fields: dict[str, Any], name: str) -> str:
    value = fields.get(name)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "nothing" if value in (None, "") else str(value)


def _plain(fields: dict[str, Any]) -> Any:
    named = {name: str(value) if isinstance(value, models.Model) else value for name, value in fields.items()}
    return json.loads(json.dumps(named, cls=_Plain))


class _Plain(DjangoJSONEncoder):
    """Moments and numbers as data; anything else as it reads, since an act must never stop what it records."""

    def default(self, o: Any) -> Any:
        try:
            return super().default(o)
        except TypeError:
            return str(o)


class Submission(NamesARow):
    """A form that was sent: a repeat gets the row that the first one made."""

    member = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    mark = models.UUIDField()
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["member", "mark"], name="each_form_once")]
        indexes = [models.Index(fields=["row_kind", "row_id"])]

    def __str__(self) -> str:
        return f"{self.member}: {self.mark}"

    @property
    def row(self) -> Any:
        return apps.get_model(self.row_kind)._default_manager.get(pk=self.row_id)


def submit_once(member: Member, mark: UUID, make: Callable[[], Row]) -> tuple[Row, bool]:
    """Run `make` in a transaction the first time this form arrives; returns (row, whether it was made now)."""
    with transaction.atomic():
        try:
            with transaction.atomic():
                submission = Submission.objects.create(member=member, mark=mark)
        except IntegrityError:
            return Submission.objects.get(member=member, mark=mark).row, False
        row = make()
        submission.name_row(row)
        submission.save()
        return row, True


class Message(models.Model):
    """Mail waiting to go; `manage.py send_messages` sends it and tries again."""

    to = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="messages")
    to_address = models.EmailField(blank=True)
    subject = models.CharField(max_length=150)
    body = models.TextField()
    made_at = models.DateTimeField(default=timezone.now)
    sent_at = models.DateTimeField(null=True, blank=True)
    tries = models.PositiveSmallIntegerField(default=0)
    last_error = models.CharField(max_length=200, blank=True)

    class Meta:
        indexes = [models.Index(fields=["sent_at"])]

    def __str__(self) -> str:
        return self.subject
