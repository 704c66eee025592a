"""Standing go-aheads: one member, one engine, one kind of step, until a day."""

from datetime import datetime
from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.faults.standing_kinds import kind_in_words
from restorations.members.models import Struck
from restorations.members.models.entries import StruckQuerySet


class StandingGoAheadQuerySet(StruckQuerySet):
    def in_force(self, at: datetime) -> Self:
        """Given by then, not taken back, not past its end."""
        return self.not_struck().filter(given_at__lte=at, until__gt=at)


class StandingGoAhead(Struck):
    """Struck out means taken back, with the reason. Nobody gives one to themselves."""

    member = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="standing_go_aheads")
    engine = models.ForeignKey(Engine, models.PROTECT, related_name="standing_go_aheads")
    kind = models.CharField("kind of step", max_length=40)
    conditions = models.TextField(blank=True, max_length=2000)
    until = models.DateTimeField()
    given_at = models.DateTimeField(default=timezone.now)
    given_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    objects = StandingGoAheadQuerySet.as_manager()  # type: ignore[misc]

    class Meta:
        ordering = ["-given_at", "-pk"]
        constraints = [
            models.CheckConstraint(condition=~Q(member=F("given_by")), name="never_ones_own_standing_go_ahead"),
            models.CheckConstraint(condition=Q(until__gt=F("given_at")), name="standing_until_after_given"),
        ]

    def __str__(self) -> str:
        return f"{self.member}: {self.kind_words}"

    def get_absolute_url(self) -> str:
        return reverse("faults:standing", args=[self.engine_id])

    @property
    def kind_words(self) -> str:
        return kind_in_words(self.kind)
