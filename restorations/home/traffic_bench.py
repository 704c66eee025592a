"""How my engines stand towards traffic, and what of that waits for me; the number of queries does not grow."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Prefetch, QuerySet

from restorations.engines.models import Engine, LayUp, LayUpCare, Stoppage
from restorations.engines.services.lay_up import CareLine, due_care
from restorations.engines.state import EngineState, states_of
from restorations.members.models import Member
from restorations.traffic.models import FitForTraffic
from restorations.traffic.office import signed_fit

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
class TrafficBench:
    engines: Sequence[EngineLine]
    """Mine, each with its state."""
    boilers: Sequence[Stoppage]
    """For an inspector: the stops on boilers that nobody has lifted."""
    to_record: Sequence[FitForTraffic]
    """For the secretary: signed fit, and still out of traffic."""
    care: Sequence[CareDue]
    """What is due on those of mine that are laid up."""


def traffic_bench(member: Member, mine: Sequence[Engine], on: date) -> TrafficBench:
    states = states_of(mine, on)
    visible = Engine.objects.visible_to(member, on=on).still_here()
    return TrafficBench(
        engines=[EngineLine(engine, states[engine.pk]) for engine in mine],
        boilers=_boilers(visible, on) if member.is_inspector else (),
        to_record=signed_fit(visible, on)[:MOST] if member.is_secretary else (),
        care=_care(mine, on),
    )


def _boilers(visible: QuerySet[Engine], on: date) -> list[Stoppage]:
    rows = Stoppage.objects.open(on).boiler().filter(engine__in=visible).select_related("engine", "reported_by")
    return list(rows.order_by("began_on", "pk")[:MOST])


def _care(mine: Sequence[Engine], on: date) -> list[CareDue]:
    given = Prefetch("care", queryset=LayUpCare.objects.not_struck().order_by("done_on", "pk"), to_attr="given")
    rows = LayUp.objects.filter(stoppage__in=Stoppage.objects.open(on), stoppage__engine__in=[one.pk for one in mine])
    return [
        CareDue(row.stoppage, line)
        for row in rows.select_related("stoppage__engine").prefetch_related(given)
        for line in due_care(row, row.given, on)
    ]
