"""What the pages of running days show: strips of months, and one day with its engines and people."""

import calendar
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Count, Q

from restorations.calc.schedule import months_later
from restorations.engines.models import Engine
from restorations.members.models import Member
from restorations.traffic.models import Allocation, Attendance, Incident, RunningDay
from restorations.traffic.what_runs import CAN, CANNOT, COULD, Runs, what_runs
from restorations.web.tables_out import Table

MOST_STRIPS = 12


@dataclass(frozen=True, slots=True)
class Box:
    """One day of a strip; `row` where the club runs on it."""

    number: int
    weekday: str
    is_weekend: bool
    is_today: bool
    row: RunningDay | None


@dataclass(frozen=True, slots=True)
class Strip:
    """One month, drawn as a row of days."""

    first: date
    boxes: tuple[Box, ...]


def strips(rows: Iterable[RunningDay], on: date) -> list[Strip]:
    """From this month to that of the last day planned, at least three months and at most twelve."""
    by_day = {row.on: row for row in rows}
    first = on.replace(day=1)
    last = max([*by_day, months_later(first, 2)])
    months = (months_later(first, number) for number in range(MOST_STRIPS))
    return [Strip(month, tuple(_boxes(month, by_day, on))) for month in months if month <= last]


def _boxes(month: date, by_day: dict[date, RunningDay], on: date) -> Iterator[Box]:
    for number in range(1, calendar.monthrange(month.year, month.month)[1] + 1):
        when = month.replace(day=number)
        weekday = when.weekday()
        yield Box(number, f"{when:%a}"[:2], weekday >= calendar.SATURDAY, when == on, by_day.get(when))


def listed(member: Member, *, on: date) -> list[Any]:
    """Every day with how many engines are allocated (of those that exist for this member) and how many come."""
    seen = Engine.objects.visible_to(member, on=on)
    held = Q(allocations__withdrawn_at=None, allocations__allocated_at__isnull=False, allocations__engine__in=seen)
    engines = Count("allocations", filter=held, distinct=True)
    comes = Count("attendance", filter=Q(attendance__coming="yes") | Q(attendance__came=True), distinct=True)
    return list(RunningDay.objects.annotate(engines=engines, people=comes).order_by("on"))


DAYS = Table("running days", (
    ("Date", lambda row: row.on),
    ("What", lambda row: row.title),
    ("From", lambda row: row.begins_at),
    ("To", lambda row: row.ends_at),
    ("Called off", lambda row: row.cancelled_reason),
    ("Engines allocated", lambda row: row.engines),
    ("People", lambda row: row.people),
    ("How it went", lambda row: row.outcome),
))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Held:
    """An engine that is asked for or allocated, with how it stands now for a day that is not over."""

    row: Allocation
    runs: Runs | None

    @property
    def against(self) -> str:
        """What stands against it: now, or as it was when it was allocated."""
        return self.row.condition if self.runs is None else self.runs.sentence

    @property
    def shape(self) -> str:
        if self.row.has_result:
            return "good" if self.row.ran else "rest"
        if self.runs is not None and self.runs.answer == CANNOT:
            return "stop"
        if not self.row.is_allocated:
            return "wait"
        return "ask" if self.against else "good"

    @property
    def words(self) -> str:
        if self.row.has_result:
            return "ran" if self.row.ran else "did not run"
        did = "allocated" if self.row.is_allocated else "asked for"
        if self.runs is not None and self.runs.answer == CANNOT:
            return f"{did}, cannot run"
        return f"{did}, if" if self.row.is_allocated and self.against else did


@dataclass(frozen=True, slots=True)
class DayPage:
    """One day as a member sees it."""

    row: RunningDay
    today: date
    allocations: Sequence[Held]
    can: Sequence[Runs]
    could: Sequence[Runs]
    cannot: Sequence[Runs]
    people: Sequence[Attendance]
    incidents: Sequence[Incident]

    @property
    def has_come(self) -> bool:
        return self.row.on <= self.today

    @property
    def is_over(self) -> bool:
        return self.row.on < self.today


def read_day(row: RunningDay, member: Member, *, today: date) -> DayPage:
    """As many queries whatever there is; nothing of an engine that does not exist for this member."""
    rows = row.allocations.visible_to(member, on=today).holding()
    allocations = list(rows.select_related("engine", "asked_by", "entry"))
    open_day = row.on >= today and not row.is_called_off
    runs = what_runs(member, row.on, today=today) if open_day else []
    incidents = row.incidents.visible_to(member).select_related("recorded_by", "engine", "stoppage")
    by_answer = {answer: [one for one in runs if one.answer == answer] for answer in (CAN, COULD, CANNOT)}
    by_engine = {one.engine.pk: one for one in runs}
    held = [Held(one, by_engine.get(one.engine_id)) for one in allocations]
    return DayPage(
        row, today, held, by_answer[CAN], by_answer[COULD], by_answer[CANNOT],
        list(row.attendance.select_related("member")), list(incidents),
    )  # fmt: skip
