"""Office, shed and the report of 20 years, in a club of 500 engines, against a bare view of the same rows.

Run with `python -m tests.benchmarks.office`. A bare view reads the rows that the page rests on, by their numbers where
the page has to find out which they are, and writes those it shows as a table without a link or a word of its own, on
the same base page. Both are timed in one run, turn and turn about; a ratio above the bar fails. The tables are made
from the models, without the migrations.
"""

import os
import sys
import warnings
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from statistics import median
from typing import Any

from tests.benchmarks.club_rows import ENGINES, ENTRIES, STOPS, YEARS, fill
from tests.benchmarks.day_book_speed import seconds

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubshop.settings")

ROUNDS, BAR, A_PAGE, DRAWN, MOST_PAPERS = 7, 1.5, 50, 60, 10
TEMPLATE = """{% extends "web/base.html" %}{% block main %}<table>{% for row in rows %}<tr>
{% for cell in row %}<td>{{ cell }}</td>{% endfor %}</tr>{% endfor %}</table>{% endblock %}"""
Rows = list[tuple[Any, ...]]


@dataclass(frozen=True)
class Known:
    """What the pages have to find out and a bare view is told."""

    today: date
    papers: list[int]
    forecasts: list[int]

    @property
    def start(self) -> date:
        return self.today - timedelta(days=365 * YEARS - 1)


def known(engines: list[Any], today: date) -> Known:
    from restorations.engines.lapsing import newest_papers
    from restorations.engines.models import Engine
    from restorations.traffic.models import Forecast

    papers = newest_papers(Engine.objects.all()).values_list("pk", flat=True)
    return Known(today, list(papers), list(Forecast.objects.values_list("pk", flat=True)))


def standing_rows(told: Known) -> Rows:
    """How every engine stands: the engines, their stops, sheets, cards, papers, forecasts."""
    from django.db.models import Count

    from restorations.engines.models import Certificate, Engine, Stoppage
    from restorations.engines.showing import listed
    from restorations.faults.models import FaultSheet
    from restorations.tasks.models import JobCard
    from restorations.traffic.models import Forecast

    def counted(rows: Any) -> dict[int, int]:
        return dict(rows.order_by().values_list("engine").annotate(all=Count("pk")))

    stops = {stop.engine_id: stop for stop in Stoppage.objects.open(told.today)}
    papers = {paper.engine_id: paper for paper in Certificate.objects.filter(pk__in=told.papers)}
    forecasts = {row.engine_id: row for row in Forecast.objects.filter(pk__in=told.forecasts).defer("inputs")}
    sheets, cards = counted(FaultSheet.objects.still_open()), counted(JobCard.objects.still_open())
    return [
        (
            engine.name, stops[engine.pk].words if engine.pk in stops else "", sheets.get(engine.pk, 0),
            cards.get(engine.pk, 0), forecasts[engine.pk].likely_on if engine.pk in forecasts else "",
            papers[engine.pk].lapses_on,
        )
        for engine in listed(Engine.objects.still_here())
    ]  # fmt: skip


def lapsing_rows(told: Known) -> Rows:
    from restorations.engines.models import Certificate

    soon = Certificate.objects.filter(pk__in=told.papers, lapses_on__lte=told.today + timedelta(days=90))
    return [(paper.engine.name, paper.kind, paper.lapses_on) for paper in soon.select_related("engine")]


def yard_rows(told: Known) -> Rows:
    """And where each stands, and its build."""
    from restorations.engines.models import EngineConfiguration
    from restorations.traffic.models import EngineStands

    where = {row.engine_id: row.road.name for row in EngineStands.objects.now().select_related("road")}
    builds = {row.engine_id: row.kind for row in EngineConfiguration.objects.all()}
    stands = list(zip(where.values(), builds.values(), strict=False))
    return [(*row, *stand) for row, stand in zip(standing_rows(told), stands, strict=False)]


