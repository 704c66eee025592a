"""What is known of its past: answers per system, and work done before it came."""

from typing import Any, ClassVar

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils import timezone

from restorations.engines.models.engine import Engine
from restorations.knowledge.history import HistoryAnswers
from restorations.members.models import Happened, Struck
from restorations.members.models.entries import StruckQuerySet

YES_NO = {"not_known": "not known", "yes": "yes", "no": "no"}
STORED = {"dry": "dry", "damp": "damp", "oiled": "oiled", "drained": "drained"}
GENERAL = "general"
SYSTEMS = {
    GENERAL: "The whole engine",
    "motion": "Wheels, rods and motion",
    "cylinders": "Cylinders and pistons",
    "valve_gear": "Valves and valve gear",
    "lubrication": "Lubrication",
    "steam_path": "Regulator, steam pipes and exhaust",
    "boiler": "Boiler",
    "feed": "Water and feed",
    "firing": "Fire and fuel",
    "fittings": "Gauges, valves and fittings",
    "track": "Wheels on the track, brakes, springs",
}
_RAN = {"yes": "has run", "no": "has never run"}
_RAN_WELL = {"yes": "ran well when it was put away", "no": "did not run well when it was put away"}
_REBUILT = {"yes": "taken apart or rebuilt since", "no": "not taken apart since"}
_TRIED = {"yes": "has run since that rebuild", "no": "has not run since that rebuild"}


def yes_no() -> dict[str, str]:
    return YES_NO


def systems() -> dict[str, str]:
    return SYSTEMS


def _answer(question: str) -> "models.CharField[Any, Any]":
    return models.CharField(question, max_length=10, choices=yes_no, default="not_known")


class SystemHistoryQuerySet(models.QuerySet["SystemHistory"]):
    def latest_per_system(self) -> dict[str, "SystemHistory"]:
        """By system, the row that counts; a system that follows the whole engine again is left out."""
        latest = {row.system: row for row in self.order_by("made_at", "pk")}
        return {system: latest[system] for system in SYSTEMS if system in latest and not latest[system].follows_general}


class SystemHistory(models.Model):
    """The history answers for the whole engine, or for one system where it differs. The latest row counts."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="histories")
    system = models.CharField(max_length=20, choices=systems, default=GENERAL)
    follows_general = models.BooleanField("same as the whole engine", default=False, editable=False)
    ever_ran = _answer("Has it ever run?")
    ran_well_when_put_away = _answer("Did it run well when it was put away?")
    rebuilt_since = _answer("Has it been taken apart or rebuilt since?")
    first_run_done = _answer("Has it run since that rebuild?")
    stored = models.JSONField("How was it stored?", default=list, blank=True)
    years = models.FloatField(
        "Years out of use", null=True, blank=True, validators=[MinValueValidator(0), MaxValueValidator(150)]
    )
    why_stopped = models.CharField("Why was it stopped?", max_length=200, blank=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects = SystemHistoryQuerySet.as_manager()

    class Meta:
        ordering = ["system", "-made_at", "-pk"]
        indexes = [models.Index(fields=["engine", "system", "made_at"])]
        constraints = [
            models.CheckConstraint(
                condition=~models.Q(system=GENERAL, follows_general=True), name="the_whole_engine_follows_nothing"
            )
        ]

    def __str__(self) -> str:
        return f"{self.engine}: {SYSTEMS[self.system]}"

    def answers(self) -> HistoryAnswers:
        """The answers as the knowledge takes them."""
        return HistoryAnswers(
            ever_ran=self.ever_ran,
            ran_well_when_put_away=self.ran_well_when_put_away,
            rebuilt_since=self.rebuilt_since,
            first_run_done=self.first_run_done,
            stored=frozenset(self.stored),
            years=self.years,
            why_stopped=self.why_stopped,
        )

    def in_words(self) -> list[str]:
        """What was answered, as half sentences."""
        said = [
            _RAN.get(self.ever_ran),
            _RAN_WELL.get(self.ran_well_when_put_away),
            f"stopped because: {self.why_stopped}" if self.why_stopped else None,
            f"{self.years:g} year{'' if self.years == 1 else 's'} out of use" if self.years is not None else None,
            f"stored {', '.join(self.stored)}" if self.stored else None,
            _REBUILT.get(self.rebuilt_since),
            _TRIED.get(self.first_run_done),
        ]
        return [words for words in said if words]


class PastWork(Happened, Struck):
    """What was done before it came, by whoever it was."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="past_work")
    text = models.TextField("what was done", max_length=2000)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[Any] = StruckQuerySet.as_manager()

    class Meta(Happened.Meta):
        ordering = ["happened_at", "pk"]

    def __str__(self) -> str:
        return self.text[:60]
