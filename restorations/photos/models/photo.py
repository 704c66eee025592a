"""Photo: what is kept of a picture that was taken in, what it shows, and which others it belongs with."""

from datetime import date, datetime
from functools import reduce
from operator import or_
from typing import Any, ClassVar, Self

from django.conf import settings
from django.db import models
from django.db.models import F, Max, Q
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models import Design, Engine
from restorations.members.models import AcceptedEntry, Member, Versioned
from restorations.members.models.entries import AcceptedQuerySet, precisions

# The eight of the take-in sheet, taken before anything is touched.
VIEWS = {
    "left": "left side, square on",
    "right": "right side, square on",
    "front": "front",
    "back": "back",
    "above": "from above",
    "underneath": "underneath",
    "cab": "cab or footplate",
    "number": "number or plate",
}


def views() -> dict[str, str]:
    return VIEWS


class PhotoQuerySet(AcceptedQuerySet):
    def visible_to(self, member: Member, *, on: date) -> Self:
        """Those of engines whose contents this member may read."""
        return self.filter(engine__in=Engine.objects.contents_visible_to(member, on=on))

    def stripping(self) -> Self:
        """Those that show how it came apart, in that order."""
        return self.not_struck().filter(strip_order__isnull=False).order_by("strip_order", "pk")

    def showing_assembly(self, design: Design) -> Self:
        """Right assembly, as shown for the sister engines of a design."""
        return self.standing().filter(design=design)

    def latest_per_view(self) -> dict[str, "Photo"]:
        """By standard view, in the order of the take-in sheet, the last one taken in; without one it is left out."""
        shown = self.not_struck().exclude(view="")
        moments = shown.order_by().values_list("view").annotate(at=Max("made_at"))
        newest = reduce(or_, (Q(view=view, made_at=at) for view, at in moments), Q(pk__in=[]))
        latest = {photo.view: photo for photo in shown.filter(newest).order_by("pk")}
        return {view: latest[view] for view in VIEWS if view in latest}


class Photo(Versioned, AcceptedEntry):
    """`large` and `thumbnail` name files by the hash of their bytes; a helper's photo waits to be accepted."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="photos")
    large = models.CharField(max_length=80, editable=False)
    thumbnail = models.CharField(max_length=80, editable=False)
    width = models.PositiveIntegerField(editable=False)
    height = models.PositiveIntegerField(editable=False)
    caption = models.CharField(max_length=200, blank=True)
    view = models.CharField("what it shows", max_length=12, choices=views, blank=True)
    design = models.ForeignKey(Design, models.PROTECT, null=True, blank=True, related_name="photos")
    taken_at = models.DateTimeField(null=True, blank=True)
    taken_precision = models.CharField(max_length=6, choices=precisions, default="minute")
    taken_by_name = models.CharField("taken by, if not a member", max_length=80, blank=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    before = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="after")
    strip_order = models.PositiveIntegerField("place in the order of stripping", null=True, blank=True)

    objects: ClassVar[Any] = PhotoQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(before__isnull=True) | ~Q(before=F("pk")), name="a_photo_is_not_its_own_before"
            )
        ]
        indexes = [models.Index(fields=["engine", "made_at"]), models.Index(fields=["engine", "strip_order"])]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("photos:photo", args=[self.pk])

    @property
    def title(self) -> str:
        """The caption, else what it shows, else its number."""
        return self.caption or (VIEWS.get(self.view, "").capitalize() or f"Photo {self.pk}")

    @property
    def when(self) -> datetime:
        """When it was taken as far as that is known, else when it came in."""
        return self.taken_at or self.made_at

    @property
    def when_precision(self) -> str:
        return self.taken_precision if self.taken_at else "minute"

    @property
    def taken_on(self) -> date | None:
        """The day it was taken, in the club's zone."""
        return timezone.localtime(self.taken_at).date() if self.taken_at else None

    @property
    def shows_assembly(self) -> bool:
        return self.design_id is not None
