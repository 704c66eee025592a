"""Back into traffic: a mentor's word that an engine is fit, and the secretary's record of its return."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from restorations.engines.models import Engine, Stoppage

LONGEST_WORDS = 2000


class FitForTraffic(models.Model):
    """Signed for the conditions as they stood; it holds as long as nothing of them changes."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="fit_signatures")
    words = models.TextField("what was looked at and tried", max_length=LONGEST_WORDS)
    checksum = models.CharField("of the conditions", max_length=64, editable=False)
    signed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    signed_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["-signed_at", "-pk"]

    def __str__(self) -> str:
        return f"{self.engine} fit for traffic, {self.signed_by}"


class ReturnToTraffic(models.Model):
    """Recorded by the secretary: the stops it ended, and the signature it rests on."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="returns")
    fit = models.OneToOneField(FitForTraffic, models.PROTECT, related_name="returned")
    on = models.DateField("first day back in traffic")
    words = models.TextField(max_length=LONGEST_WORDS, blank=True)
    ended = models.ManyToManyField(Stoppage, related_name="returns")
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    recorded_at = models.DateTimeField(default=timezone.now, editable=False)

    class Meta:
        ordering = ["-on", "-pk"]

    def __str__(self) -> str:
        return f"{self.engine} back in traffic on {self.on}"
