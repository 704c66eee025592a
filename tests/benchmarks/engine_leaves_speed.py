"""An engine with 5,000 entries, 2,000 photos and 300 parts against one with 10 of each: how much slower its pages open.

Run with `python -m tests.benchmarks.engine_leaves_speed`. Both are timed in the same run, turn and turn about, so that
the ratio means the same on any machine; a ratio above the bar fails. Pages that print every part off are left out:
a list of 300 parts is longer than one of 10.
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

MANY = {"entries": 5000, "photos": 2000, "parts": 300}
FEW = dict.fromkeys(MANY, 10)
ROUNDS, BAR = 15, 2.0
PAGES = (
    "/engines/{}/", "/engines/{}/timeline/", "/engines/{}/timeline/?side=left", "/engines/{}/taking-in/",
    "/engines/{}/oil-chart/",
)  # fmt: skip


def fill(engine: Any, by: Any, *, entries: int, photos: int, parts: int) -> None:
    """Rows as the services write them, an hour apart; half of the parts are back on."""
    from restorations.photos.models import Photo
    from restorations.tasks.models import DayBookEntry, StrippedPart
    from tests.factories import NOON

    stands = {"engine": engine, "accepted_at": NOON, "accepted_by": by}
    DayBookEntry.objects.bulk_create(
        DayBookEntry(
            **stands, happened_at=NOON - timedelta(hours=n), done_by=by, recorded_by=by, text=f"Evening {n}",
            side="left" if n % 2 else "right",
        )
        for n in range(entries)
    )  # fmt: skip
    Photo.objects.bulk_create(
        Photo(
            **stands, large=f"{n:064x}", thumbnail=f"{n:064x}", width=640, height=480, caption=f"photo {n}",
            made_at=NOON - timedelta(minutes=n), made_by=by, view="left" if n % 50 == 0 else "",
        )
        for n in range(photos)
    )  # fmt: skip
    ended = {"ended_at": NOON, "ended_by": by, "ending": "refitted"}
    StrippedPart.objects.bulk_create(
        StrippedPart(
            **stands, number=n + 1, name=f"nut {n}", place="left", off_at=NOON - timedelta(hours=n), off_by=by,
            **(ended if n % 2 else {}),
        )
        for n in range(parts)
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
    fill(small, cast.member, **FEW)
    fill(large, cast.member, **MANY)
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
    told = ", ".join(f"{number} {what}" for what, number in MANY.items())
    for page, ratio in ratios.items():
        print(f"{page:34} {ratio:5.2f} times as long with {told} as with ten of each")
    return int(max(ratios.values()) > BAR)


if __name__ == "__main__":
    sys.exit(main())
