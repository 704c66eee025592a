"""The kinds of row a timeline is made of: where each comes from, what it is filtered by, how it reads."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet

from restorations.engines.models import Certificate, PastWork, Stoppage
from restorations.faults.models import Conclusion, FaultSheet, Step
from restorations.home import timeline_lines as lines
from restorations.home.step_entries import steps_of_side, steps_of_system
from restorations.home.timeline_lines import Line
from restorations.members.models import Member
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

KINDS = {
    "entries": "Day book",
    "readings": "Readings",
    "cards": "Cards",
    "steps": "Fault sheets",
    "parts": "Parts off and back",
    "connections": "Connections",
    "soaks": "Soaks and attempts",
    "tags": "Tags",
    "stops": "In and out of traffic",
    "papers": "Papers",
    "past": "Before it came",
}
KINDS_WITH_SYSTEM = ("entries", "cards", "steps")
KINDS_WITH_SIDE = ("entries", "cards", "steps", "parts", "connections", "soaks")


@dataclass(frozen=True, slots=True)
class Filter:
    """What is asked for; an empty one is everything."""

    kind: str = ""
    system: str = ""
    side: str = ""


NOT_ACCEPTED = Q(accepted_at__isnull=True)


@dataclass(frozen=True, slots=True)
class Source:
    """One kind of row; `at` and `engine` are names of columns, `by` the rows of a person."""

    kind: str
    at: str
    rows: Callable[[], QuerySet[Any]]
    line: Callable[[Any], Line]
    by: Callable[[Member], Q]
    engine: str = "engine"
    waits: Q = NOT_ACCEPTED
    """A helper's rows, or their endings, that one of the hands has yet to accept."""
    of_system: Callable[[QuerySet[Any], str], QuerySet[Any]] | None = None
    of_side: Callable[[QuerySet[Any], str], QuerySet[Any]] | None = None

    def answers(self, chosen: Filter) -> bool:
        """Whether rows of this kind are asked for, and know what is filtered by."""
        asked = not chosen.kind or chosen.kind == self.kind
        return asked and not (chosen.system and not self.of_system) and not (chosen.side and not self.of_side)

    def narrowed(self, rows: QuerySet[Any], chosen: Filter) -> QuerySet[Any]:
        if chosen.system and self.of_system:
            rows = self.of_system(rows, chosen.system)
        return self.of_side(rows, chosen.side) if chosen.side and self.of_side else rows


def _person(*columns: str) -> Callable[[Member], Q]:
    def by(member: Member) -> Q:
        found = Q()
        for column in columns:
            found |= Q(**{column: member})
        return found

    return by


def _by_entry(member: Member) -> Q:
    helped = DayBookEntry.helpers.through.objects.filter(member=member)
    return Q(done_by=member) | Q(pk__in=helped.values("daybookentry"))


def _by_card(member: Member) -> Q:
    on_it = JobCard.people.through.objects.filter(member=member)
    return Q(made_by=member) | Q(pk__in=on_it.values("jobcard"))


def _column_system(rows: QuerySet[Any], system: str) -> QuerySet[Any]:
    return rows.filter(system=system)


def _column_side(rows: QuerySet[Any], side: str) -> QuerySet[Any]:
    return rows.filter(side=side)


def _place_side(rows: QuerySet[Any], side: str) -> QuerySet[Any]:
    return rows.filter(Q(place=side) | Q(place__startswith=f"{side}.") | Q(place__contains=f"@{side}"))


def _rows(model: Any, *related: str) -> Callable[[], QuerySet[Any]]:
    """Rows that are not struck out, with what a line reads."""

    def rows() -> QuerySet[Any]:
        found: QuerySet[Any] = model.objects.select_related(*related)
        columns = {field.name for field in model._meta.get_fields()}
        return found.filter(struck_at__isnull=True) if "struck_at" in columns else found

    return rows


_BY_COLUMNS: dict[str, Any] = {"of_system": _column_system, "of_side": _column_side}
_BY_PLACE: dict[str, Any] = {"of_side": _place_side}
_STEPS: dict[str, Any] = {"of_system": steps_of_system, "of_side": steps_of_side}

