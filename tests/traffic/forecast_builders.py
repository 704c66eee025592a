"""Stops, sessions and sheets for tests of forecasts: fixed values; say only what the test is about."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

from restorations.engines.models import Certificate, Engine, Stoppage
from restorations.faults.models import ExpandedModel, FaultSheet, Snapshot
from restorations.members.models import Member
from restorations.traffic.models import Forecast, WorkingPattern
from restorations.traffic.services.forecasts import make_forecast
from restorations.traffic.services.working import SessionPlan, set_pattern
from tests.factories import NOON, TODAY, make_engine
from tests.faults.builders import ONE_CYLINDER

TUESDAY, SATURDAY = 1, 5


def make_stop(engine: Engine, by: Member, **changes: Any) -> Stoppage:
    plain = {"kind": "works", "cause_class": "motion", "words": "In pieces", "began_on": TODAY - timedelta(days=30)}
    ended = {"lifted_by": by, "lifted_at": NOON} if changes.get("ended_on") else {}
    return Stoppage.objects.create(engine=engine, reported_by=by, **{**plain, **ended, **changes})


def make_pattern(by: Member, *, hands: int = 1, inspector_days: int | None = None) -> WorkingPattern:
    """Tuesdays and Saturdays, two hours each."""
    sessions = [SessionPlan(weekday, 2.0, hands) for weekday in (TUESDAY, SATURDAY)]
    version = WorkingPattern.current().version
    return set_pattern(sessions=sessions, inspector_days=inspector_days, member=by, version=version, mark=uuid4())


def in_works(by: Member, **changes: Any) -> Engine:
    """Without a boiler, so that no test of one is asked for."""
    engine = make_engine(made_by=by, configuration=changes.pop("configuration", ONE_CYLINDER), **changes)
    make_stop(engine, by)
    return engine


def with_boiler(by: Member, **changes: Any) -> Engine:
    return in_works(by, configuration={**ONE_CYLINDER, "boiler": "copper"}, **changes)


def make_papers(engine: Engine, by: Member, *, days: int) -> None:
    """Both papers that steam needs, good for so many days from today."""
    for kind in ("hydraulic_test", "steam_test"):
        Certificate.objects.create(
            engine=engine, kind=kind, passed_on=TODAY - timedelta(days=100), lapses_on=TODAY + timedelta(days=days),
            by_whom="the inspector", recorded_by=by,
        )  # fmt: skip


def ranked_sheet(engine: Engine, by: Member, *, hours: float | None, handed_over: float = 0.0) -> FaultSheet:
    """An open sheet whose ranking leaves so many hours in every sample; None: not worked out."""
    sheet = FaultSheet.objects.create(
        engine=engine, complaint="Will not turn", configuration=engine.configuration, opened_by=by, opened_at=NOON
    )
    model, _ = ExpandedModel.objects.get_or_create(checksum="of a test", defaults={"mapping": {}})
    minutes = [] if hours is None else [60 * hours] * 200
    Snapshot.objects.create(
        sheet=sheet, model=model, knowledge_checksum="", configuration_number=1, facts_checksum="",
        remaining_minutes=minutes, handed_over_share=None if hours is None else handed_over,
    )  # fmt: skip
    return sheet


def forecast(engine: Engine, by: Member, **changes: Any) -> Forecast:
    return make_forecast(**{"engine": engine, "member": by, "at": NOON, "mark": uuid4(), **changes})


def gaps(made: Forecast) -> str:
    return " ".join(gap["words"] for gap in made.missing)
