"""Clip: a sound or video of an engine, kept as it came to be downloaded."""

from datetime import date
from typing import Any, ClassVar, Self

from django.conf import settings
from django.db import models
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import AcceptedEntry, Member
from restorations.members.models.entries import AcceptedQuerySet
from restorations.photos.clip_check import CONTENT_TYPES


class ClipQuerySet(AcceptedQuerySet):
    def visible_to(self, member: Member, *, on: date) -> Self:
        return self.filter(engine__in=Engine.objects.contents_visible_to(member, on=on))


class Clip(AcceptedEntry):
    """`file` is named by the hash of its bytes; its kind was told from them."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="clips")
    file = models.CharField(max_length=80, editable=False)
    kind = models.CharField(max_length=8, editable=False)
    size_bytes = models.PositiveIntegerField(editable=False)
    caption = models.CharField(max_length=200)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[Any] = ClipQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [models.Index(fields=["engine", "made_at"])]

    def __str__(self) -> str:
        return self.caption

    def get_absolute_url(self) -> str:
        return reverse("photos:clips", args=[self.engine_id])

    @property
    def content_type(self) -> str:
        return CONTENT_TYPES[self.kind]

    @property
    def in_words(self) -> str:
        """Video or sound, its kind, and how much there is to download."""
        return f"{self.content_type.partition('/')[0].replace('audio', 'sound')}, {self.kind.upper()}, {self.megabytes}"

    @property
    def megabytes(self) -> str:
        return f"{max(self.size_bytes / 1e6, 0.1):.1f}\u00a0MB"
