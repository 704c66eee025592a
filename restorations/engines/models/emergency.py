"""Emergency cards in the words of the club's inspector, and whom to ring; every wording is kept."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from restorations.knowledge.emergencies import CARDS

LONGEST_PART = 2000


def card_kinds() -> dict[str, str]:
    return CARDS


class EmergencyCard(models.Model):
    """One wording of one card, a line for each step; the newest counts, and until there is one the default."""

    kind = models.CharField(max_length=20, choices=card_kinds)
    steps = models.TextField("what to do, a line each", max_length=LONGEST_PART)
    never = models.TextField("what never to do, a line each", max_length=LONGEST_PART, blank=True)
    call = models.TextField("whom to tell, a line each", max_length=LONGEST_PART, blank=True)
    worded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    worded_on = models.DateField()
    worded_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["kind", "-pk"]

    def __str__(self) -> str:
        return CARDS.get(self.kind, self.kind)


class EmergencyNumber(models.Model):
    """The local emergency number and what to say where you are; the newest row counts."""

    number = models.CharField("emergency number", max_length=40)
    where = models.CharField("what to say where you are", max_length=300, blank=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    made_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.number
