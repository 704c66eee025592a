"""A club of 500 engines and 20 years: rows as the services write them, spread evenly over the years."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

ENGINES, YEARS, ENTRIES, STOPS, CARDS, SHEETS, PAPERS = 500, 20, 50_000, 6000, 4000, 3000, 10_000
JOBS, RUNNING_DAYS, OUT, ROADS, BUILDS = 600, 500, 40, 12, 120
SYSTEMS, KINDS = ("motion", "cylinders", "boiler", "feed", "fittings", "track"), ("defect", "defect", "works", "boiler")


def fill(by: Any, *, today: date) -> list[Any]:
    """Everything that office, shed and report read; the engines."""
    engines = _engines(by)
    _stoppages(engines, by, today)
    _work(engines, by, today)
    _sheets(engines, by, today)
    _papers(engines, by, today)
    _yard(engines, by, today)
    return engines


def _spread(many: int, today: date, *, ago: int = 1) -> Iterator[tuple[int, date]]:
    """Numbers with days, evenly over the years; the last is so many days ago."""
    span = 365 * YEARS - ago
    return ((number, today - timedelta(days=ago + span * (many - 1 - number) // many)) for number in range(many))


def _noon(on: date) -> datetime:
    return datetime.combine(on, time(12), UTC)


def _engines(by: Any) -> list[Any]:
    from restorations.engines.models import Engine, EngineConfiguration

    builds = _builds()
    engines = Engine.objects.bulk_create(
        Engine(name=f"Engine {number}", number=str(number), made_by=by, owner_is_club=True) for number in range(ENGINES)
    )
    EngineConfiguration.objects.bulk_create(
        EngineConfiguration(
            engine=engine, number=1, made_by=by, gauge_typed="5 in", gauge_mm=127.0, **asdict(builds[place % BUILDS])
        )
        for place, engine in enumerate(engines)
    )
    return engines


def _builds() -> list[Any]:
    """Different ones, of every kind there is."""
    from restorations.knowledge.reference_engines import REFERENCE_ENGINES

    known = list(REFERENCE_ENGINES.values())
    small = [{"drain_cocks": drains, "snifting_valve": snifting, "hand_pump": pump}
             for drains in ("fitted", "none", "not_known") for snifting in ("fitted", "none", "not_known")
             for pump in ("fitted", "none")]  # fmt: skip
    return [replace(known[n % len(known)], **small[n // len(known) % len(small)]) for n in range(BUILDS)]


def _stoppages(engines: Sequence[Any], by: Any, today: date) -> None:
    """A fortnight each, some overlapping; the newest forty hold still, thirty of them with a forecast."""
    from restorations.engines.models import Stoppage
    from restorations.traffic.models import Forecast

    def stop(number: int, began: date) -> Stoppage:
        ended = None if number >= STOPS - OUT else began + timedelta(days=5 + number % 20)
        lifted = {} if ended is None else {"ended_on": ended, "lifted_by": by, "lifted_at": _noon(ended)}
        return Stoppage(
            engine=engines[number * 7 % ENGINES], kind=KINDS[number % 4], cause_class=SYSTEMS[number % 6],
            words=f"Stop {number}", began_on=began, reported_by=by, waits_for="parts" if number % 3 else "", **lifted,
        )  # fmt: skip

    rows = Stoppage.objects.bulk_create(stop(number, on) for number, on in _spread(STOPS, today, ago=30))
    Forecast.objects.bulk_create(
        Forecast(
            engine=row.engine, made_at=_noon(today), made_on=today, seed=1, inputs={"cards": ["a card"] * 40},
            inputs_checksum="", samples=[(today + timedelta(days=30 + n // 4)).isoformat() for n in range(200)],
            even_chance_on=today + timedelta(days=50), likely_on=today + timedelta(days=80),
        )
        for row in rows[-30:]
    )  # fmt: skip


def _work(engines: Sequence[Any], by: Any, today: date) -> None:
    """Jobs with their cards, and the day book, every fourth line of it on a card."""
    from restorations.tasks.models import DayBookEntry, JobCard, Restoration

    jobs = Restoration.objects.bulk_create(
        Restoration(
            engine=engines[number * 11 % ENGINES], title=f"Job {number}", begun_on=on, made_by=by,
            **({} if number >= JOBS - 50 else {"closed_on": on + timedelta(days=60), "closed_by": by}),
        )
        for number, on in _spread(JOBS, today, ago=61)
    )  # fmt: skip
    cards = JobCard.objects.bulk_create(
        JobCard(
            engine=jobs[n * JOBS // CARDS].engine, job=jobs[n * JOBS // CARDS], title=f"Card {n}", low_hours=1,
            likely_hours=2, high_hours=4, made_by=by,
            **({"state": "to_do"} if n >= CARDS - 300 else {"state": "done", "ended_at": _noon(today)}),
        )
        for n in range(CARDS)
    )  # fmt: skip
    DayBookEntry.objects.bulk_create(
        (
            DayBookEntry(
                engine=cards[n % CARDS].engine if n % 4 == 0 else engines[n % ENGINES], text=f"Evening {n}",
                card=cards[n % CARDS] if n % 4 == 0 else None, minutes=30 + n % 90, happened_at=_noon(on), done_by=by,
                recorded_by=by, accepted_at=_noon(on), accepted_by=by,
            )
            for n, on in _spread(ENTRIES, today)
        ),
        batch_size=1000,
    )  # fmt: skip


def _sheets(engines: Sequence[Any], by: Any, today: date) -> None:
    """All closed with one of forty causes, but the newest sixty."""
    from restorations.engines.models import EngineConfiguration
    from restorations.faults.models import Conclusion, ConfirmedCause, FaultSheet

    builds = dict(EngineConfiguration.objects.values_list("engine", "pk"))
    sheets = FaultSheet.objects.bulk_create(
        FaultSheet(
            engine=engines[n * 13 % ENGINES], configuration_id=builds[engines[n * 13 % ENGINES].pk],
            complaint=f"Knocks, {n}", opened_by=by, opened_at=_noon(on),
            closed_at=None if n >= SHEETS - 60 else _noon(on) + timedelta(days=3),
        )
        for n, on in _spread(SHEETS, today, ago=5)
    )  # fmt: skip
    closed = Conclusion.objects.bulk_create(
        Conclusion(
            sheet=sheet, number=1, outcome="found", concluded_at=sheet.closed_at, concluded_by=by,
            closed_at=sheet.closed_at, closed_by=by, signed_at=sheet.closed_at,
        )
        for sheet in sheets
        if sheet.closed_at is not None
    )  # fmt: skip
    ConfirmedCause.objects.bulk_create(
        ConfirmedCause(conclusion=row, cause=f"cause {n % 3}", name=f"Cause {n % 3}", how="seen")
        for n, row in enumerate(closed)
    )


def _papers(engines: Sequence[Any], by: Any, today: date) -> None:
    """Of each engine a test a year, in turn of three kinds; the newest of many lapse within the year."""
    from restorations.engines.models import Certificate

    kinds = ("hydraulic_test", "steam_test", "insurance")
    Certificate.objects.bulk_create(
        Certificate(
            engine=engines[n % ENGINES], kind=kinds[n // ENGINES % 3], passed_on=on, by_whom="the inspector",
            lapses_on=on + timedelta(days=400 + n % 700), recorded_by=by,
        )
        for n, on in _spread(PAPERS, today, ago=20)
    )  # fmt: skip


def _yard(engines: Sequence[Any], by: Any, today: date) -> None:
    """Every engine but the last twenty stands on a road; running days and what nearly happened on them."""
    from restorations.traffic.models import EngineStands, Incident, Road, RunningDay

    roads = Road.objects.bulk_create(Road(name=f"Road {n + 1}", position=n + 1) for n in range(ROADS))
    EngineStands.objects.bulk_create(
        EngineStands(engine=engine, road=roads[place % ROADS], since=today - timedelta(days=place), recorded_by=by)
        for place, engine in enumerate(engines[:-20])
    )
    days = RunningDay.objects.bulk_create(RunningDay(on=on, made_by=by) for _, on in _spread(RUNNING_DAYS, today))
    Incident.objects.bulk_create(
        Incident(day=day, kind="near_miss", words="A lamp fell", hurt="no", recorded_by=by) for day in days[::10]
    )
