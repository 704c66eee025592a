"""Running days, papers and sessions for tests: fixed values; say only what the test is about."""

from datetime import date, datetime, timedelta
from typing import Any
from uuid import uuid4

from django.utils import timezone

from restorations.engines.models import Certificate, Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.traffic.models import BoilerTestSession, RunningDay
from tests.factories import make_engine
from tests.faults.builders import ONE_CYLINDER


def today() -> date:
    return timezone.localdate()


def in_days(days: int) -> date:
    return today() + timedelta(days=days)


def now(member: Member, at: datetime | None = None) -> Doing:
    return Doing(member, at or timezone.now())


def make_day(by: Member, *, days: int = 21, **changes: Any) -> RunningDay:
    """Planned, so many days from now."""
    return RunningDay.objects.create(**{"on": in_days(days), "made_by": by, **changes})


def make_paper(engine: Engine, kind: str = "insurance", *, days: int = 300, **changes: Any) -> Certificate:
    """Good for so many days from now."""
    lapses = in_days(days)
    plain = {"passed_on": lapses - timedelta(days=365), "lapses_on": lapses, "by_whom": "the office"}
    paper: Certificate = Certificate.objects.create(
        engine=engine, kind=kind, recorded_by=engine.made_by, **{**plain, **changes}
    )
    return paper


def runs_on_air(by: Member, **changes: Any) -> Engine:
    """In traffic, and without a boiler that papers are asked of."""
    return make_engine(made_by=by, configuration=ONE_CYLINDER, **changes)


def steams(by: Member, *, days: int = 300, **changes: Any) -> Engine:
    """In traffic with a boiler, both of its papers good for so many days."""
    engine = make_engine(made_by=by, configuration={**ONE_CYLINDER, "boiler": "copper"}, **changes)
    for kind in ("hydraulic_test", "steam_test"):
        make_paper(engine, kind, days=days)
    return engine


def make_session(engine: Engine, by: Member, *, days: int | None = None, **changes: Any) -> BoilerTestSession:
    """Asked for; booked with somebody from outside where a day is given."""
    booked = {} if days is None else {"on": in_days(days), "inspector_name": "A. Outsider"}
    plain = {"engine": engine, "test": "steam_test", "asked_by": by}
    return BoilerTestSession.objects.create(**{**plain, **booked, **changes})


def mark(**fields: Any) -> dict[str, Any]:
    return {"submission": str(uuid4()), **fields}
