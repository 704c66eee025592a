"""An engine with 5,000 entries, 2,000 photos and 300 parts against one with 10 of each: how much slower it opens.

Run with `python -m tests.benchmarks.engine_page`. Each engine is private to one person, so that searching reads what
that person may see and no more. Both are timed in one run, turn and turn about: the ratio means the same on any
machine. A ratio above the bar fails. The time is the server's, from request to answer; pictures are not fetched.
"""

import os
import sys
from datetime import timedelta
from statistics import median
from typing import Any

from tests.benchmarks.day_book_speed import seconds

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubshop.settings")

ENTRIES, PHOTOS, PARTS, FEW, ROUNDS, BAR = 5000, 2000, 300, 10, 15, 1.5
PAGES = {
    "engine page": "/engines/{}/",
    "all that happened": "/engines/{}/timeline/",
    "of one side": "/engines/{}/timeline/?side=left",
    "take-in sheet": "/engines/{}/taking-in/",
    "oil chart": "/engines/{}/oil-chart/",
    "photos": "/engines/{}/photos/",
    "how it came apart": "/engines/{}/photos/stripping/",
    "what is off": "/engines/{}/off/",
    "refit list": "/engines/{}/refit/",
    "left for tonight": "/engines/{}/tonight/",
    "search": "/search/?q=gland",
    "my bench": "/",
}


def fill(engine: Any, by: Any, *, entries: int, photos: int, parts: int) -> None:
    """Rows as the services write them, an hour apart; of the parts the last ten are off, the others went back on."""
    from tests.factories import NOON

    stands = {"accepted_at": NOON, "accepted_by": by}
    _fill_photos(engine, by, photos, stands)
    _fill_entries(engine, by, entries, stands)
    _fill_parts(engine, by, parts, stands)


def _fill_photos(engine: Any, by: Any, many: int, stands: dict[str, Any]) -> None:
    from restorations.photos.models import VIEWS, Photo
    from tests.factories import NOON

    views = [*VIEWS, ""]
    Photo.objects.bulk_create(
        Photo(
            engine=engine, large="0" * 64, thumbnail="0" * 64, width=1200, height=900, caption=f"The gland, {n}",
            view=views[n % len(views)], strip_order=n + 1 if n < many // 2 else None, made_by=by,
            made_at=NOON - timedelta(hours=n), **stands,
        )
        for n in range(many)
    )  # fmt: skip


def _fill_entries(engine: Any, by: Any, many: int, stands: dict[str, Any]) -> None:
    from restorations.tasks.models import DayBookEntry
    from tests.factories import NOON

    rows = DayBookEntry.objects.bulk_create(
        DayBookEntry(
            engine=engine, happened_at=NOON - timedelta(hours=n), done_by=by, recorded_by=by, minutes=30, side="left",
            text=f"Evening {n} at the left gland" if n % 2 else f"Evening {n}, oiled round", **stands,
        )
        for n in range(many)
    )  # fmt: skip
    photos = list(engine.photos.values_list("pk", flat=True))
    shown = DayBookEntry.photos.through
    shown.objects.bulk_create(shown(daybookentry=row, photo_id=photo) for row, photo in zip(rows, photos, strict=False))


def _fill_parts(engine: Any, by: Any, many: int, stands: dict[str, Any]) -> None:
    from restorations.tasks.models import StrippedPart
    from tests.factories import NOON

    StrippedPart.objects.bulk_create(
        StrippedPart(
            engine=engine, number=n + 1, name=f"gland stud {n}", box="4", off_at=NOON - timedelta(hours=many - n),
            off_by=by, **(_went_back(by) if n < many - FEW else {}), **stands,
        )
        for n in range(many)
    )  # fmt: skip


def _went_back(by: Any) -> dict[str, Any]:
    from tests.factories import NOON

    return {"ended_at": NOON, "ended_by": by, "ending": "refitted"}


def measure() -> dict[str, tuple[float, float]]:
    """Median seconds with few and with many, page by page."""
    from tests.cast import make_cast
    from tests.factories import make_engine

    cast = make_cast()
    people = {"few": cast.member, "many": cast.mate}
    engines = {
        name: make_engine(name=name, owner_member=person, is_private=True, hands=(person,))
        for name, person in people.items()
    }
    fill(engines["few"], people["few"], entries=FEW, photos=FEW, parts=FEW)
    fill(engines["many"], people["many"], entries=ENTRIES, photos=PHOTOS, parts=PARTS)
    browsers = {"few": cast.browser("member"), "many": cast.browser("mate")}
    return {title: _one_page(page, browsers, engines) for title, page in PAGES.items()}


def _one_page(page: str, browsers: dict[str, Any], engines: dict[str, Any]) -> tuple[float, float]:
    times: dict[str, list[float]] = {"few": [], "many": []}
    for _ in range(ROUNDS):
        for name, taken in times.items():
            address = page.format(engines[name].pk)
            taken.append(seconds(lambda name=name, address=address: _get(browsers[name], address)))
    return median(times["few"]), median(times["many"])


def _get(browser: Any, address: str) -> None:
    answer = browser.get(address)
    if answer.status_code != 200:
        raise RuntimeError(f"{address} answered {answer.status_code}")


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
        measured = measure()
    finally:
        runner.teardown_databases(databases)
    print(f"{ENTRIES} entries, {PHOTOS} photos, {PARTS} parts, against {FEW} of each")
    print(f"{'page':20}{'few, ms':>10}{'many, ms':>10}{'ratio':>8}")
    for title, (few, many) in measured.items():
        print(f"{title:20}{few * 1e3:10.1f}{many * 1e3:10.1f}{many / few:8.2f}")
    return int(max(many / few for few, many in measured.values()) > BAR)


if __name__ == "__main__":
    sys.exit(main())
