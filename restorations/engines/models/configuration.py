"""What an engine is made of, in append-only versions; every field may be "not known"."""

from functools import partial
from typing import Any

from django.conf import settings
from django.db import models
from django.utils import timezone

from restorations.engines.models.engine import Engine
from restorations.knowledge.configuration import CHOICES, LABELS, NOT_KNOWN, Configuration

# Measures: the column as typed, and the one beside it in a fixed unit.
MEASURES = {
    "gauge_typed": "gauge_mm",
    "bore_typed": "bore_mm",
    "stroke_typed": "stroke_mm",
    "wheel_diameter_typed": "wheel_diameter_mm",
    "working_pressure_typed": "working_pressure_kpa",
}
QUESTIONS = {
    **LABELS,
    "gauge_typed": "Track gauge",
    "bore_typed": "Cylinder bore",
    "stroke_typed": "Stroke",
    "wheel_diameter_typed": "Driving wheel diameter",
    "working_pressure_typed": "Working pressure",
}


def choices_of(field: str) -> list[tuple[str, str]]:
    return list(CHOICES[field].items())


def _answer(field: str) -> "models.CharField[Any, Any]":
    """One question of the knowledge, in its words; a new answer there makes no migration here."""
    return models.CharField(max_length=30, default=NOT_KNOWN, choices=partial(choices_of, field))


def _typed() -> "models.CharField[Any, Any]":
    return models.CharField(max_length=40, blank=True)


def _measure() -> "models.FloatField[Any, Any]":
    return models.FloatField(null=True, blank=True)


class EngineConfiguration(models.Model):
    """One version. A correction makes the next; open fault sheets move to it when they are next ranked."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="configurations")
    number = models.PositiveIntegerField()
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    reason = models.CharField(max_length=200, blank=True)

    kind = _answer("kind")
    cylinder_layout = _answer("cylinder_layout")
    cylinder_mounting = _answer("cylinder_mounting")
    valve = _answer("valve")
    valve_gear = _answer("valve_gear")
    reverser = _answer("reverser")
    cylinder_material = _answer("cylinder_material")
    piston_sealing = _answer("piston_sealing")
    piston_rod_material = _answer("piston_rod_material")
    lubricator = _answer("lubricator")
    drain_cocks = _answer("drain_cocks")
    snifting_valve = _answer("snifting_valve")
    superheater = _answer("superheater")
    truck = _answer("truck")
    brake = _answer("brake")
    feed_pump = _answer("feed_pump")
    hand_pump = _answer("hand_pump")
    injector = _answer("injector")
    boiler = _answer("boiler")
    fuel = _answer("fuel")
    coupled_axles = models.PositiveSmallIntegerField(null=True, blank=True)
    driving_axle = models.PositiveSmallIntegerField(null=True, blank=True)

    gauge_typed, gauge_mm = _typed(), _measure()
    bore_typed, bore_mm = _typed(), _measure()
    stroke_typed, stroke_mm = _typed(), _measure()
    wheel_diameter_typed, wheel_diameter_mm = _typed(), _measure()
    working_pressure_typed, working_pressure_kpa = _typed(), _measure()

    class Meta:
        ordering = ["-number"]
        constraints = [models.UniqueConstraint(fields=["engine", "number"], name="one_configuration_per_number")]

    def __str__(self) -> str:
        return f"{self.engine}, configuration {self.number}"

    def as_configuration(self) -> Configuration:
        """The part of it that the knowledge asks for."""
        return Configuration(**{field: getattr(self, field) for field in LABELS})

    def answers(self) -> dict[str, Any]:
        """All that this version says: the knowledge's answers, and each measure as typed and in its unit."""
        return {column: getattr(self, column) for column in (*QUESTIONS, *MEASURES.values())}

    def in_words(self, name: str) -> str:
        """The answer as members say it; nothing where it is not known."""
        value = getattr(self, name)
        if value in (NOT_KNOWN, None, ""):
            return ""
        say = getattr(self, f"get_{name}_display", None)
        return str(say() if say else value)

    def changes_from(self, older: "EngineConfiguration") -> list[tuple[str, str, str]]:
        """Question, answer before and answer now, where they differ."""
        pairs = ((name, older.in_words(name), self.in_words(name)) for name in QUESTIONS)
        return [
            (QUESTIONS[name], before or "not known", now or "not known") for name, before, now in pairs if before != now
        ]

    @property
    def version(self) -> int:
        """What a form names that was opened on it."""
        return self.number
