"""Marks on a photo: numbered balloons with a leader line and words; places are fractions of the picture."""

from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from restorations.members.models import AcceptedEntry, Versioned
from restorations.members.models.entries import AcceptedQuerySet
from restorations.photos.models.photo import Photo

PLACES = ("x", "y", "end_x", "end_y")


class PhotoMark(Versioned, AcceptedEntry):
    """The balloon stands at (x, y), its leader ends at (end_x, end_y); 0, 0 is the upper left corner."""

    photo = models.ForeignKey(Photo, models.PROTECT, related_name="marks")
    number = models.PositiveSmallIntegerField(editable=False)
    x = models.FloatField()
    y = models.FloatField()
    end_x = models.FloatField()
    end_y = models.FloatField()
    words = models.CharField(max_length=200)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[Any] = AcceptedQuerySet.as_manager()

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["photo", "number"], name="a_number_once_on_a_photo"),
            *(
                models.CheckConstraint(condition=Q(**{f"{place}__range": (0, 1)}), name=f"mark_{place}_within_photo")
                for place in PLACES
            ),
        ]

    def __str__(self) -> str:
        return f"{self.number}: {self.words}"

    # In per cent, as pages and forms say it.
    @property
    def across(self) -> float:
        return round(100 * self.end_x, 1)

    @property
    def down(self) -> float:
        return round(100 * self.end_y, 1)

    @property
    def balloon_across(self) -> float:
        return round(100 * self.x, 1)

    @property
    def balloon_down(self) -> float:
        return round(100 * self.y, 1)
