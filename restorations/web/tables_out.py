"""Any list as a table to take away: RFC 4180, in UTF-8, with nothing in it that a spreadsheet would run.

    table = taken_out(request, WANTED, rows)
    if table is not None:
        return table

`{% take_out %}` on the page makes the link, which carries the page's filters.
"""

import csv
import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from io import StringIO
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

ASKED = "as"
RUN_BY_SPREADSHEETS = ("=", "+", "-", "@", "\t", "\r", "\n")


@dataclass(frozen=True, slots=True)
class Table:
    """The columns of a list: a heading, and what each row has under it."""

    name: str
    columns: tuple[tuple[str, Callable[[Any], object]], ...]


def taken_out(request: HttpRequest, table: Table, rows: Iterable[Any]) -> HttpResponse | None:
    """All the rows as a file where `?as=csv` asks for it, else nothing."""
    if request.method != "GET" or request.GET.get(ASKED) != "csv":
        return None
    return csv_response(table.name, [heading for heading, _ in table.columns], lines(table, rows))


def lines(table: Table, rows: Iterable[Any]) -> Iterable[list[object]]:
    return ([value(row) for _, value in table.columns] for row in rows)


def csv_response(name: str, header: list[str], rows: Iterable[Iterable[object]]) -> HttpResponse:
    """A file of that name and of the day."""
    text = StringIO(newline="")
    writer = csv.writer(text)  # commas, CRLF, quotes doubled: RFC 4180
    writer.writerow(header)
    writer.writerows([cell(value) for value in row] for row in rows)
    plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")
    filename = f"{plain}-{timezone.localdate():%Y-%m-%d}.csv"
    return HttpResponse(
        text.getvalue(),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{filename}"'},
    )


def cell(value: object) -> str | int | float:
    """Numbers stay numbers, moments are ISO 8601 in the club's zone; text that would be run gets an apostrophe."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return value
    if isinstance(value, datetime):
        return timezone.localtime(value).isoformat(" ", "minutes")
    if isinstance(value, date):
        return value.isoformat()
    text = str(value).replace("\x00", "")
    return f"'{text}" if text.startswith(RUN_BY_SPREADSHEETS) else text
