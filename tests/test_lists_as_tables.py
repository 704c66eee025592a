"""Every list with a link to itself as a table: well formed, the filters with it, and no formula that would run."""

import csv
import re
import sys
from collections.abc import Iterator
from functools import cache
from html import unescape
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from django.urls import URLResolver, get_resolver, reverse

from restorations.engines.models import Engine
from restorations.photos.models import Photo
from restorations.web.tables_out import RUN_BY_SPREADSHEETS
from tests.access.table import Row, World
from tests.cast import ANONYMOUS, EVERYBODY, Cast
from tests.factories import NOON
from tests.test_access import ROWS
from tests.traffic.forecast_builders import make_papers

FORMULA = "=HYPERLINK(1)"
LINK = re.compile(r'class="take-out"><a class="tap" href="([^"]*)"')


def _views(resolver: Any, namespace: str = "") -> Iterator[tuple[str, str]]:
    """Every route, and the module its view is written in."""
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            yield from _views(pattern, f"{namespace}{pattern.namespace}:" if pattern.namespace else namespace)
        else:
            yield f"{namespace}{pattern.name}", pattern.callback.__module__


def _answering() -> Iterator[tuple[Row, str, str]]:
    """One row for each route beside which tables are made, its module, and a role that may look."""
    modules = {route: module for route, module in _views(get_resolver()) if _makes_tables(module)}
    seen = set(dict(_views(get_resolver()))) - set(modules)
    for row in ROWS:
        role = next((role for role in EVERYBODY if role != ANONYMOUS and row.expected("get", role) == "ok"), "")
        if role and row.route not in seen:
            seen.add(row.route)
            yield row, modules[row.route], "secretary" if row.expected("get", "secretary") == "ok" else role


@cache
def _makes_tables(module: str) -> bool:
    text = Path(str(sys.modules[module].__file__)).read_text(encoding="utf-8")
    return re.search(r"taken_out\(|csv_response\(", text) is not None


def _made(row: Row, cast: Cast) -> str:
    """Its address, where every engine is called by a formula."""
    address = reverse(row.route, args=row.args(World(cast)))
    Engine.objects.update(name=FORMULA)
    return address


def _link(page: Any) -> re.Match[str] | None:
    return LINK.search(page.text) if page["Content-Type"].startswith("text/html") else None


def _lines(content: bytes) -> list[list[str]]:
    return list(csv.reader(StringIO(content.decode("utf-8"), newline=""), strict=True))


def test_each_file_of_views_that_makes_tables_gives_one(cast: Cast) -> None:
    wanted, given, told = set(), set(), []
    for row, module, role in _answering():
        wanted.add(module)
        with transaction.atomic():
            answer = cast.browser(role).get(_made(row, cast), {"as": "csv"})
            if answer["Content-Type"] == "text/csv; charset=utf-8":
                given.add(module)
                told += _offences(row.route, _lines(answer.content))
            elif _link(answer):
                told.append(f"{row.route} offers a table and gives none")
            transaction.set_rollback(True)
    assert told == []
    assert given == wanted


def _offences(route: str, lines: list[list[str]]) -> list[str]:
    """Lines of another length than the first, and cells that a spreadsheet would run."""
    found = [] if lines and lines[0] else [f"{route}: no headings"]
    found += [f"{route}: {line}" for line in lines if len(line) != len(lines[0])]
    cells = [cell for line in lines for cell in line if cell.startswith(RUN_BY_SPREADSHEETS)]
    return found + [f"{route}: {cell}" for cell in cells if not re.fullmatch(r"-[0-9.]+", cell)]


def test_a_formula_for_a_name_is_text_in_the_table(cast: Cast) -> None:
    world = World(cast)
    Engine.objects.filter(pk=world.engine.pk).update(name=FORMULA)
    for address in ("/engines/?as=csv", "/shed/?as=csv", "/report/?as=csv"):
        lines = _lines(cast.browser("secretary").get(address).content)
        assert f"'{FORMULA}" in {cell for line in lines for cell in line}, address


@pytest.mark.parametrize("address", ["/shed/?view=table", "/timeline/?kind=photo", "/papers/register/?stands=lapsed"])
def test_the_link_carries_the_filters_and_not_the_page(address: str, cast: Cast) -> None:
    world = World(cast)
    Photo.objects.create(
        engine=world.engine, large="0" * 64, thumbnail="0" * 64, width=1, height=1, made_by=cast.owner, made_at=NOON,
        accepted_at=NOON, accepted_by=cast.owner,
    )  # fmt: skip
    make_papers(world.engine, cast.owner, days=-100)
    link = _link(cast.browser("member").get(f"{address}&page=2&before=x"))
    assert link
    assert unescape(link[1]) == f"{address}&as=csv"
