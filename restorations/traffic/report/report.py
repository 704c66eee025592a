"""The report itself: what is read, and the lines it is made of. As many queries whatever there is."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Count, F, Q, QuerySet, Sum

from restorations.engines.lapsing import lapsing_by
from restorations.engines.models import Engine, Stoppage
from restorations.engines.models.stoppage import CAUSE_CLASSES
from restorations.engines.showing import Standing, standing
from restorations.engines.state import EngineState, state_from
from restorations.faults.models import ConfirmedCause
from restorations.tasks.models import DayBookEntry, JobCard, Restoration
from restorations.tasks.models.jobs import OPEN_STATES
from restorations.traffic.models import Incident
from restorations.traffic.models.incidents import KINDS
from restorations.traffic.report.counting import FAILURES, Failures, Lost, failures, lost
from restorations.traffic.report.period import Period
from restorations.traffic.running import running_days_in

DUE_WITHIN = timedelta(days=90)
LOOKED_BACK = timedelta(days=365)


@dataclass(frozen=True, slots=True)
class EngineLine:
    """One engine: how it stands at the end of the period, and what the period cost it."""

    engine: Engine
    state: EngineState
    lost: Lost
    failures: int
    hours: float


@dataclass(frozen=True, slots=True)
class CauseLine:
    """Days lost to one class of cause, by all engines together."""

    words: str
    days: int
    engines: int


@dataclass(frozen=True, slots=True)
class Repeated:
    """The same again on one engine within a year."""

    engine: str
    words: str
    times: int


@dataclass(frozen=True, slots=True)
class Restoring:
    """How far a restoration, overhaul or repair has come."""

    job: Restoration
    cards: int
    done: int
    hours_spent: float
    hours_left: float


@dataclass(frozen=True, slots=True)
class Happened:
    """Incidents or near misses of the running days of the period: how many, and on how many days."""

    words: str
    times: int
    days: int
    hurt: int


@dataclass(frozen=True, slots=True)
class Report:
    """Everything a committee is told of a period."""

    period: Period
    counted: Period
    """The part of it that has gone by."""
    engines: Sequence[EngineLine]
    causes: Sequence[CauseLine]
    failures: Failures
    repeated: Sequence[Repeated]
    restoring: Sequence[Restoring]
    papers: Sequence[Standing]
    hours: float
    people: int
    running_days: int
    happened: Sequence[Happened]

    @property
    def out_of_service(self) -> list[EngineLine]:
        return [line for line in self.engines if not line.state.is_in_traffic]

    @property
    def in_traffic(self) -> list[EngineLine]:
        return [line for line in self.engines if line.state.is_in_traffic]

    @property
    def days_lost(self) -> int:
        return sum(line.lost.days for line in self.engines)

    @property
    def availability(self) -> float | None:
        """Of all engines together, by calendar."""
        days = sum(line.lost.of for line in self.engines)
        return None if days == 0 else 1 - self.days_lost / days

    @property
    def running_availability(self) -> float | None:
        """Of all engines together, on the running days that have been."""
        days = sum(line.lost.running_days_of for line in self.engines)
        return None if days == 0 else 1 - sum(line.lost.running_days for line in self.engines) / days


def committee_engines() -> QuerySet[Engine]:
    """What a club's committee is told of: everybody's own private engines are not its business."""
    return Engine.objects.filter(is_private=False).select_related("owner_member")


def report_of(period: Period, *, today: date) -> Report:
    """Everything of the period, as far as it has gone by."""
    counted = period.up_to(today)
    engines = list(committee_engines().filter(Q(gone_on__isnull=True) | Q(gone_on__gt=period.start)))
    since = min(period.start, period.end - LOOKED_BACK)
    stops = _stops(engines, since, period)
    hours = _hours_by_engine(counted)
    running = running_days_in(counted.start, counted.end)
    lines = [_line(engine, stops[engine.pk], counted, hours.get(engine.pk, 0.0), running) for engine in engines]
    every = [stop for engine in engines for stop in stops[engine.pk]]
    days_up = sum(line.lost.of - line.lost.days for line in lines)
    minutes, people = _given(counted)
    return Report(
        period=period,
        counted=counted,
        engines=lines,
        causes=_causes(lines),
        failures=failures(every, counted, days_up),
        repeated=[*_repeated_stops(every, period), *_repeated_causes(period)],
        restoring=_restoring(counted),
        papers=[standing(paper, on=counted.last) for paper in lapsing_by(_still(engines), period.last + DUE_WITHIN)],
        hours=minutes / 60,
        people=people,
        running_days=len(running),
        happened=_happened(counted),
    )


def _still(engines: Iterable[Engine]) -> QuerySet[Engine]:
    return Engine.objects.filter(pk__in=[engine.pk for engine in engines if engine.gone_on is None])


def _stops(engines: Sequence[Engine], since: date, period: Period) -> dict[int, list[Stoppage]]:
    """By engine, those that held at some time in the period or the year before its end."""
    found: dict[int, list[Stoppage]] = {engine.pk: [] for engine in engines}
    for stop in Stoppage.objects.overlapping(since, period.end).filter(engine__in=committee_engines()):
        if stop.engine_id in found:
            found[stop.engine_id].append(stop)
    return found


def _line(engine: Engine, stops: list[Stoppage], counted: Period, hours: float, running: Sequence[date]) -> EngineLine:
    """Up to the day it left the club, where it did."""
    end = min(counted.end, engine.gone_on or counted.end)
    own = Period(counted.start, max(counted.start, end))
    held = [stop for stop in stops if stop.began_on <= own.last and not (stop.ended_on and stop.ended_on <= own.last)]
    began = [stop for stop in stops if stop.kind in FAILURES and own.start <= stop.began_on < own.end]
    return EngineLine(engine, state_from(held), lost(stops, own, running), len(began), hours)


def _causes(lines: Iterable[EngineLine]) -> list[CauseLine]:
    days: dict[str, list[int]] = defaultdict(list)
    for line in lines:
        for cause, lost_days in line.lost.by_cause.items():
            days[cause].append(lost_days)
    found = [CauseLine(CAUSE_CLASSES.get(cause, cause), sum(each), len(each)) for cause, each in days.items()]
    return sorted(found, key=lambda line: (-line.days, line.words))


def _hours_by_engine(period: Period) -> dict[int, float]:
    rows = _entries(period).order_by().values_list("engine").annotate(all=Sum(F("minutes") * F("people")))
    return {engine: (minutes or 0) / 60 for engine, minutes in rows}


def _given(period: Period) -> tuple[int, int]:
    """Minutes given to these engines by everybody, and by how many members and named others."""
    rows = _entries(period).filter(engine__in=committee_engines())
    found = rows.aggregate(
        minutes=Sum(F("minutes") * F("people")),
        members=Count("done_by", distinct=True),
        others=Count("done_by_name", distinct=True, filter=~Q(done_by_name="")),
    )
    return found["minutes"] or 0, found["members"] + found["others"]


def _entries(period: Period) -> Any:
    first, after = period.moments
    return DayBookEntry.objects.standing().filter(happened_at__gte=first, happened_at__lt=after)


def _repeated_stops(stops: Iterable[Stoppage], period: Period) -> list[Repeated]:
    """The same class of cause stopped one engine twice or more in the year up to the end of the period."""
    times: dict[tuple[int, str], int] = defaultdict(int)
    for stop in stops:
        if stop.kind in FAILURES and period.end - LOOKED_BACK <= stop.began_on < period.end:
            times[stop.engine_id, stop.cause_class] += 1
    names = dict(committee_engines().values_list("pk", "name"))
    return [
        Repeated(names.get(engine, ""), f"stopped: {CAUSE_CLASSES.get(cause, cause).lower()}", count)
        for (engine, cause), count in sorted(times.items())
        if count > 1
    ]


def _repeated_causes(period: Period) -> list[Repeated]:
    """The same cause confirmed on sheets of one engine twice or more in the year up to the end of the period."""
    first, after = Period(period.end - LOOKED_BACK, period.end).moments
    rows = (
        ConfirmedCause.objects.filter(
            conclusion__struck_at__isnull=True, conclusion__reopened_at__isnull=True,
            conclusion__closed_at__gte=first, conclusion__closed_at__lt=after,
            conclusion__sheet__engine__in=committee_engines(),
        )
        .order_by()
        .values("conclusion__sheet__engine__name", "cause")
        .annotate(times=Count("pk"))
        .filter(times__gt=1)
        .values_list("conclusion__sheet__engine__name", "cause", "times")
    )  # fmt: skip
    again = sorted(rows)
    called = ConfirmedCause.objects.filter(cause__in=[cause for _, cause, _ in again]).values_list("cause", "name")
    names = dict(called)
    return [Repeated(engine, f"found: {names[cause]}", times) for engine, cause, times in again]


def _restoring(period: Period) -> list[Restoring]:
    """Jobs under way, or closed in the period, with what their cards say."""
    jobs = Restoration.objects.filter(begun_on__lt=period.end, engine__in=committee_engines())
    jobs = jobs.filter(Q(closed_on__isnull=True) | Q(closed_on__gte=period.start)).select_related("engine")
    cards: dict[int | None, list[JobCard]] = defaultdict(list)
    for card in JobCard.objects.filter(job__in=jobs).exclude(state="dropped"):
        cards[card.job_id].append(card)
    spent = dict(
        DayBookEntry.objects.standing().filter(card__job__in=jobs).order_by().values_list("card__job")
        .annotate(all=Sum(F("minutes") * F("people")))
    )  # fmt: skip
    return [_progress(job, cards[job.pk], spent.get(job.pk) or 0) for job in jobs]


def _progress(job: Restoration, cards: Sequence[JobCard], minutes: int) -> Restoring:
    still = [card for card in cards if card.state in OPEN_STATES]
    return Restoring(
        job=job,
        cards=len(cards),
        done=len(cards) - len(still),
        hours_spent=minutes / 60,
        hours_left=sum(card.likely_hours for card in still),
    )


def _happened(period: Period) -> list[Happened]:
    """Only counted: what is written in a report is read on its own page, by those who may."""
    rows = Incident.objects.on_days(period.start, period.end).order_by().values_list("kind")
    hurt = Count("pk", filter=Q(hurt="yes"))
    counted = rows.annotate(times=Count("pk"), days=Count("day", distinct=True), hurt_times=hurt)
    return [Happened(KINDS[kind], times, days, harmed) for kind, times, days, harmed in sorted(counted)]
