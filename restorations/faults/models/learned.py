"""What closed sheets teach: each sheet's evidence kept, the rates made of it, and how each sheet's ranking did."""

from typing import Self

from django.db import models
from django.db.models import Q
from django.utils import timezone

from restorations.engines.models import Design
from restorations.faults.models.conclusion import Conclusion
from restorations.faults.models.sheet import FaultSheet

FOR_WHOM = {"club": "the club", "sisters": "the sisters of one design"}


def for_whom() -> dict[str, str]:
    return FOR_WHOM


class StoredEvidence(models.Model):
    """What one closed sheet says of every rate, kept so that the others need not be worked out again.

    `rests_on` tells one state of the sheet and of the rates it was worked out with from another.
    """

    sheet = models.ForeignKey(FaultSheet, models.PROTECT, related_name="evidence")
    of = models.CharField(max_length=7, choices=for_whom)
    rests_on = models.CharField(max_length=64)
    at_start = models.JSONField(default=dict)
    complaint_alone = models.JSONField(default=dict)
    left_out = models.TextField("why it cannot be used", blank=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["sheet", "of"], name="evidence_once_for_each_use")]

    def __str__(self) -> str:
        return self.left_out or f"what sheet {self.sheet_id} says"


class LearnedRatesQuerySet(models.QuerySet["LearnedRates"]):
    def holding_for(self, design_id: int | None) -> Self:
        """The club's, and those of the design where its engines have taught something."""
        return self.filter(Q(design__isnull=True) | Q(design=design_id)).exclude(checksum="")


class LearnedRates(models.Model):
    """Base rates after the closed sheets: of the club, or of the engines of one design.

    `learned` has, by cause and history class, the numbers of calc's LearnedRate and the rate as shipped ("file"); a
    cause that no closed sheet speaks of is not in it. An empty checksum: nothing learned.
    """

    of = models.CharField("club, or the number of the design", max_length=20, unique=True)
    design = models.ForeignKey(Design, models.PROTECT, null=True, blank=True, related_name="+")
    computed_at = models.DateTimeField(default=timezone.now)
    from_checksum = models.CharField("the knowledge it started from", max_length=64)
    checksum = models.CharField(max_length=64, blank=True)
    learned = models.JSONField(default=dict)
    sheets = models.PositiveIntegerField(default=0)

    objects = LearnedRatesQuerySet.as_manager()

    def __str__(self) -> str:
        return f"learned for {self.design or 'the club'}"


class SheetScore(models.Model):
    """How the rankings of one closed sheet did, read from its stored snapshots when it was closed."""

    conclusion = models.OneToOneField(Conclusion, models.PROTECT, related_name="score")
    system = models.CharField(max_length=20, blank=True)
    ranks = models.JSONField("rank of the confirmed cause at opening and after so many checks", default=dict)
    checks = models.PositiveIntegerField(default=0)
    predictions = models.JSONField("what was predicted for each examination, and what came", default=list)
    minutes_spent = models.FloatField(default=0.0)
    minutes_even = models.FloatField("even chance, as told at opening", null=True)
    minutes_likely = models.FloatField("8 in 10, as told at opening", null=True)

    def __str__(self) -> str:
        return f"how the ranking of sheet {self.conclusion.sheet_id} did"
