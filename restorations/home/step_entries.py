"""Steps of a system or side: their entries of the knowledge are named `entry@place` in three columns."""

from collections.abc import Mapping
from typing import Any

from django.db.models import Case, F, Q, QuerySet, Value, When
from django.db.models.functions import Left, StrIndex

from restorations.faults.club_knowledge import club_knowledge

COLUMNS = ("action", "finding", "cause")


def entries_of_system(system: str) -> list[str]:
    """Ids of the checks, remedies, findings and causes filed under a system."""
    known = club_knowledge()
    tables: tuple[Mapping[str, Any], ...] = (known.checks, known.remedies, known.findings, known.causes)
    return [entry.id for table in tables for entry in table.values() if entry.system == system]


def _entry_in(column: str) -> Case:
    """The entry's id in a column, without its place."""
    return Case(
        When(**{f"{column}__contains": "@"}, then=Left(F(column), StrIndex(F(column), Value("@")) - 1)),
        default=F(column),
    )


def steps_of_system(rows: QuerySet[Any], system: str) -> QuerySet[Any]:
    entries, found = entries_of_system(system), Q()
    for column in COLUMNS:
        rows = rows.alias(**{f"{column}_entry": _entry_in(column)})
        found |= Q(**{f"{column}_entry__in": entries})
    return rows.filter(found)


def steps_of_side(rows: QuerySet[Any], side: str) -> QuerySet[Any]:
    found = Q()
    for column in COLUMNS:
        found |= Q(**{f"{column}__contains": f"@{side}"})
    return rows.filter(found)
