"""How each kind of row reads as one line of a list: when, what in words, by whom, and where it leads."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.urls import reverse

from restorations.engines.models import Certificate, Engine, PastWork, Stoppage
from restorations.faults.models import Conclusion, FaultSheet, Step
from restorations.home.naming import part_words, soak_words
from restorations.photos.models import Photo
from restorations.tasks.models import (
    Connection,
    DayBookEntry,
    FreeingAttempt,
    JobCard,
    Reading,
    Soak,
    StrippedPart,
    Tag,
)


@dataclass(frozen=True, slots=True)
class Line:
    """One line: when and how exactly that is known, what in words, by whom, and the row it leads to."""

    at: datetime
    what: str
    words: str
    by: str
    engine: Engine
    href: str
    precision: str = "minute"
    where: str = ""
    waits: bool = False

    @property
    def initials(self) -> str:
        """Of whoever did it, a member or a name."""
        return "".join(word[0].upper() for word in self.by.split())[:3]


def entry(row: DayBookEntry) -> Line:
    words = f"{row.text} ({row.minutes} min)" if row.minutes else row.text
    return Line(
        row.happened_at, "Day book", words, row.doer, row.engine, row.get_absolute_url(), row.happened_precision,
        row.where, waits=not row.stands,
    )  # fmt: skip


def reading(row: Reading) -> Line:
    words = f"{row.title}: {row.typed}"
    return Line(
        row.happened_at, "Reading", words, row.doer, row.engine, row.get_absolute_url(), row.happened_precision,
        waits=not row.stands,
    )  # fmt: skip


def card(row: JobCard) -> Line:
    return Line(
        row.made_at, "Card written", row.title, str(row.made_by), row.engine, row.get_absolute_url(), where=row.where
    )


def card_ended(row: JobCard) -> Line:
    what = f"Card {row.get_state_display()}"
    return Line(_moment(row.ended_at), what, row.title, "", row.engine, row.get_absolute_url(), where=row.where)


def step(row: Step) -> Line:
    sheet = row.sheet
    return Line(
        row.happened_at, "Fault sheet", row.words, row.doer, sheet.engine, sheet.get_absolute_url(),
        row.happened_precision, waits=not row.stands,
    )  # fmt: skip


def sheet(row: FaultSheet) -> Line:
    return Line(row.opened_at, "Fault sheet opened", row.title, str(row.opened_by), row.engine, row.get_absolute_url())


def conclusion(row: Conclusion) -> Line:
    return Line(
        row.closed_at or row.concluded_at, "Fault sheet closed", f"{row.sheet}: {row}", str(row.closed_by),
        row.sheet.engine, row.get_absolute_url(),
    )  # fmt: skip


def opened_again(row: Conclusion) -> Line:
    return Line(
        row.reopened_at or row.concluded_at, "Fault sheet opened again", f"{row.sheet}: {row.reopened_reason}",
        str(row.reopened_by), row.sheet.engine, row.get_absolute_url(),
    )  # fmt: skip


def part_off(row: StrippedPart) -> Line:
    return Line(
        row.off_at, "Came off", _with_box(row), str(row.off_by), row.engine, row.get_absolute_url(),
        waits=not row.stands,
    )  # fmt: skip


def _with_box(row: StrippedPart) -> str:
    words, where = part_words(row.component, row.place, row.name), row.lies_in
    return f"{words}; in {where}" if where else words


def part_back(row: StrippedPart) -> Line:
    what, words = row.get_ending_display().capitalize(), part_words(row.component, row.place, row.name)
    return Line(
        _moment(row.ended_at), what, words, str(row.ended_by), row.engine, row.get_absolute_url(),
        waits=row.ending_waits,
    )  # fmt: skip


def _connection_words(row: Connection) -> str:
    return f"{row.name or part_words(row.component, row.place)}: {row.end_a} {row.arrow} {row.end_b}"


def parted(row: Connection) -> Line:
    return Line(
        row.parted_at, "Parted", _connection_words(row), str(row.parted_by), row.engine, row.get_absolute_url(),
        waits=not row.stands,
    )  # fmt: skip


def joined(row: Connection) -> Line:
    return Line(
        _moment(row.joined_at), "Joined", _connection_words(row), str(row.joined_by), row.engine,
        row.get_absolute_url(), waits=row.joining_waits,
    )  # fmt: skip


def soak(row: Soak) -> Line:
    words = f"{soak_words(row.place)}: {row.fluid}"
    return Line(row.begun_at, "Soak begun", words, str(row.begun_by), row.engine, _soaks(row), waits=not row.stands)


def soak_ended(row: Soak) -> Line:
    words = f"{soak_words(row.place)}: {row.fluid}"
    return Line(_moment(row.ended_at), "Soak over", words, str(row.ended_by), row.engine, _soaks(row))


def attempt(row: FreeingAttempt) -> Line:
    words = f"{soak_words(row.place)}, {row}"
    return Line(
        row.tried_at,
        "Tried to free it",
        words,
        str(row.tried_by),
        row.engine,
        reverse("tasks:freeing", args=[row.engine_id]),
        waits=not row.stands,
    )


def _soaks(row: Any) -> str:
    return reverse("tasks:soaks", args=[row.engine_id])


def tag(row: Tag) -> Line:
    return Line(
        row.put_on_at, "Tag put on", f"{row}: {row.reason}", str(row.put_on_by), row.engine, _tags(row),
        waits=not row.stands,
    )  # fmt: skip


def tag_off(row: Tag) -> Line:
    words = f"{row}: {row.reason}"
    return Line(_moment(row.taken_off_at), "Tag taken off", words, str(row.taken_off_by), row.engine, _tags(row))


def _tags(row: Tag) -> str:
    return reverse("tasks:tags", args=[row.engine_id])


def stop(row: Stoppage) -> Line:
    words = f"{row}, since {row.began_on:%-d %b %Y}"
    by = row.seen_by or str(row.reported_by)
    return Line(row.reported_at, "Stopped", words, by, row.engine, row.get_absolute_url())


def stop_lifted(row: Stoppage) -> Line:
    what = "Stop lifted" if row.is_of_boiler else "Stop ended"
    words, by = f"{row.first_line}: {row.lifted_words}", str(row.lifted_by)
    return Line(_moment(row.lifted_at), what, words, by, row.engine, row.get_absolute_url())


def paper(row: Certificate) -> Line:
    words = f"{row.get_kind_display()}, passed {row.passed_on:%-d %b %Y}, good until {row.lapses_on:%-d %b %Y}"
    return Line(
        row.recorded_at, "Paper recorded", words, row.by_whom, row.engine,
        reverse("engines:papers", args=[row.engine_id]),
    )  # fmt: skip


def past(row: PastWork) -> Line:
    return Line(
        row.happened_at, "Before it came", row.text, row.doer, row.engine,
        reverse("engines:past_work", args=[row.engine_id]), row.happened_precision,
    )  # fmt: skip


def photo(row: Photo) -> Line:
    return Line(
        row.made_at, "Photo", row.title, str(row.made_by), row.engine, row.get_absolute_url(), waits=not row.stands
    )


def _moment(at: datetime | None) -> datetime:
    """A row is only asked for where it has one."""
    if at is None:
        raise ValueError("the row has not ended")
    return at
