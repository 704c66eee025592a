"""An engine with 5,000 entries and 2,000 readings against one with 10: how much slower its pages open.

Run with `python -m tests.benchmarks.day_book_speed`. Both are timed in the same run, turn and turn about, so that the
ratio means the same on any machine; a ratio above the bar fails.
"""

import os
import sys
from collections.abc import Callable
from datetime import timedelta
from functools import partial
from statistics import median
from time import perf_counter
from typing import Any

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubshop.settings")

ENTRIES, READINGS, FEW, ROUNDS, BAR = 5000, 2000, 10, 15, 2.0
PAGES = ("/engines/{}/day-book/", "/engines/{}/readings/", "/engines/{}/cards/", "/engines/{}/log/")


def fill(engine: Any, by: Any, *, entries: int, readings: int) -> None:
    """Rows as the services write them, an hour apart, in fifty kinds of reading."""
    from restorations.tasks.models import DayBookEntry, Reading
    from tests.factories import NOON

    def said(number: int) -> dict[str, Any]:
        return {
            "engine": engine, "happened_at": NOON - timedelta(hours=number), "done_by": by, "recorded_by": by,
            "accepted_at": NOON, "accepted_by": by,
        }  # fmt: skip

    DayBookEntry.objects.bulk_create(DayBookEntry(**said(n), text=f"Evening {n}", minutes=30) for n in range(entries))
    Reading.objects.bulk_create(
        Reading(
            **said(n), what="axle side play", where=f"axle {n % 50}", key=Reading.key_of("axle side play", f"{n % 50}"),
            typed="0.2 mm", dimension="length", mean_si=2e-4, least_si=2e-4, most_si=2e-4,
        )
        for n in range(readings)
    )  # fmt: skip


def seconds(act: Callable[[], Any]) -> float:
    begun = perf_counter()
    act()
    return perf_counter() - begun


def measure() -> dict[str, float]:
    """The ratio of the medians, page by page."""
    from tests.cast import make_cast
    from tests.factories import make_engine

    cast = make_cast()
    small, large = (make_engine(name=name, hands=(cast.member,)) for name in ("Wren", "Rail"))
    fill(small, cast.member, entries=FEW, readings=FEW)
    fill(large, cast.member, entries=ENTRIES, readings=READINGS)
    browser, ratios = cast.browser("member"), {}
    for page in PAGES:
        times: dict[int, list[float]] = {small.pk: [], large.pk: []}
        for _ in range(ROUNDS):
            for pk, taken in times.items():
                taken.append(seconds(partial(browser.get, page.format(pk))))
        ratios[page] = median(times[large.pk]) / median(times[small.pk])
    return ratios


def main() -> int:
    import django
    from django.conf import settings
    from django.test.utils import get_runner, setup_test_environment

    django.setup()
    setup_test_environment()
    settings.STORAGES["staticfiles"]["BACKEND"] = "django.contrib.staticfiles.storage.StaticFilesStorage"
    runner = get_runner(settings)(verbosity=0)
    databases = runner.setup_databases()
    try:
        ratios = measure()
    finally:
        runner.teardown_databases(databases)
    for page, ratio in ratios.items():
        print(f"{page:28} {ratio:5.2f} times as long with {ENTRIES} entries and {READINGS} readings as with {FEW}")
    return int(max(ratios.values()) > BAR)


if __name__ == "__main__":
    sys.exit(main())
