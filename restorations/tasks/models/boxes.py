"""Boxes: where what comes off an engine lies; each with a number to read across the shop and a code to scan."""

import secrets
from typing import Self

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Exists, OuterRef
from django.urls import reverse
from django.utils import timezone

from restorations.members.models import Versioned

# Neither vowels nor letters and figures that are taken for each other in pencil: 0 O, 1 I L, 2 Z, 5 S, 8 B, U V.
ALPHABET = "34679CDFGHJKMNPQRTVWXY"
CODE_LENGTH = 4
MOST_PLACES = 24
HIGHEST_NUMBER = 99_999


def new_code() -> str:
    """With a letter in it, so that no code is taken for a number."""
    code = ""
    while not code or code.isdigit():
        code = "".join(secrets.choice(ALPHABET) for _ in range(CODE_LENGTH))
    return code


class BoxQuerySet(models.QuerySet["Box"]):
    def empty(self) -> Self:
        """Nothing that is off lies in it, on whatever engine."""
        from restorations.tasks.models.parts import StrippedPart

        return self.filter(~Exists(StrippedPart.objects.off().filter(in_box=OuterRef("pk"))))


class Box(Versioned):
    """A box or tray with numbered places."""

    code = models.CharField(max_length=CODE_LENGTH, unique=True, editable=False)
    number = models.PositiveIntegerField(
        unique=True, validators=[MinValueValidator(1), MaxValueValidator(HIGHEST_NUMBER)]
    )
    label = models.CharField("what is written on it", max_length=60, blank=True)
    where = models.CharField("where it stands", max_length=80, blank=True)
    places = models.PositiveSmallIntegerField(
        "numbered places in it",
        default=6,
        validators=[MinValueValidator(1), MaxValueValidator(MOST_PLACES)],
        help_text=f"1 to {MOST_PLACES}: compartments, or corners of a tray.",
    )
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects = BoxQuerySet.as_manager()

    class Meta:
        ordering = ["number"]
        verbose_name_plural = "boxes"

    def __str__(self) -> str:
        return f"box {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("tasks:box", args=[self.code])
