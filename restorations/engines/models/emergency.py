"""Emergency cards in the words of the club's inspector, every wording kept."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from restorations.knowledge.emergencies import CARDS

LONGEST_CARD = 3000


def card_kinds() -> dict[str, str]:
    return CARDS


class EmergencyCard(models.Model):
    """One wording of one card; the newest counts. Until there is one, the careful default stands."""

    kind = models.CharField(max_length=20, choices=card_kinds)
    words = models.TextField(max_length=LONGEST_CARD)
    worded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    worded_on = models.DateField()
    worded_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["kind", "-pk"]

    def __str__(self) -> str:
        return CARDS.get(self.kind, self.kind)


class EmergencyNumber(models.Model):
    """Whom to ring here: the local number, where the club is; the newest row counts."""

    number = models.CharField("emergency number", max_length=40)
    where = models.CharField("what to say where you are", max_length=300)
    inspector = models.CharField("how to reach the inspector", max_length=120, blank=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    made_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.number
