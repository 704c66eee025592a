"""Wording an emergency card, and setting the number to ring; old wordings stay."""

from collections.abc import Mapping
from dataclasses import dataclass
from uuid import UUID

from django.utils import timezone

from restorations.engines.emergency_texts import TEXTS
from restorations.engines.models import EmergencyCard, EmergencyNumber
from restorations.knowledge.emergencies import CARDS
from restorations.members.doing import Doing
from restorations.members.models.records import record, submit_once


@dataclass(frozen=True, slots=True)
class Card:
    """A card as it is shown: in the inspector's words, or the default with where it is from."""

    kind: str
    title: str
    steps: tuple[str, ...]
    never: tuple[str, ...]
    call: tuple[str, ...]
    source: str = ""
    wording: EmergencyCard | None = None


def cards() -> list[Card]:
    """Every card, in the order of the knowledge; one query."""
    rows = EmergencyCard.objects.select_related("worded_by").order_by("pk")
    worded = {row.kind: _worded(row) for row in rows}
    return [worded.get(kind) or default_card(kind) for kind in CARDS]


def card(kind: str) -> Card:
    """One card as it stands; `kind` is one of CARDS."""
    row = EmergencyCard.objects.select_related("worded_by").filter(kind=kind).order_by("-pk").first()
    return _worded(row) if row else default_card(kind)


def default_card(kind: str) -> Card:
    text = TEXTS[kind]
    return Card(kind, CARDS[kind], text.steps, text.never, text.call, text.source)


def _worded(row: EmergencyCard) -> Card:
    steps, never, call = (tuple(_lines(text)) for text in (row.steps, row.never, row.call))
    return Card(row.kind, CARDS[row.kind], steps, never, call, wording=row)


def _lines(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def word_card(*, kind: str, words: Mapping[str, str], doing: Doing, mark: UUID) -> EmergencyCard:
    """A new wording by the inspector: `steps`, `never` and `call`, a line each. The older ones are kept."""

    def make() -> EmergencyCard:
        row = EmergencyCard.objects.create(
            kind=kind, worded_by=doing.member, worded_at=doing.at, worded_on=timezone.localdate(doing.at), **words
        )
        record(doing.member, "worded an emergency card", row, after={"card": CARDS[kind], **words})
        return row

    return submit_once(doing.member, mark, make)[0]


def number_to_ring() -> EmergencyNumber | None:
    return EmergencyNumber.objects.first()


def set_number(*, number: str, where: str, doing: Doing, mark: UUID) -> EmergencyNumber:
    """The local emergency number; what was set before stays in the record."""

    def make() -> EmergencyNumber:
        row = EmergencyNumber.objects.create(number=number, where=where, made_by=doing.member, made_at=doing.at)
        record(doing.member, "set the emergency number", row, after={"number": number, "where": where})
        return row

    return submit_once(doing.member, mark, make)[0]
