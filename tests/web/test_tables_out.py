"""Lists as tables: RFC 4180 read back by the standard reader, and nothing a spreadsheet would run."""

import csv
from collections.abc import Iterable
from datetime import UTC, date, datetime
from io import StringIO

import pytest
from django.test import RequestFactory
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st

from restorations.web.tables_out import Table, cell, csv_response, taken_out

# RFC 4180 section 2: records end with CRLF (1), the header comes first (3), fields with commas, quotes and line
# breaks are quoted (6), a quote inside is doubled (7).
RFC_4180 = 'Name,Note\r\nPipit,"a, ""b""\r\nc"\r\n'


def _read(content: bytes) -> list[list[str]]:
    return list(csv.reader(StringIO(content.decode("utf-8"), newline="")))


def test_it_is_what_rfc_4180_says() -> None:
    answer = csv_response("List", ["Name", "Note"], [["Pipit", 'a, "b"\r\nc']])
    assert answer.content.decode() == RFC_4180
    assert answer["Content-Type"] == "text/csv; charset=utf-8"


@given(st.lists(st.lists(st.text(st.characters(exclude_characters="\x00", exclude_categories=["Cs"])), min_size=2)))
def test_whatever_was_typed_is_read_back(rows: list[list[str]]) -> None:
    back = _read(csv_response("List", ["Name"], rows).content)[1:]
    assert [[text.removeprefix("'") for text in row] for row in back] == [
        [text.removeprefix("'") for text in row] for row in rows
    ]


@pytest.mark.parametrize("typed", ["=1+1", "+44 1539", "-5 mm", "@SUM(A1)", "\t=1", "\r=1", "\n=1"])
def test_text_that_a_spreadsheet_would_run_gets_an_apostrophe(typed: str) -> None:
    assert cell(typed) == f"'{typed}"


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (-5, -5), (-0.5, -0.5), (None, ""), (True, "yes"), (date(2026, 2, 28), "2026-02-28"),
        (datetime(2026, 7, 1, 18, 30, tzinfo=UTC), "2026-07-01 19:30+01:00"),
    ],
)  # fmt: skip
def test_numbers_stay_numbers_and_moments_are_iso_8601_in_the_clubs_zone(value: object, shown: object) -> None:
    with timezone.override("Europe/London"):
        assert cell(value) == shown


def test_only_who_asks_for_the_table_gets_it() -> None:
    table = Table("List", (("Twice", lambda number: 2 * number),))

    def asked(rows: Iterable[int], **query: str) -> object:
        answer = taken_out(RequestFactory().get("/", query), table, rows)
        return answer and _read(answer.content)

    assert asked([1, 2], **{"as": "csv"}) == [["Twice"], ["2"], ["4"]]
    assert asked([1, 2]) is None
