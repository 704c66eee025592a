"""Engine, the design it shares with its sisters, and the people who stand close to it."""

from datetime import date
from typing import TYPE_CHECKING, Self

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.urls import reverse
from django.utils import timezone

from restorations.engines.models.spells import Spell
from restorations.members.models import Member, Versioned

if TYPE_CHECKING:
    from restorations.engines.models.configuration import EngineConfiguration


CLUB, OUTSIDER = "club", "outsider"


class Design(models.Model):
    """The drawing or commercial pattern that sister engines share."""

    name = models.CharField(max_length=80, unique=True)
    notes = models.TextField(blank=True, max_length=4000)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("home:design", args=[self.pk])


class EngineQuerySet(models.QuerySet["Engine"]):
    def visible_to(self, member: Member, *, on: date) -> Self:
        """The engines that exist for this member: all but other people's private ones."""
        if member.is_secretary:
            return self.all()
        return self.contents_visible_to(member, on=on)

    def contents_visible_to(self, member: Member, *, on: date) -> Self:
        """Those whose sheets and day book may be read; a secretary sees only state and papers of private ones."""
        near = Q(owner_member=member) | _near(Hand, member, on) | _near(Guest, member, on)
        return self.filter(Q(is_private=False) | near)

    def with_hands(self, member: Member, *, on: date) -> Self:
        """Those this member works on."""
        return self.filter(_near(Hand, member, on))

    def still_here(self) -> Self:
        """Those that have not been sold or gone back: what lists, forecasts and benches are about."""
        return self.filter(gone_on__isnull=True)

    def matching(self, words: str) -> Self:
        """Those whose name, number, builder or design holds each of the words."""
        rows = self
        for word in words.split():
            rows = rows.filter(
                Q(name__icontains=word)
                | Q(number__icontains=word)
                | Q(builder__icontains=word)
                | Q(design__name__icontains=word)
            )
        return rows


def _near(spell: type[Spell], member: Member, on: date) -> Q:
    return Q(Exists(spell.objects.current(on).filter(engine=OuterRef("pk"), member=member)))


class Engine(Versioned):
    """One machine. Its owner is a member, the club, or a name with an address: exactly one of them."""

    name = models.CharField(max_length=80)
    design = models.ForeignKey(Design, models.PROTECT, null=True, blank=True, related_name="engines")
    number = models.CharField("number or mark on the engine", max_length=40, blank=True)
    builder = models.CharField(max_length=80, blank=True)
    built = models.CharField(
        "when built", max_length=40, blank=True, help_text="As well as it is known: 1986, about 1950."
    )
    about = models.TextField("what is known of it", blank=True, max_length=4000)
    is_private = models.BooleanField(
        "private", default=False, help_text="Only its owner, its hands and people they invite see it."
    )
    owner_member = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="engines_owned"
    )
    owner_is_club = models.BooleanField(default=False)
    owner_name = models.CharField(max_length=80, blank=True)
    owner_address = models.CharField(max_length=200, blank=True)
    made_at = models.DateTimeField(default=timezone.now, editable=False)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", editable=False)
    gone_on = models.DateField("left the club on", null=True, blank=True)
    gone_words = models.CharField("how it left", max_length=200, blank=True)

    objects = EngineQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(owner_member__isnull=False, owner_is_club=False, owner_name="")
                | Q(owner_member__isnull=True, owner_is_club=True, owner_name="")
                | (Q(owner_member__isnull=True, owner_is_club=False) & ~Q(owner_name="")),
                name="engine_has_one_owner",
            ),
            models.CheckConstraint(condition=Q(gone_on__isnull=True) | ~Q(gone_words=""), name="gone_engine_says_how"),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("home:engine", args=[self.pk])

    @property
    def owner(self) -> str:
        if self.owner_member_id:
            return str(self.owner_member)
        return "the club" if self.owner_is_club else self.owner_name

    @property
    def gone_in_words(self) -> str:
        """What is answered to whoever would act on an engine that has left."""
        if self.gone_on is None:
            return ""
        return (
            f"{self.name} left the club on {self.gone_on.day} {self.gone_on:%b %Y}: {self.gone_words}. "
            "All of it stays readable; nothing more is recorded on it."
        )

    @property
    def owner_choice(self) -> str:
        """The kind of owner as a form offers it: a member's number, the club, or an outsider."""
        return str(self.owner_member_id or (CLUB if self.owner_is_club else OUTSIDER))

    @property
    def configuration(self) -> "EngineConfiguration":
        """The version in force; every engine has one from its first day."""
        latest = self.configurations.order_by("-number").first()
        if latest is None:
            raise LookupError(f"{self} has no configuration")
        return latest


class Hand(Spell):
    """Somebody who works on an engine."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="hands")
    member = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="hands_on")

    class Meta(Spell.Meta):
        constraints = [
            *Spell.Meta.constraints,
            models.UniqueConstraint(
                fields=["engine", "member"], condition=Q(until__isnull=True), name="on_an_engine_once_at_a_time"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.member} on {self.engine}"


class Guest(Spell):
    """Somebody invited to a private engine, or an inspector asked for a test."""

    engine = models.ForeignKey(Engine, models.PROTECT, related_name="guests")
    member = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="guest_of")
    why = models.CharField(max_length=120)
    invited_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.member}, guest of {self.engine}"
