"""Quantities and moments as they are written on pages."""

from datetime import UTC, datetime

import pytest
from django.template import Context, Template
from django.utils import timezone

from restorations.web.templatetags import shop

FRIDAY = datetime(2026, 11, 20, 12, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def friday_noon_in_london(monkeypatch: pytest.MonkeyPatch) -> object:
    monkeypatch.setattr(timezone, "now", lambda: FRIDAY)
    with timezone.override("Europe/London"):
        yield


@pytest.mark.parametrize(
    ("value", "how", "words"),
    [
        (28.575, "mm,1", "28.6\u00a0mm"),
        (90.0, "psi", "90\u00a0psi"),
        (0, "N,2", "0.00\u00a0N"),
        (None, "mm", "not known"),
    ],
)
def test_a_quantity_has_its_unit(value: float | None, how: str, words: str) -> None:
    assert shop.quantity(value, how) == words


@pytest.mark.parametrize(
    ("at", "precision", "words"),
    [
        (datetime(2026, 11, 17, 19, 40, tzinfo=UTC), "minute", "Tue\u00a019.40"),
        (datetime(2026, 11, 20, 8, 5, tzinfo=UTC), "minute", "Fri\u00a008.05"),
        (datetime(2026, 11, 13, 19, 40, tzinfo=UTC), "minute", "13 Nov, 19.40"),
        (datetime(2025, 11, 17, 19, 40, tzinfo=UTC), "minute", "17 Nov 2025, 19.40"),
        (datetime(2026, 7, 1, 23, 30, tzinfo=UTC), "day", "2 Jul"),  # summer time
        (datetime(1998, 3, 1, tzinfo=UTC), "day", "1 Mar 1998"),
        (datetime(1998, 3, 1, tzinfo=UTC), "month", "Mar 1998"),
        (datetime(1998, 3, 1, tzinfo=UTC), "year", "1998"),
        (datetime(1998, 3, 1, tzinfo=UTC), "about", "about 1998"),
    ],
)
def test_a_moment_is_no_more_exact_than_it_is_known(at: datetime, precision: str, words: str) -> None:
    assert shop.when(at, precision) == words


def test_no_moment_is_not_known() -> None:
    assert shop.when(None) == "not known"


def test_the_filters_are_used_like_this() -> None:
    template = Template('{% load shop %}{{ bore|quantity:"mm,1" }}; {{ at|when:"about" }}')
    assert template.render(Context({"bore": 28.575, "at": FRIDAY})) == "28.6\u00a0mm; about 2026"
