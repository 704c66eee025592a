"""The day book: an entry with its readings and photos is one act; it is accepted and struck out whole."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.photos.models import Photo
from restorations.photos.services import accept_photo, attach
from restorations.tasks.measuring import TypedReading
from restorations.tasks.models import DayBookEntry, JobCard
from restorations.tasks.services.entries import accept, strike
from restorations.tasks.services.readings import Measuring, add_reading


@dataclass(frozen=True, slots=True)
class EntryDraft:
    """What goes into one entry. `happened` is None for now; `by_name` where the doer is no member.

    `photos` are rows that photos.services.take_in made ready.
    """

    text: str
    minutes: int | None = None
    happened: tuple[datetime, str] | None = None
    by_name: str = ""
    helpers: Sequence[Member] = ()
    helper_names: Sequence[str] = ()
    system: str = ""
    side: str = ""
    card: JobCard | None = None
    readings: Sequence[TypedReading] = ()
    photos: Sequence[Photo] = ()

    def columns(self) -> dict[str, Any]:
        return {
            "text": self.text,
            "minutes": self.minutes,
            "helper_names": ", ".join(self.helper_names),
            "people": 1 + len(self.helpers) + len(self.helper_names),
            "system": self.system or (self.card.system if self.card else ""),
            "side": self.side or (self.card.side if self.card else ""),
            "card": self.card,
        }


def write_entry(*, engine: Engine, draft: EntryDraft, doing: Doing, mark: UUID) -> DayBookEntry:
    """Write it down once; the same form sent again gets the entry that the first one made."""

    def make() -> DayBookEntry:
        measuring = Measuring(draft.happened or (doing.at, "minute"), draft.by_name)
        entry: DayBookEntry = DayBookEntry.objects.create(
            engine=engine,
            recorded_at=doing.at,
            **measuring.columns(doing.member),
            **draft.columns(),
            **doing.acceptance,
        )
        entry.helpers.set(draft.helpers)
        for typed in draft.readings:
            add_reading(engine=engine, typed=typed, measuring=measuring, doing=doing, entry=entry)
        attach(draft.photos, entry.photos, doing)
        record(doing.member, "wrote in the day book", entry, after={"what": draft.text, "minutes": draft.minutes})
        return entry

    return submit_once(doing.member, mark, make)[0]


def accept_entry(*, entry: DayBookEntry, member: Member, at: datetime) -> None:
    """One of the hands takes a helper's entry, with its readings and photos, for true; twice is the same as once."""
    with transaction.atomic():
        for row in (entry, *entry.readings.waiting()):
            accept(row, member=member, at=at)
        for photo in entry.photos.all():
            accept_photo(photo=photo, member=member, at=at)


def strike_entry(*, entry: DayBookEntry, member: Member, reason: str, at: datetime) -> None:
    """Strike it out with what was measured; raises ValidationError where it is struck out already."""
    with transaction.atomic():
        strike(entry, member=member, reason=reason, at=at)
        for reading in entry.readings.not_struck():
            strike(reading, member=member, reason=reason, at=at)
