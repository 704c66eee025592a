"""A ranking as it was made: pages read it and never infer."""

from django.db import models
from django.utils import timezone

from restorations.faults.models.sheet import FaultSheet


class ExpandedModel(models.Model):
    """The knowledge expanded for one engine, stored once per checksum so that old rankings stay scorable.

    What differs from another in base rates and probabilities only, as after every closed sheet, is kept as those alone:
    the rest is that of its `base`.
    """

    checksum = models.CharField(max_length=64, unique=True)
    structure = models.CharField("checksum of all but the rates", max_length=64, blank=True, db_index=True)
    base = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="+")
    mapping = models.JSONField()
    made_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return self.checksum[:12]


class Snapshot(models.Model):
    """Causes with their log-odds, why the leading ones lead, advice, remaining work, and what it all rests on.

    `remaining_minutes` are attended minutes on samples, ascending, without the price of handing over; the last of
    them, `handed_over_share` of all, are those that the plan does not finish.
    """

    sheet = models.ForeignKey(FaultSheet, models.PROTECT, related_name="snapshots")
    made_at = models.DateTimeField(default=timezone.now)
    model = models.ForeignKey(ExpandedModel, models.PROTECT, related_name="+")
    knowledge_checksum = models.CharField(max_length=64)
    configuration_number = models.PositiveIntegerField()
    facts_checksum = models.CharField(max_length=64)
    log_odds = models.JSONField(default=dict)
    log_evidence = models.FloatField(null=True)
    weights = models.JSONField(default=dict)
    events = models.JSONField("steps behind the weights, in order", default=list)
    advice = models.JSONField(default=list)
    remaining_minutes = models.JSONField(default=list)
    handed_over_share = models.FloatField(null=True)
    notes = models.JSONField(default=list)
    problem = models.TextField(blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"Ranking of {self.made_at:%d %b %Y %H.%M}"

    def minutes_within(self, share: float) -> float | None:
        """Work left, at most this much with that chance; None where the plan would hand over before."""
        if not self.remaining_minutes or self.handed_over_share is None or share >= 1 - self.handed_over_share:
            return None
        return float(self.remaining_minutes[int(len(self.remaining_minutes) * share)])
