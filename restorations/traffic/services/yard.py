"""The club's roads, and engines moved on them."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.traffic.models import EngineStands, Road


@dataclass(frozen=True, slots=True)
class Move:
    """Where to, since when, who moved it."""

    road: Road
    since: date
    moved_by: str = ""
    note: str = ""


def move_engine(*, engine: Engine, move: Move, doing: Doing, mark: UUID) -> EngineStands:
    """Raises ValidationError where it stands there already, or came to where it stands later than that."""

    def make() -> EngineStands:
        Engine.objects.select_for_update().get(pk=engine.pk)
        before = EngineStands.objects.now().filter(engine=engine).select_related("road").first()
        if before is not None:
            _end(before, move)
        row = EngineStands.objects.create(
            engine=engine, road=move.road, since=move.since, moved_by=move.moved_by, note=move.note,
            recorded_by=doing.member, recorded_at=doing.at,
        )  # fmt: skip
        record(
            doing.member, "moved an engine", row, before={"road": before.road if before else ""},
            after={"engine": engine, "road": move.road, "since": move.since},
        )  # fmt: skip
        return row

    return submit_once(doing.member, mark, make)[0]


def _end(before: EngineStands, move: Move) -> None:
    if before.road_id == move.road.pk:
        raise ValidationError({"road": f"It stands on {before.road} already, since {before.since:%d %b %Y}."})
    if move.since < before.since:
        raise ValidationError({"since": f"It came to {before.road} on {before.since:%d %b %Y}: not earlier than that."})
    EngineStands.objects.filter(pk=before.pk).update(until=move.since)


def lay_road(*, columns: dict[str, Any], member: Member, mark: UUID) -> Road:
    def make() -> Road:
        try:
            with transaction.atomic():
                row = Road.objects.create(**columns)
        except IntegrityError:
            raise ValidationError({"name": "There is a road of that name already."}) from None
        record(member, "laid a road", row, after=columns)
        return row

    return submit_once(member, mark, make)[0]


def take_up_road(*, road: Road, on: date, member: Member, mark: UUID) -> Road:
    """Raises ValidationError while an engine stands on it."""

    def make() -> Road:
        standing = EngineStands.objects.now().filter(road=road).select_related("engine").first()
        if standing is not None:
            raise ValidationError(f"{standing.engine} stands on it: move it first.")
        Road.objects.filter(pk=road.pk, taken_up_on__isnull=True).update(taken_up_on=on, version=road.version + 1)
        road.refresh_from_db()
        record(member, "took up a road", road, after={"on": on})
        return road

    return submit_once(member, mark, make)[0]
