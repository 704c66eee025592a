"""One list of all that happened, newest first: of an engine, of a person, of the club.

Each kind of row is asked once for no more than a page from the cursor on; the answers are merged. The number of queries
is the number of kinds, whatever lies in the tables.
"""

import heapq
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import islice
from typing import Any, Self

from django.db.models import Q, QuerySet

from restorations.engines.models import Engine
from restorations.home.timeline_kinds import (
    KINDS,
    KINDS_WITH_SIDE,
    KINDS_WITH_SYSTEM,
    SOURCES,
    Filter,
    Source,
)
from restorations.home.timeline_lines import Line
from restorations.members.models import Member
from restorations.web.tables_out import Table

A_PAGE = 40
MOST_TAKEN_OUT = 2000  # lines of a table to take away; older ones by a filter, or engine by engine


@dataclass(frozen=True, slots=True)
class Scope:
    """Whose timeline: engines one may read, and of those all that happened or what one person did.

    One engine is given by itself: a database that looks for it by a query of its own sorts all its rows first.
    """

    engines: QuerySet[Engine] | Sequence[Engine]
    person: Member | None = None

    def rows(self, source: Source) -> QuerySet[Any]:
        rows = source.rows().filter(**{f"{source.engine}__in": self.engines})
        return rows.filter(source.by(self.person)) if self.person else rows


@dataclass(frozen=True, slots=True)
class Cursor:
    """The last line that was shown: when it happened, which source it came from, its number there."""

    at: datetime
    source: int
    pk: int

    @classmethod
    def read(cls, text: str) -> Self | None:
        """From the address of a page; anything else is the first page."""
        at, _, rest = text.partition("~")
        source, _, pk = rest.partition("~")
        try:
            moment = datetime.fromisoformat(at)
        except ValueError:
            return None
        if moment.tzinfo is None or not (source.isdecimal() and pk.isdecimal() and len(source + pk) <= 20):
            return None
        return cls(moment, int(source), int(pk))

    def __str__(self) -> str:
        return f"{self.at.isoformat()}~{self.source}~{self.pk}"

    def after(self, number: int, field: str) -> Q:
        """What comes after it in a source: earlier, or at that moment further down the order."""
        earlier, then = Q(**{f"{field}__lt": self.at}), Q(**{field: self.at})
        if number < self.source:
            return earlier | then
        return earlier if number > self.source else earlier | (then & Q(pk__lt=self.pk))


@dataclass(frozen=True, slots=True)
class Timeline:
    lines: Sequence[Line]
    older: str
    """The cursor of the next page; empty on the last."""


def read_timeline(scope: Scope, chosen: Filter, *, before: str = "", most: int = A_PAGE) -> Timeline:
    """A page of it, from the cursor on."""
    cursor = Cursor.read(before)
    sources = [(number, source) for number, source in enumerate(SOURCES) if source.answers(chosen)]
    columns = [_rows(scope, number, source, chosen, cursor, most) for number, source in sources]
    merged = heapq.merge(*columns, key=lambda item: (item[0].at, item[0].source, item[0].pk), reverse=True)
    page = list(islice(merged, most + 1))
    older = str(page[most - 1][0]) if len(page) > most else ""
    return Timeline([line for _, line in page[:most]], older)


def _rows(
    scope: Scope, number: int, source: Source, chosen: Filter, cursor: Cursor | None, most: int
) -> Iterable[tuple[Cursor, Line]]:
    rows = source.narrowed(scope.rows(source), chosen).filter(**{f"{source.at}__isnull": False})
    if cursor is not None:
        rows = rows.filter(cursor.after(number, source.at))
    newest = rows.order_by(f"-{source.at}", "-pk")[: most + 1]
    return [(Cursor(getattr(row, source.at), number, row.pk), source.line(row)) for row in newest]


def lines_to_take_out(scope: Scope, chosen: Filter) -> list[Line]:
    """The newest of it; where that is not all, the last line says so."""
    found = read_timeline(scope, chosen, most=MOST_TAKEN_OUT)
    if not found.older:
        return list(found.lines)
    last = found.lines[-1]
    return [*found.lines, replace(last, what="Left out", words="Older lines are not in this table.", by="", where="")]


LINES = Table("all that happened", (
    ("When", lambda line: line.at),
    ("How exactly that is known", lambda line: line.precision),
    ("Engine", lambda line: line.engine),
    ("What", lambda line: line.what),
    ("In words", lambda line: line.words),
    ("Where", lambda line: line.where),
    ("By", lambda line: line.by),
    ("Waits to be accepted", lambda line: line.waits),
))  # fmt: skip


def waiting_lines(engines: QuerySet[Engine], sources: Sequence[Source], most: int) -> list[Line]:
    """A helper's lines on these engines that one of the hands has yet to accept, oldest first."""
    found: list[Line] = []
    for source in sources:
        waiting = source.rows().filter(source.waits, **{f"{source.engine}__in": engines})
        rows = waiting.order_by(source.at, "pk")[:most]
        found += [replace(source.line(row), at=getattr(row, source.at)) for row in rows]
    return sorted(found, key=lambda line: line.at)[:most]


def left_out(chosen: Filter) -> str:
    """Kinds that a filter leaves out because their rows do not say what is filtered by."""
    asked = [chosen.kind] if chosen.kind else list(KINDS)
    silent = [
        kind
        for kind in asked
        if (chosen.system and kind not in KINDS_WITH_SYSTEM) or (chosen.side and kind not in KINDS_WITH_SIDE)
    ]
    return ", ".join(KINDS[kind].lower() for kind in silent)