def report_rows(told: Known) -> Rows:
    """Engines with their hours, every stop of the years, jobs with their cards, papers about to lapse."""
    from django.db.models import Count, F, Sum

    from restorations.engines.models import Certificate, Engine, Stoppage
    from restorations.faults.models import ConfirmedCause
    from restorations.tasks.models import DayBookEntry, JobCard, Restoration
    from restorations.traffic.models import Incident, RunningDay

    entries, spent = DayBookEntry.objects.standing().order_by(), Sum(F("minutes") * F("people"))
    hours = dict(entries.values_list("engine").annotate(all=spent))
    on_jobs = dict(entries.filter(card__isnull=False).values_list("card__job").annotate(all=spent))
    given = entries.aggregate(minutes=spent, people=Count("done_by", distinct=True))
    causes = ConfirmedCause.objects.order_by().values_list("conclusion__sheet__engine__name", "cause")
    again = list(causes.annotate(times=Count("pk")))
    engines = list(Engine.objects.select_related("owner_member"))
    stops = list(Stoppage.objects.overlapping(told.start, told.today))
    jobs, cards = list(Restoration.objects.select_related("engine")), list(JobCard.objects.all())
    papers = list(Certificate.objects.filter(pk__in=told.papers).select_related("engine"))
    days, incidents = list(RunningDay.objects.all()), list(Incident.objects.all())
    counts = tuple(len(rows) for rows in (again, cards, days, incidents))
    return [
        *((engine.name, hours.get(engine.pk, 0)) for engine in engines),
        *((stop.began_on, stop.ended_on, stop.cause_class) for stop in stops),
        *((job.engine.name, job.title, on_jobs.get(job.pk, 0)) for job in jobs),
        *((paper.engine.name, paper.kind, paper.lapses_on) for paper in papers),
        (*given.values(), *counts),
    ]


def pages(told: Known) -> dict[str, tuple[str, Callable[[], Rows]]]:
    """Address of the page, and the rows of its bare view."""
    span = f"first={told.start}&last={told.today}"
    return {
        "office": ("/office/", lambda: standing_rows(told)[:A_PAGE] + lapsing_rows(told)[:MOST_PAPERS]),
        "shed, table": ("/shed/?view=table", lambda: standing_rows(told)[:A_PAGE]),
        "shed, as CSV": ("/shed/?as=csv", lambda: standing_rows(told)),
        "shed, yard": ("/shed/?view=yard", lambda: yard_rows(told)[:DRAWN]),
        "report": (f"/report/?{span}", lambda: report_rows(told)),
        "report, as CSV": (f"/report/?{span}&as=csv", lambda: report_rows(told)),
        "report, one year": ("/report/", lambda: report_rows(told)),
    }


def bare(request: Any, rows: Callable[[], Iterable[Any]]) -> Any:
    from django.http import HttpResponse
    from django.template import RequestContext, Template

    return HttpResponse(Template(TEMPLATE).render(RequestContext(request, {"rows": rows()})))


def measure() -> Iterable[tuple[str, float, float, int, int]]:
    """Page, seconds of the bare view, seconds of the page, queries of both."""
    from django.utils import timezone

    from tests.benchmarks import office_addresses
    from tests.cast import make_cast

    cast, today = make_cast(), timezone.localdate()
    told = known(fill(cast.member, today=today), today)
    browser = cast.browser("secretary")
    for title, (address, rows) in pages(told).items():
        office_addresses.bare_view[office_addresses.ADDRESS] = partial(bare, rows=rows)
        times: dict[str, list[float]] = {office_addresses.ADDRESS: [], address: []}
        queries = [_queries(browser, each) for each in times]  # and everything is read once
        for _ in range(ROUNDS):
            for each, taken in times.items():
                taken.append(seconds(lambda each=each: _get(browser, each)))
        plain, page = (median(taken) for taken in times.values())
        yield title, plain, page, queries[0], queries[1]


def _queries(browser: Any, address: str) -> int:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as queries:
        _get(browser, address)
    return len(queries)


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
    warnings.filterwarnings("ignore", "No directory at")
    settings.STORAGES["staticfiles"]["BACKEND"] = "django.contrib.staticfiles.storage.StaticFilesStorage"
    settings.DATABASES["default"]["TEST"]["MIGRATE"] = False
    settings.ROOT_URLCONF = "tests.benchmarks.office_addresses"
    runner = get_runner(settings)(verbosity=0)
    databases = runner.setup_databases()
    worst = 0.0
    print(f"{ENGINES} engines, {YEARS} years, {ENTRIES} entries of the day book, {STOPS} stops")
    print(f"{'page':20}{'bare, ms':>10}{'page, ms':>10}{'ratio':>8}{'queries, bare':>15}{'page':>6}")
    try:
        for title, plain, page, few, asked in measure():
            print(f"{title:20}{plain * 1e3:10.1f}{page * 1e3:10.1f}{page / plain:8.2f}{few:15}{asked:6}", flush=True)
            worst = max(worst, page / plain)
    finally:
        runner.teardown_databases(databases)
    return int(worst > BAR)


if __name__ == "__main__":
    sys.exit(main())
