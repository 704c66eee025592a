"""The kinds of row that are searched: which a member may see, in which columns, how one reads."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Case, Q, QuerySet, Value, When
from django.urls import reverse

from restorations.engines.models import DesignNote, Engine, Fastening, OilPoint, PastWork, Stoppage
from restorations.faults.models import FaultSheet, Step
from restorations.home.naming import components_named, part_words
from restorations.members.models import Member
from restorations.photos.models import Photo
from restorations.tasks.models import Box, Connection, DayBookEntry, JobCard, Reading, StrippedPart, Wanted


@dataclass(frozen=True, slots=True)
class Hit:
    words: str
    note: str
    href: str


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of row: the columns that are searched, the first of them is what it is ranked by."""

    key: str
    title: str
    rows: Callable[[Member, date], QuerySet[Any]]
    columns: tuple[str, ...]
    hit: Callable[[Any], Hit]
    also: Callable[[str], Q] = lambda word: Q()

    def found(self, member: Member, on: date, words: Sequence[str]) -> QuerySet[Any]:
        """Rows that hold every word; those that begin with the first word stand first, else in the rows' own order."""
        rows = self.rows(member, on)
        for word in words:
            holds = self.also(word)
            for column in self.columns:
                holds |= Q(**{f"{column}__icontains": word})
            rows = rows.filter(holds)
        begins = When(**{f"{self.columns[0]}__istartswith": words[0]}, then=Value(0))
        return rows.order_by(Case(begins, default=Value(1)), *(rows.model._meta.ordering or ["pk"]))


def _of_engines(model: Any, *related: str, engine: str = "engine") -> Callable[[Member, date], QuerySet[Any]]:
    """Rows of engines whose contents the member may read, without those struck out."""

    def rows(member: Member, on: date) -> QuerySet[Any]:
        engines = Engine.objects.contents_visible_to(member, on=on)
        found: QuerySet[Any] = model.objects.filter(**{f"{engine}__in": engines}).select_related(engine, *related)
        columns = {field.name for field in model._meta.get_fields()}
        return found.filter(struck_at__isnull=True) if "struck_at" in columns else found

    return rows


def _engines(member: Member, on: date) -> QuerySet[Any]:
    return Engine.objects.visible_to(member, on=on).select_related("design", "owner_member")


def _boxes(member: Member, on: date) -> QuerySet[Any]:
    """Boxes are the club's: everybody finds them; what lies in them is shown on their page, to whom may see it."""
    return Box.objects.all()


def _design_notes(member: Member, on: date) -> QuerySet[Any]:
    found: QuerySet[Any] = DesignNote.objects.select_related("design").filter(struck_at__isnull=True)
    return found


def _component(word: str) -> Q:
    return Q(component__in=components_named(word))


def _box_number(word: str) -> Q:
    """ "Box 5" is looked for as it is said."""
    if word.casefold() == "box":
        return Q(number__gte=0)
    return Q(number=int(word)) if word.isdecimal() and len(word) <= 9 else Q()


def _at(row: Any, route: str) -> str:
    return reverse(route, args=[row.engine_id])


def _engine_hit(row: Engine) -> Hit:
    note = ", ".join(str(words) for words in (row.design, row.number, row.builder) if words)
    return Hit(row.name, note, row.get_absolute_url())


def _part_hit(row: StrippedPart) -> Hit:
    state = "off" if row.is_off else str(row.get_ending_display())
    note = f"{row.engine} · {state}{f' · in {row.lies_in}' if row.lies_in and row.is_off else ''}"
    return Hit(part_words(row.component, row.place, row.name), note, row.get_absolute_url())


def _box_hit(row: Box) -> Hit:
    return Hit(
        f"Box {row.number}",
        ", ".join(words for words in (row.label, row.where, row.code) if words),
        row.get_absolute_url(),
    )


def _named(note: Callable[[Any], str], href: Callable[[Any], str]) -> Callable[[Any], Hit]:
    """The row's own words, the engine and what stands beside."""
    return lambda row: Hit(str(row), " · ".join(words for words in (str(row.engine), note(row)) if words), href(row))


def _own(row: Any) -> str:
    return str(row.get_absolute_url())


KINDS: tuple[Kind, ...] = (
    Kind("engines", "Engines", _engines, ("name", "number", "builder", "design__name"), _engine_hit),
    Kind("boxes", "Boxes", _boxes, ("label", "code", "where"), _box_hit, _box_number),
    Kind(
        "parts", "Parts that came off", _of_engines(StrippedPart, "in_box"),
        ("name", "place", "box", "mates", "orientation", "in_box__label"), _part_hit, _component,
    ),
    Kind(
        "connections", "Connections", _of_engines(Connection), ("name", "end_a", "end_b", "place"),
        _named(lambda row: "parted" if row.is_parted else "joined", _own), _component,
    ),
    Kind(
        "sheets", "Fault sheets", _of_engines(FaultSheet), ("complaint",),
        _named(lambda row: "closed" if row.closed_at else "open", _own),
    ),
    Kind(
        "stops", "Stops", _of_engines(Stoppage), ("words", "waits_words", "place", "custody", "lifted_words"),
        _named(lambda row: "stands" if row.is_open else "lifted", _own),
    ),
    Kind(
        "steps", "Lines of fault sheets", _of_engines(Step, "sheet", "done_by", engine="sheet__engine"),
        ("words", "note"),
        lambda row: Hit(row.words, f"{row.sheet.engine} · {row.doer}", row.sheet.get_absolute_url()),
    ),
    Kind(
        "entries", "Day book", _of_engines(DayBookEntry, "done_by"), ("text",),
        lambda row: Hit(row.text, f"{row.engine} · {row.doer}", row.get_absolute_url()),
    ),
    Kind(
        "cards", "Cards", _of_engines(JobCard), ("title", "what", "bring", "waits_for"),
        _named(lambda row: row.get_state_display(), _own),
    ),
    Kind(
        "readings", "Readings", _of_engines(Reading, "done_by"), ("what", "where", "typed", "state"),
        _named(lambda row: row.doer, _own),
    ),
    Kind("photos", "Photos", _of_engines(Photo), ("caption",), _named(lambda row: "photo", _own)),
    Kind(
        "wanted", "Wanted", _of_engines(Wanted), ("what", "size", "from_whom"),
        _named(lambda row: f"{row.size} {row.get_state_display()}".strip(), lambda row: _at(row, "tasks:wanted")),
    ),
    Kind(
        "fastenings", "Fastenings", _of_engines(Fastening), ("where", "thread", "spanner", "note"),
        _named(lambda row: row.spanner, lambda row: _at(row, "engines:fastenings")),
    ),
    Kind(
        "oil", "Oil charts", _of_engines(OilPoint), ("point", "oil", "note"),
        _named(lambda row: row.oil, lambda row: _at(row, "engines:oil_chart")),
    ),
    Kind(
        "past", "Before it came", _of_engines(PastWork, "done_by"), ("text",),
        lambda row: Hit(row.text, f"{row.engine} · {row.doer}", _at(row, "engines:past_work")),
    ),
    Kind(
        "notes", "Notes on designs", _design_notes, ("text",),
        lambda row: Hit(row.text, str(row.design), row.design.get_absolute_url()),
    ),
)  # fmt: skip
