"""One investigation of what is wrong with an engine."""

from datetime import date
from typing import TYPE_CHECKING, Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models import Engine, EngineConfiguration
from restorations.members.models import Member, Versioned

if TYPE_CHECKING:
    from restorations.faults.models.snapshot import Snapshot

LONGEST_COMPLAINT = 12000


class SheetClosed(Exception):
    """Something was to be written on a sheet that is closed; `sheet` is the sheet as it stands."""

    def __init__(self, sheet: "FaultSheet") -> None:
        on = timezone.localdate(sheet.closed_at)
        super().__init__(
            f"This sheet was closed on {on:%-d %B %Y}. Nothing was written on it. A mentor can open it again; what "
            "came up since belongs on a new sheet."
        )
        self.sheet = sheet


class FaultSheetQuerySet(models.QuerySet["FaultSheet"]):
    def contents_visible_to(self, member: Member, *, on: date) -> Self:
        """Sheets are contents: whoever sees only state and papers of an engine does not see them."""
        return self.filter(engine__in=Engine.objects.contents_visible_to(member, on=on))

    def still_open(self) -> Self:
        return self.filter(closed_at__isnull=True)

    def closed(self) -> Self:
        return self.filter(closed_at__isnull=False)

    def waiting_for_sign_off(self) -> Self:
        in_force = {"conclusions__reopened_at__isnull": True, "conclusions__struck_at__isnull": True}
        return self.filter(conclusions__closed_at__isnull=False, conclusions__signed_at__isnull=True, **in_force)


class FaultSheet(Versioned):
    """Complaint, history answers and the state the engine stands in; what was done are its steps."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="fault_sheets")
    complaint = models.TextField("what is wrong", max_length=LONGEST_COMPLAINT)
    history = models.JSONField(default=dict)
    state = models.JSONField(default=dict)
    configuration = models.ForeignKey(EngineConfiguration, models.PROTECT, related_name="+")
    opened_at = models.DateTimeField(default=timezone.now)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)

    objects = FaultSheetQuerySet.as_manager()

    class Meta:
        ordering = ["-opened_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(closed_at__isnull=True) | Q(closed_at__gte=models.F("opened_at")),
                name="sheet_closed_after_opened",
            )
        ]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("faults:sheet", args=[self.pk])

    def require_open(self) -> None:
        """Raises SheetClosed: a closed sheet is read, not written on."""
        if self.closed_at is not None:
            raise SheetClosed(self)

    @property
    def title(self) -> str:
        """The first line of the complaint, short enough for a heading."""
        first = self.complaint.strip().splitlines()[0] if self.complaint.strip() else "What is wrong"
        return first if len(first) <= 90 else first[:88].rsplit(" ", 1)[0] + " …"

    @property
    def latest_snapshot(self) -> "Snapshot | None":
        """With the model it rests on, but not the long text of it: who reads that goes by its checksum."""
        return self.snapshots.select_related("model").defer("model__mapping").order_by("-pk").first()
