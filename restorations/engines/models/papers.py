"""Papers: certificates that lapse, and the owner's consent to what cannot be undone."""

from datetime import date
from typing import Any, ClassVar, Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from restorations.engines.models.engine import Engine
from restorations.members.models import Struck
from restorations.members.models.entries import StruckQuerySet

CERTIFICATE_KINDS = {
    "hydraulic_test": "Hydraulic test of the boiler",
    "steam_test": "Steam test of the boiler",
    "gas_tank": "Gas tank test",
    "insurance": "Insurance",
    "loan": "Loan agreement",
    "other": "Other paper",
}
STEAM_NEEDS = frozenset({"hydraulic_test", "steam_test"})
BOILER_PAPERS = STEAM_NEEDS | {"gas_tank"}  # what holds pressure is the inspector's to pass
CONSENT_WAYS = {"in_person": "in person", "letter": "by letter", "e_mail": "by e-mail", "telephone": "by telephone"}


def certificate_kinds() -> dict[str, str]:
    return CERTIFICATE_KINDS


def consent_ways() -> dict[str, str]:
    return CONSENT_WAYS


class CertificateQuerySet(StruckQuerySet):
    def in_date(self, on: date) -> Self:
        return self.not_struck().filter(passed_on__lte=on, lapses_on__gte=on)

    def allow_steam(self, on: date) -> bool:
        """For the papers of one engine: whether hydraulic and steam test are both recorded and in date."""
        return bool(self.engines_in_steam(on))

    def engines_in_steam(self, on: date) -> frozenset[int]:
        """The engines of which both are; none recorded keeps the gate shut."""
        rows = set(self.in_date(on).filter(kind__in=STEAM_NEEDS).values_list("engine", "kind"))
        engines = {engine for engine, _ in rows}
        return frozenset(engine for engine in engines if all((engine, kind) in rows for kind in STEAM_NEEDS))


class Certificate(Struck):
    """Any paper that lapses."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="certificates")
    kind = models.CharField(max_length=20, choices=certificate_kinds)
    passed_on = models.DateField()
    lapses_on = models.DateField("good until")
    by_whom = models.CharField("inspector or office", max_length=80)
    number = models.CharField(max_length=40, blank=True)
    recorded_at = models.DateTimeField(default=timezone.now, editable=False)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[Any] = CertificateQuerySet.as_manager()

    class Meta:
        ordering = ["-lapses_on", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(lapses_on__gte=F("passed_on")), name="certificate_lapses_after_it_passed"
            )
        ]
        indexes = [models.Index(fields=["engine", "kind", "-lapses_on", "-id"])]  # the newest of each kind is asked for

    def __str__(self) -> str:
        return f"{CERTIFICATE_KINDS.get(self.kind, self.kind)}, {self.engine}"


class OwnerConsent(Struck):
    """The owner said yes to one thing that cannot be undone."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="consents")
    what = models.CharField(max_length=200)
    action = models.CharField("step of the knowledge it covers", max_length=120, blank=True)
    given_by = models.CharField(max_length=80)
    on = models.DateField()
    how = models.CharField(max_length=10, choices=consent_ways)
    recorded_at = models.DateTimeField(default=timezone.now, editable=False)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    class Meta:
        ordering = ["-on", "-pk"]

    def __str__(self) -> str:
        return self.what
