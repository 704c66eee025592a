"""The wanted list: what is needed for an engine, how far it has come, what it cost and who paid."""

from datetime import date
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import Member, Versioned
from restorations.tasks.models.jobs import JobCard
from restorations.tasks.money import DEAREST_PENCE, Pence

WANTED_STATES = {
    "wanted": "wanted",
    "asked": "asked for",
    "ordered": "ordered",
    "promised": "promised",
    "came": "came",
    "given_up": "not wanted any more",
}
WANTED_SHAPES = {
    "wanted": "rest", "asked": "ask", "ordered": "work", "promised": "wait", "came": "good", "given_up": "unknown",
}  # fmt: skip


def wanted_states() -> dict[str, str]:
    return WANTED_STATES


class WantedQuerySet(models.QuerySet["Wanted"]):
    def contents_visible_to(self, member: Member, *, on: date) -> Self:
        return self.filter(engine__in=Engine.objects.contents_visible_to(member, on=on))

    def still_wanted(self) -> Self:
        return self.exclude(state__in=("came", "given_up"))

    def to_repay(self) -> Self:
        """A member paid and has not had it back."""
        return self.filter(paid_by__isnull=False, price_pence__gt=0, repaid_on__isnull=True)


class Wanted(Versioned):
    """One thing wanted for an engine."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="wanted")
    card = models.ForeignKey(JobCard, models.PROTECT, null=True, blank=True, related_name="wanted")
    what = models.CharField(max_length=120)
    size = models.CharField(max_length=80, blank=True)
    state = models.CharField(max_length=10, choices=wanted_states, default="wanted")
    from_whom = models.CharField(max_length=80, blank=True)
    promised_by = models.DateField(null=True, blank=True)
    price_pence = models.PositiveIntegerField(null=True, blank=True)
    paid_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="paid_for"
    )
    repaid_on = models.DateField(null=True, blank=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects = WantedQuerySet.as_manager()

    class Meta:
        verbose_name = "wanted thing"
        ordering = ["-made_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state="promised") | Q(promised_by__isnull=False), name="a_promise_has_a_day"
            ),
            models.CheckConstraint(
                condition=Q(repaid_on__isnull=True) | Q(paid_by__isnull=False, price_pence__isnull=False),
                name="only_what_a_member_paid_is_repaid",
            ),
            models.CheckConstraint(
                condition=Q(price_pence__isnull=True) | Q(price_pence__lte=DEAREST_PENCE), name="a_price_within_reason"
            ),
        ]
        indexes = [models.Index(fields=["engine", "state"]), models.Index(fields=["state"])]

    def __str__(self) -> str:
        return self.what

    @property
    def shape(self) -> str:
        return WANTED_SHAPES[self.state]

    @property
    def price(self) -> Pence | None:
        return None if self.price_pence is None else Pence(self.price_pence)
