"""An entry on a fault sheet, append-only: what was seen, looked at, tried, or could not be done."""

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q

from restorations.engines.models import Stoppage
from restorations.faults.models.go_ahead import GoAhead
from restorations.faults.models.sheet import FaultSheet
from restorations.faults.models.snapshot import Snapshot
from restorations.faults.models.standing import StandingGoAhead
from restorations.members.models import AcceptedEntry, Happened
from restorations.members.models.entries import AcceptedQuerySet
from restorations.photos.models import Photo

KINDS = {
    "observation": "seen",
    "inspection": "looked at directly",
    "remedy": "put right",
    "could_not_do": "could not be done",
    "not_sure": "not sure",
    "begun": "begun, waiting",
    "note": "note",
    "configuration": "configuration corrected",
}
EVIDENCE = ("observation", "inspection", "remedy")


def kinds() -> dict[str, str]:
    return KINDS


class StepQuerySet(AcceptedQuerySet):
    def in_order(self) -> "StepQuerySet":
        return self.order_by("happened_at", "number")

    def unlooked(self) -> "StepQuerySet":
        """Done without a go-ahead, and no mentor has looked at it yet."""
        return self.not_struck().filter(without_go_ahead=True, looked_at__isnull=True)


class Step(Happened, AcceptedEntry):
    """`words` is the sentence as it was written then, so that it stays readable whatever becomes of the knowledge."""

    sheet = models.ForeignKey(FaultSheet, models.PROTECT, related_name="steps")
    number = models.PositiveIntegerField()
    kind = models.CharField(max_length=14, choices=kinds)
    action = models.CharField("check or remedy", max_length=120, blank=True)
    finding = models.CharField(max_length=120, blank=True)
    level = models.PositiveSmallIntegerField(null=True, blank=True)
    cause = models.CharField(max_length=120, blank=True)
    present = models.BooleanField(null=True, blank=True)
    sensitivity = models.FloatField(null=True, blank=True)
    false_alarm = models.FloatField(null=True, blank=True)
    causes = models.JSONField("causes a remedy is meant to cure", default=list, blank=True)
    success = models.FloatField(null=True, blank=True)
    reported = models.BooleanField(default=False, help_text="Part of the complaint: to be looked at again and gone.")
    state = models.JSONField(default=dict)
    words = models.CharField(max_length=400)
    note = models.TextField(blank=True, max_length=4000)
    turn_degrees = models.CharField(
        "where in the turn, in degrees",
        max_length=60,
        blank=True,
        validators=[RegexValidator(r"^[\d .,]*\Z", "Degrees with commas between them: 5, 185.")],
    )
    go_ahead = models.ForeignKey(GoAhead, models.PROTECT, null=True, blank=True, related_name="steps")
    without_go_ahead = models.BooleanField(default=False)
    standing_go_ahead = models.ForeignKey(
        StandingGoAhead, models.PROTECT, null=True, blank=True, related_name="steps", verbose_name="done under"
    )
    is_of_boiler = models.BooleanField(default=False)
    looked_at = models.DateTimeField("when a mentor has looked at it", null=True, blank=True)
    looked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    done_although = models.CharField("gates that stood open", max_length=400, blank=True)
    stoppage = models.ForeignKey(
        Stoppage, models.PROTECT, null=True, blank=True, related_name="steps", help_text="The stop this danger made."
    )
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    photos = models.ManyToManyField(Photo, blank=True, related_name="steps")
    before = models.ForeignKey(Snapshot, models.PROTECT, null=True, blank=True, related_name="+")
    after = models.ForeignKey(Snapshot, models.PROTECT, null=True, blank=True, related_name="+")

    objects = StepQuerySet.as_manager()  # type: ignore[misc]

    class Meta(Happened.Meta):
        ordering = ["happened_at", "number"]
        constraints = [
            *Happened.Meta.constraints,
            models.UniqueConstraint(fields=["sheet", "number"], name="one_step_per_number"),
            models.CheckConstraint(
                condition=~Q(kind="observation") | (~Q(finding="") & Q(level__isnull=False)),
                name="observation_is_whole",
            ),
            models.CheckConstraint(
                condition=~Q(kind="inspection") | (~Q(cause="") & Q(present__isnull=False)), name="inspection_is_whole"
            ),
            models.CheckConstraint(
                condition=Q(looked_at__isnull=True, looked_by__isnull=True)
                | (
                    Q(looked_at__isnull=False, looked_by__isnull=False)
                    & ~Q(looked_by=F("recorded_by"))
                    & (Q(done_by__isnull=True) | ~Q(looked_by=F("done_by")))
                ),
                name="looked_at_by_another",
            ),
        ]

    def __str__(self) -> str:
        return self.words

    def clean(self) -> None:
        if self.kind == "remedy" and not self.causes:
            raise ValidationError("A remedy names what it is meant to cure.")

    @property
    def is_evidence(self) -> bool:
        return self.kind in EVIDENCE