ENTRIES = Source(
    "entries", "happened_at", _rows(DayBookEntry, "engine", "done_by"), lines.entry, _by_entry, **_BY_COLUMNS
)
READINGS = Source(
    "readings", "happened_at", _rows(Reading, "engine", "done_by"), lines.reading, _person("done_by"),
    waits=Q(accepted_at__isnull=True, entry__isnull=True),  # those of an entry are accepted with it
)  # fmt: skip
STEPS = Source(
    "steps", "happened_at", _rows(Step, "sheet__engine", "done_by"), lines.step, _person("done_by"),
    engine="sheet__engine", **_STEPS,
)  # fmt: skip
PARTS_OFF = Source(
    "parts", "off_at", _rows(StrippedPart, "engine", "in_box", "off_by"), lines.part_off, _person("off_by"), **_BY_PLACE
)
PARTED = Source(
    "connections",
    "parted_at",
    _rows(Connection, "engine", "parted_by"),
    lines.parted,
    _person("parted_by"),
    **_BY_PLACE,
)
PARTS_BACK = Source(
    "parts", "ended_at", _rows(StrippedPart, "engine", "ended_by"), lines.part_back, _person("ended_by"),
    waits=Q(ending_waits=True), **_BY_PLACE,
)  # fmt: skip
JOINED = Source(
    "connections", "joined_at", _rows(Connection, "engine", "joined_by"), lines.joined, _person("joined_by"),
    waits=Q(joining_waits=True), **_BY_PLACE,
)  # fmt: skip
SOAKS = Source("soaks", "begun_at", _rows(Soak, "engine", "begun_by"), lines.soak, _person("begun_by"), **_BY_PLACE)
ATTEMPTS = Source(
    "soaks", "tried_at", _rows(FreeingAttempt, "engine", "tried_by"), lines.attempt, _person("tried_by"), **_BY_PLACE
)
TAGS = Source("tags", "put_on_at", _rows(Tag, "engine", "put_on_by"), lines.tag, _person("put_on_by"))
PHOTOS = Source("photos", "made_at", _rows(Photo, "engine", "made_by"), lines.photo, _person("made_by"))

SOURCES: tuple[Source, ...] = (
    ENTRIES,
    READINGS,
    Source("cards", "made_at", _rows(JobCard, "engine", "made_by"), lines.card, _by_card, **_BY_COLUMNS),
    Source("cards", "ended_at", _rows(JobCard, "engine"), lines.card_ended, _by_card, **_BY_COLUMNS),
    STEPS,
    Source("steps", "opened_at", _rows(FaultSheet, "engine", "opened_by"), lines.sheet, _person("opened_by")),
    Source(
        "steps",
        "closed_at",
        _rows(Conclusion, "sheet__engine", "closed_by"),
        lines.conclusion,
        _person("closed_by"),
        engine="sheet__engine",
    ),
    Source(
        "steps",
        "reopened_at",
        _rows(Conclusion, "sheet__engine", "reopened_by"),
        lines.opened_again,
        _person("reopened_by"),
        engine="sheet__engine",
    ),
    PARTS_OFF,
    PARTS_BACK,
    PARTED,
    JOINED,
    SOAKS,
    Source("soaks", "ended_at", _rows(Soak, "engine", "ended_by"), lines.soak_ended, _person("ended_by"), **_BY_PLACE),
    ATTEMPTS,
    TAGS,
    Source("tags", "taken_off_at", _rows(Tag, "engine", "taken_off_by"), lines.tag_off, _person("taken_off_by")),
    Source("stops", "reported_at", _rows(Stoppage, "engine", "reported_by"), lines.stop, _person("reported_by")),
    Source("stops", "lifted_at", _rows(Stoppage, "engine", "lifted_by"), lines.stop_lifted, _person("lifted_by")),
    Source("papers", "recorded_at", _rows(Certificate, "engine"), lines.paper, _person("recorded_by")),
    Source("past", "happened_at", _rows(PastWork, "engine", "done_by"), lines.past, _person("recorded_by")),
)
# What helpers write besides the day book, for one of the hands to accept. Photos come in batches: no lines above.
ACCEPTED = (READINGS, STEPS, PARTS_OFF, PARTS_BACK, PARTED, JOINED, SOAKS, ATTEMPTS, TAGS, PHOTOS)
