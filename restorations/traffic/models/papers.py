"""What belongs to a paper and is not of the engine's app: pictures of it, and who was reminded of its lapse."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from restorations.engines.models import Certificate
from restorations.photos.models import Photo


class CertificateScan(models.Model):
    """A picture of the signed paper."""

    certificate = models.ForeignKey(Certificate, models.PROTECT, related_name="scans")
    photo = models.OneToOneField(Photo, models.PROTECT, related_name="scan_of")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"Picture of {self.certificate}"


class PaperReminder(models.Model):
    """Somebody was told that a paper lapses within so many days."""

    certificate = models.ForeignKey(Certificate, models.PROTECT, related_name="reminders")
    days = models.PositiveSmallIntegerField()
    member = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["certificate", "days", "member"], name="reminded_of_a_paper_once")
        ]

    def __str__(self) -> str:
        return f"{self.member}: {self.certificate}, {self.days} days"
