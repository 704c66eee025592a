"""The club: one installation is one club."""

import zoneinfo

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from restorations.members.models.entries import Versioned


def lawful_zone(name: str) -> None:
    try:
        zoneinfo.ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        raise ValidationError("No time zone of that name is known; for example Europe/London.") from None


class Club(Versioned):
    name = models.CharField(max_length=80, default="Our club")
    time_zone = models.CharField(max_length=40, default="Europe/London", validators=[lawful_zone])
    altitude_m = models.IntegerField(
        default=50, validators=[MinValueValidator(-400), MaxValueValidator(5000)], help_text="Metres above the sea."
    )
    minutes_per_day_waited = models.PositiveIntegerField(
        default=10,
        validators=[MaxValueValidator(600)],
        help_text="What a day of waiting is worth, in minutes at the bench, when the next check is chosen.",
    )
    function_test_minutes = models.PositiveIntegerField(
        default=15, validators=[MaxValueValidator(600)], help_text="Minutes to try the whole engine after a repair."
    )

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_club_in_one_installation")]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def current(cls) -> "Club":
        """The one row; its defaults while nobody has saved it. Reading it never writes."""
        return cls.objects.filter(pk=1).first() or cls(pk=1)
