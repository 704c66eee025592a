"""What the club knows of a design, for every sister engine: traps, and how it goes together rightly."""

from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models.engine import Design
from restorations.members.models import Struck
from restorations.members.models.entries import StruckQuerySet

NOTE_KINDS = {"trap": "Trap", "right_assembly": "Right assembly"}


def note_kinds() -> dict[str, str]:
    return NOTE_KINDS


class DesignNote(Struck):
    """Append-only: a note that is wrong is struck out with a reason, and another written."""

    design = models.ForeignKey(Design, models.PROTECT, related_name="design_notes")
    kind = models.CharField(max_length=14, choices=note_kinds)
    text = models.TextField(max_length=2000)
    written_at = models.DateTimeField(default=timezone.now, editable=False)
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[Any] = StruckQuerySet.as_manager()

    class Meta:
        ordering = ["-kind", "written_at", "pk"]

    def __str__(self) -> str:
        return self.text[:60]

    def get_absolute_url(self) -> str:
        return reverse("engines:design_notes", args=[self.design_id])
