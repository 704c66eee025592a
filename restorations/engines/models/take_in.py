"""The take-in sheet: how an engine came, as found, before anything is touched; signed by both it is frozen."""

from typing import Any, ClassVar

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from restorations.engines.models.engine import Engine
from restorations.members.models import Struck, Versioned
from restorations.members.models.entries import StruckQuerySet

LOOKED = {"not_looked": "not looked", "found": "found", "not_found": "not found"}
MARKS = {
    "chewed_slots": "chewed slots or rounded corners",
    "odd_screws": "odd screws",
    "sealant": "sealant where a gasket belongs",
    "file_marks": "file or centre-punch marks",
    "new_paint": "fresh paint over old joints",
}
HAZARDS = {
    "fuel": "Fuel left in it",
    "water_in_boiler": "Water left in the boiler",
    "water_in_tank": "Water left in the tank",
    "water_in_pumps": "Water left in the pumps",
    "asbestos": "Asbestos suspected",
    "lead": "Lead suspected, in paint or weights",
    "frost": "Signs of frost",
}
SIGNS = {"took_in": "Took it in", "brought": "Brought it"}


def looked() -> dict[str, str]:
    return LOOKED


def signs() -> dict[str, str]:
    return SIGNS


def _hazard(key: str) -> "models.CharField[Any, Any]":
    return models.CharField(HAZARDS[key], max_length=10, choices=looked, default="not_looked")


def _note() -> "models.CharField[Any, Any]":
    return models.CharField(max_length=200, blank=True)


def _words(title: str) -> "models.TextField[Any, Any]":
    return models.TextField(title, max_length=2000, blank=True)


class TakeIn(Versioned):
    """One sheet for each engine. A signature holds for the version that was signed."""

    engine = models.OneToOneField(Engine, models.PROTECT, related_name="take_in")
    begun_at = models.DateTimeField(default=timezone.now, editable=False)
    begun_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    brought_by = models.CharField("who brought it", max_length=80, blank=True)
    came_on = models.DateField("came on", null=True, blank=True)
    agreed_use = _words("what was agreed about its use")
    keys = models.CharField("keys, handles and tools that came with it", max_length=200, blank=True)
    stamped_number = models.CharField("number stamped on the boiler", max_length=40, blank=True)
    papers_number = models.CharField("boiler number in the papers", max_length=40, blank=True)
    weight_typed = models.CharField(max_length=40, blank=True)
    weight_kg = models.FloatField(null=True, blank=True)
    lifting = _words("where to lift it, and where not")

    fuel, fuel_note = _hazard("fuel"), _note()
    water_in_boiler, water_in_boiler_note = _hazard("water_in_boiler"), _note()
    water_in_tank, water_in_tank_note = _hazard("water_in_tank"), _note()
    water_in_pumps, water_in_pumps_note = _hazard("water_in_pumps"), _note()
    asbestos, asbestos_note = _hazard("asbestos"), _note()
    lead, lead_note = _hazard("lead"), _note()
    frost, frost_note = _hazard("frost"), _note()

    missing = _words("missing")
    broken = _words("broken")
    altered = _words("altered")
    loose_parts = _words("loose parts, and in which bag")
    marks = models.JSONField("marks that someone has been here", default=list, blank=True)
    marks_note = _words("where those marks are")

    frozen_at = models.DateTimeField(null=True, blank=True, editable=False)
    owner_then = models.CharField("owner when it was signed", max_length=300, blank=True, editable=False)

    def __str__(self) -> str:
        return f"Take-in sheet of {self.engine}"

    @property
    def is_frozen(self) -> bool:
        return self.frozen_at is not None

    @property
    def numbers_differ(self) -> bool:
        """The boiler is not the one its papers speak of, as far as both were read."""
        return bool(self.stamped_number and self.papers_number) and _plain(self.stamped_number) != _plain(
            self.papers_number
        )

    def holding_signatures(self) -> dict[str, "TakeInSignature"]:
        """By who signs: those given for the sheet as it stands."""
        rows = self.signatures.filter(of_version=self.version).select_related("member", "written_by")
        return {row.sign: row for row in rows}


def _plain(number: str) -> str:
    """A stamped number as it is compared: blanks, full stops, dashes and capitals make no difference."""
    return "".join(letter for letter in number.casefold() if letter.isalnum())


class TakeInSignature(models.Model):
    """Somebody stands by the sheet as it read then; `member` where they signed in to do so."""

    take_in = models.ForeignKey(TakeIn, models.PROTECT, related_name="signatures")
    sign = models.CharField(max_length=8, choices=signs)
    of_version = models.PositiveIntegerField()
    name = models.CharField(max_length=80)
    member = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    written_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    signed_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["signed_at", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["take_in", "sign", "of_version"], name="signed_once_by_each"),
            models.CheckConstraint(condition=~Q(name=""), name="a_signature_has_a_name"),
        ]

    def __str__(self) -> str:
        return self.name


class LaterFinding(Struck):
    """What was found after the sheet was signed: an addition with its date, never a change."""

    take_in = models.ForeignKey(TakeIn, models.PROTECT, related_name="later_findings")
    text = models.TextField("what was found", max_length=2000)
    found_on = models.DateField()
    noted_at = models.DateTimeField(default=timezone.now, editable=False)
    noted_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[Any] = StruckQuerySet.as_manager()

    class Meta:
        ordering = ["found_on", "pk"]

    def __str__(self) -> str:
        return self.text[:60]
