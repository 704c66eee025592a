"""Sheets, steps and what lies on the bench, for tests. A sheet's first ranking is worked out once and copied."""

from datetime import datetime, timedelta
from functools import cache
from typing import Any
from uuid import uuid4

from restorations.engines.models import Engine
from restorations.faults import services
from restorations.faults.drafts import draft_of_answer, draft_of_finding
from restorations.faults.facts import BenchFacts, SheetState, facts_from, first_state
from restorations.faults.models import ExpandedModel, FaultSheet, GoAhead, Snapshot, Step
from restorations.faults.ranking import Ranking, rank
from restorations.faults.services.sheets import Ground, ground_of
from restorations.faults.standing_kinds import is_of_boiler
from restorations.knowledge import Configuration, EngineKnowledge, History, HistoryAnswers, Prices, expand, load
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.tasks.models import Soak, StrippedPart
from tests.cast import Cast
from tests.factories import NOON, make_engine

IDLE = History(general=HistoryAnswers(ever_ran="yes", years=12))
# Everything known and little of it: quick to rank. A mill engine with one cylinder, and the same with two sides.
ONE_CYLINDER = {
    "kind": "stationary_engine", "cylinder_layout": "one", "cylinder_mounting": "fixed", "valve": "slide",
    "valve_gear": "fixed_eccentric", "reverser": "none", "cylinder_material": "brass", "piston_sealing": "packing",
    "piston_rod_material": "steel", "lubricator": "none", "drain_cocks": "none", "snifting_valve": "none",
    "superheater": "none", "truck": "none", "brake": "none", "feed_pump": "none", "hand_pump": "none",
    "injector": "none", "boiler": "none", "fuel": "none", "coupled_axles": 1, "driving_axle": 1,
}  # fmt: skip
OSCILLATING = {**ONE_CYLINDER, "cylinder_mounting": "oscillating", "valve": "oscillating"}
TWO_SIDES = {**ONE_CYLINDER, "cylinder_layout": "two_outside", "valve_gear": "slip_eccentric"}


@cache
def _known(configuration: Configuration) -> tuple[EngineKnowledge, Ranking, dict[str, Any]]:
    expanded = expand(load(), configuration, IDLE)
    facts = facts_from(first_state(expanded), BenchFacts(), turns=False, go_aheads=frozenset(), consents=frozenset())
    return expanded, rank(expanded, [], facts, Prices()), expanded.as_mapping()


def make_sheet(
    engine: Engine, *, opened_by: Member, complaint: str = "Will not turn", at: datetime = NOON
) -> FaultSheet:
    """As services.open_sheet makes it, for an engine idle for twelve years; what was worked out once is copied."""
    configuration = engine.configuration
    expanded, ranking, mapping = _known(configuration.as_configuration())
    sheet = FaultSheet.objects.create(
        engine=engine, complaint=complaint, history=IDLE.as_mapping(), configuration=configuration, opened_at=at,
        opened_by=opened_by, state=first_state(expanded).plain(),
    )  # fmt: skip
    snapshot = Ground(load(), configuration, expanded, BenchFacts(), []).row(sheet, ranking)
    snapshot.model, _ = ExpandedModel.objects.get_or_create(checksum=expanded.checksum, defaults={"mapping": mapping})
    snapshot.save()
    return sheet


def bench_engine(cast: Cast, **changes: Any) -> Engine:
    """An engine of `owner` with one cylinder, that `member` and `mate` work on."""
    plain = {"owner_member": cast.owner, "hands": (cast.member, cast.mate), "configuration": ONE_CYLINDER}
    return make_engine(made_by=cast.owner, **{**plain, **changes})


def two_sided(cast: Cast, **changes: Any) -> Engine:
    return bench_engine(cast, configuration=TWO_SIDES, **changes)


def bench_sheet(cast: Cast, **changes: Any) -> FaultSheet:
    return make_sheet(bench_engine(cast), opened_by=cast.member, **changes)


def make_step(
    sheet: FaultSheet, by: Member, *, accepted: bool = True, at: datetime | None = None, **fields: Any
) -> Step:
    """A line on a sheet as it stands in the table, with no ranking behind it."""
    from django.utils import timezone

    at = at or timezone.now()
    plain = {
        "kind": "observation", "finding": "wheels_stiff", "level": 1, "words": "Wheels stiff: stiff",
        "state": {**SheetState.of(sheet.state).plain(), "off": []},
    }  # fmt: skip
    return Step.objects.create(
        sheet=sheet, number=sheet.steps.count() + 1, happened_at=at, recorded_at=at, done_by=by, recorded_by=by,
        accepted_at=at if accepted else None, accepted_by=by if accepted else None, **{**plain, **fields},
    )  # fmt: skip


def see(sheet: FaultSheet, by: Member, finding: str, level: int, *, accepted: bool = True, **fields: Any) -> Step:
    """Record something seen, through the service."""
    at = fields.pop("at", NOON)
    draft = draft_of_finding(ground_of(sheet, at=at).expanded, finding, level, reported=fields.pop("reported", True))
    return _record(sheet, by, draft, accepted, at, fields)


def do(sheet: FaultSheet, by: Member, action: str, answer: str, *, accepted: bool = True, **fields: Any) -> Step:
    """Record the answer to a check or remedy, through the service."""
    at = fields.pop("at", NOON)
    draft = draft_of_answer(ground_of(sheet, at=at).expanded, action, answer)
    return _record(sheet, by, draft, accepted, at, fields)


def _record(
    sheet: FaultSheet, by: Member, draft: services.StepDraft, accepted: bool, at: datetime, fields: dict[str, Any]
) -> Step:
    from dataclasses import replace

    mark = fields.pop("mark", None) or uuid4()
    return services.record_step(sheet=sheet, draft=replace(draft, **fields), doing=Doing(by, at, accepted), mark=mark)


def make_go_ahead(sheet: FaultSheet, by: Member, *, action: str, **fields: Any) -> GoAhead:
    """With what the knowledge says of the step, where it knows it."""
    name = action.partition("@")[0]
    entry = load().checks.get(name) or load().remedies.get(name)
    plain: dict[str, Any] = {"words": action}
    if entry is not None:
        plain |= {
            "words": entry.title, "risk_person": entry.risk_person, "risk_engine": entry.risk_engine,
            "authority": "inspector" if entry.authority == "inspector" else "mentor",
            "is_of_boiler": is_of_boiler(entry),
        }  # fmt: skip
    return GoAhead.objects.create(**{"sheet": sheet, "action": action, "asked_by": by, **plain, **fields})


def make_part(engine: Engine, by: Member, *, accepted: bool = True, **fields: Any) -> StrippedPart:
    stands = {"accepted_at": NOON, "accepted_by": by} if accepted else {}
    number = engine.stripped_parts.count() + 1
    plain = {"component": "connecting_rod", "place": "left", "box": "4", "off_at": NOON, "off_by": by, "number": number}
    return StrippedPart.objects.create(engine=engine, **{**plain, **stands, **fields})


def make_soak(engine: Engine, by: Member, *, accepted: bool = True, **fields: Any) -> Soak:
    stands = {"accepted_at": NOON, "accepted_by": by} if accepted else {}
    plain = {"place": "left", "fluid": "release oil", "is_volatile": True, "begun_at": NOON, "begun_by": by}
    return Soak.objects.create(engine=engine, **{**plain, "due_at": NOON + timedelta(days=4), **stands, **fields})


def latest(sheet: FaultSheet) -> Snapshot:
    return sheet.snapshots.order_by("-pk")[0]
