"""A change of the knowledge that a mentor proposes, and the club's entries that follow from an accepted one."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone

from restorations.knowledge.overlay import EntryText
from restorations.members.models import Member, Versioned

ACTS = {
    "change": "a change",
    "new": "a new entry",
    "withdraw": "a withdrawal",
    "take_back": "the club's own taken back",
}
STATES = {
    "draft": "draft",
    "waits": "waits for another mentor",
    "accepted": "accepted",
    "declined": "declined",
    "let_go": "let go",
    "overtaken": "overtaken",
}
ANSWERED = ("accepted", "declined")
LONGEST_REASON = 2000


def acts() -> dict[str, str]:
    return ACTS


def states() -> dict[str, str]:
    return STATES


class KnowledgeChangeQuerySet(models.QuerySet["KnowledgeChange"]):
    def readable_by(self, member: Member) -> Self:
        """Everything that was sent, by every member; a draft by whoever writes it."""
        return self.filter(~Q(state="draft") | Q(proposed_by=member))

    def waiting(self) -> Self:
        return self.filter(state="waits")

    def drafts_of(self, member: Member) -> Self:
        return self.filter(state="draft", proposed_by=member)


class KnowledgeChange(Versioned):
    """About one entry; others come along where the whole would not hold together without them.

    `entries` holds for each kind, system, id, text, and what it was begun over: the text `before`, and as checksum
    `base`, with that of the shipped entry.
    """

    act = models.CharField(max_length=9, choices=acts)
    kind = models.CharField(max_length=10)
    entry = models.CharField(max_length=60)
    title = models.CharField(max_length=200)
    reason = models.TextField(max_length=LONGEST_REASON, blank=True)
    entries = models.JSONField(default=list)
    problems = models.JSONField("what the loader said of it", default=list)
    effects = models.JSONField("what it would do to open sheets", default=dict)
    state = models.CharField(max_length=9, choices=states, default="draft")
    begun_at = models.DateTimeField(default=timezone.now)
    proposed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    sent_at = models.DateTimeField(null=True, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    answer = models.TextField(max_length=LONGEST_REASON, blank=True)

    objects = KnowledgeChangeQuerySet.as_manager()

    class Meta:
        ordering = ["-begun_at", "-pk"]
        indexes = [models.Index(fields=["kind", "entry"])]
        constraints = [
            models.CheckConstraint(
                condition=Q(state__in=ANSWERED, answered_by__isnull=False)
                | (~Q(state__in=ANSWERED) & Q(answered_by__isnull=True)),
                name="knowledge_answer_has_a_name",
            ),
            models.CheckConstraint(
                condition=Q(answered_by__isnull=True) | ~Q(answered_by=F("proposed_by")),
                name="never_ones_own_knowledge",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        return reverse("faults:change", args=[self.pk])

    @property
    def texts(self) -> list[EntryText]:
        return [EntryText(row["kind"], row["system"], row["id"], row["text"]) for row in self.entries]

    @property
    def is_open(self) -> bool:
        return self.state in {"draft", "waits"}

    @property
    def act_words(self) -> str:
        return ACTS[self.act]


class ClubEntry(models.Model):
    """One entry as the club has it, from an accepted change. Append-only: a later one replaces an earlier one.

    No text: the shipped entry holds again, or none where the club had added it. `chain` is the checksum of this and
    all earlier rows, by which one state of the club's knowledge is told from another.
    """

    number = models.PositiveIntegerField(unique=True)
    change = models.ForeignKey(KnowledgeChange, models.PROTECT, related_name="accepted")
    kind = models.CharField(max_length=10)
    system = models.CharField(max_length=40)
    entry = models.CharField(max_length=60)
    text = models.TextField(blank=True)
    shipped_checksum = models.CharField("of the shipped entry it lies over", max_length=64, blank=True)
    proposed_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    accepted_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    reason = models.TextField(max_length=LONGEST_REASON)
    at = models.DateTimeField(default=timezone.now)
    chain = models.CharField(max_length=64)

    class Meta:
        ordering = ["number"]
        indexes = [models.Index(fields=["kind", "entry"])]
        constraints = [
            models.CheckConstraint(condition=~Q(proposed_by=F("accepted_by")), name="two_people_for_knowledge"),
        ]

    def __str__(self) -> str:
        return f"{self.number}: {self.kind} {self.entry}"

    @property
    def as_text(self) -> EntryText:
        return EntryText(self.kind, self.system, self.entry, self.text)

    @property
    def key(self) -> tuple[str, str]:
        return self.kind, self.entry
