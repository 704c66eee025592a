"""How my engines stand towards traffic, and what of that waits for me; the number of queries does not grow."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, Q, QuerySet

from restorations.engines.models import Engine, LayUp, LayUpCare, Stoppage
from restorations.engines.services.lay_up import CareLine, due_care
from restorations.engines.state import EngineState, states_of
from restorations.members.models import Member
from restorations.traffic.models import Attendance, BoilerTestSession, RunningDay
from restorations.traffic.office import Waiting, waiting_for_the_secretary

MOST = 20


@dataclass(frozen=True, slots=True)
class EngineLine:
    engine: Engine
    state: EngineState


@dataclass(frozen=True, slots=True)
class CareDue:
    stop: Stoppage
    line: CareLine


@dataclass(frozen=True, slots=True)
class NextDay:
    """The next running day, and what this member said of coming."""

    day: RunningDay
    coming: str


@dataclass(frozen=True, slots=True)
class OfficeLead:
    """What leads the secretary to the office: how many engines are out of traffic, and what waits there."""

    out: int
    waiting: Waiting


@dataclass(frozen=True, slots=True)
class TrafficBench:
    engines: Sequence[EngineLine]
    """Mine, each with its state."""
    boilers: Sequence[Stoppage]
    """For an inspector: the stops on boilers that nobody has lifted."""
    tests: Sequence[BoilerTestSession]
    """For an inspector: asked for and not booked, or booked with them."""
    office: OfficeLead | None
    next_day: NextDay | None
    care: Sequence[CareDue]
    """What is due on those of mine that are laid up."""


def traffic_bench(member: Member, mine: Sequence[Engine], on: date) -> TrafficBench:
    states = states_of(mine, on)
    visible = Engine.objects.visible_to(member, on=on).still_here()
    return TrafficBench(
        engines=[EngineLine(engine, states[engine.pk]) for engine in mine],
        boilers=_boilers(visible, on) if member.is_inspector else (),
        tests=_tests(member, on) if member.is_inspector else (),
        office=_office(member, on) if member.is_secretary else None,
        next_day=_next_day(member, on),
        care=_care(mine, on),
    )


def _boilers(visible: QuerySet[Engine], on: date) -> list[Stoppage]:
    rows = Stoppage.objects.open(on).boiler().filter(engine__in=visible).select_related("engine", "reported_by")
    return list(rows.order_by("began_on", "pk")[:MOST])


def _tests(member: Member, on: date) -> list[BoilerTestSession]:
    mine = Q(on__isnull=True) | Q(inspector=member)
    rows = BoilerTestSession.objects.ahead().visible_to(member, on=on).filter(mine)
    return list(rows.select_related("engine", "asked_by").in_order()[:MOST])


def _office(member: Member, on: date) -> OfficeLead:
    out = Stoppage.objects.open(on).filter(engine__gone_on__isnull=True)
    return OfficeLead(out.order_by().values("engine").distinct().count(), waiting_for_the_secretary(member, on=on))


def _next_day(member: Member, on: date) -> NextDay | None:
    day = RunningDay.objects.taking_place().filter(on__gte=on).first()
    if day is None:
        return None
    said = Attendance.objects.filter(day=day, member=member).first()
    return NextDay(day, said.get_coming_display() if said else "")


def _care(mine: Sequence[Engine], on: date) -> list[CareDue]:
    given = Prefetch("care", queryset=LayUpCare.objects.not_struck().order_by("done_on", "pk"), to_attr="given")
    rows = LayUp.objects.filter(stoppage__in=Stoppage.objects.open(on), stoppage__engine__in=[one.pk for one in mine])
    return [
        CareDue(row.stoppage, line)
        for row in rows.select_related("stoppage__engine").prefetch_related(given)
        for line in due_care(row, row.given, on)
    ]
