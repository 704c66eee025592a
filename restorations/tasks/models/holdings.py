"""Who holds which engine, key, box or paper, and since when: handed over from one to the next."""

from datetime import date
from typing import ClassVar, Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.models import Member, Struck
from restorations.members.models.entries import StruckQuerySet
from restorations.tasks.models.boxes import Box

HELD = {
    "engine": "the engine itself",
    "key": "a key",
    "papers": "papers of the engine",
    "box": "a box of parts",
    "other": "something else",
}


def held() -> dict[str, str]:
    return HELD


class HoldingQuerySet(StruckQuerySet):
    def visible_to(self, member: Member, *, on: date) -> Self:
        """What belongs to no engine, or to one that exists for this member."""
        seen = Engine.objects.visible_to(member, on=on)
        return self.not_struck().filter(Q(engine__isnull=True) | Q(engine__in=seen))

    def current(self) -> Self:
        return self.not_struck().filter(until__isnull=True)


class Holding(Struck):
    """A spell in which one person holds one thing: half open, from `since` to the day it was handed on."""

    kind = models.CharField("what is held", max_length=8, choices=held)
    engine = models.ForeignKey(Engine, models.PROTECT, null=True, blank=True, related_name="holdings")
    box = models.ForeignKey(Box, models.PROTECT, null=True, blank=True, related_name="holdings")
    what = models.CharField("in words", max_length=80, blank=True)
    holder = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="holds")
    holder_name = models.CharField("holder who is no member", max_length=80, blank=True)
    where = models.CharField("where it is kept", max_length=120, blank=True)
    note = models.CharField("faults open, what went with it", max_length=400, blank=True)
    since = models.DateField()
    until = models.DateField(null=True, blank=True)
    handed_by = models.CharField("handed over by", max_length=80, blank=True)
    recorded_at = models.DateTimeField(default=timezone.now, editable=False)
    recorded_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)

    objects: ClassVar[HoldingQuerySet] = HoldingQuerySet.as_manager()  # type: ignore[assignment]

    class Meta:
        ordering = ["-since", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(holder__isnull=False, holder_name="") | (Q(holder__isnull=True) & ~Q(holder_name="")),
                name="held_by_one",
            ),
            models.CheckConstraint(
                condition=Q(kind="engine", engine__isnull=False, box__isnull=True)
                | Q(kind="box", box__isnull=False)
                | (Q(kind__in=("key", "papers", "other"), box__isnull=True) & ~Q(what="")),
                name="what_is_held_is_named",
            ),
            models.CheckConstraint(condition=Q(until__isnull=True) | Q(until__gte=F("since")), name="held_forwards"),
            models.UniqueConstraint(
                fields=["engine"], condition=Q(kind="engine", until__isnull=True, struck_at__isnull=True),
                name="an_engine_has_one_holder",
            ),
            models.UniqueConstraint(
                fields=["box"], condition=Q(kind="box", until__isnull=True, struck_at__isnull=True),
                name="a_box_has_one_holder",
            ),
        ]  # fmt: skip
        indexes = [models.Index(fields=["until", "kind"])]

    def __str__(self) -> str:
        if self.kind == "engine":
            return str(self.engine)
        if self.kind == "box":
            return str(self.box)
        return f"{self.what}, {self.engine}" if self.engine_id else self.what

    @property
    def holder_in_words(self) -> str:
        return self.holder_name or str(self.holder)
