"""Routes of traffic: who gets what."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

from django.utils import timezone

from restorations.traffic.models import ClosedSpell
from tests.access.table import Row, World
from tests.traffic.forecast_builders import make_pattern, make_stop

RUNS_THE_SHOP = {"secretary": "redirect", "administrator": "redirect", "*": "refused"}
STATE_IS_SEEN = {"owner": "ok", "member": "ok", "secretary": "ok", "*": "hidden"}


def _mark(**fields: Any) -> dict[str, Any]:
    return {"submission": str(uuid4()), **fields}


def _stopped(engine: Any) -> list[Any]:
    make_stop(engine, engine.made_by)
    return [engine.pk]


def _shut(world: World) -> list[Any]:
    today = timezone.localdate()
    spell = ClosedSpell.objects.create(
        first_on=today, last_on=today + timedelta(days=3), why="the show", recorded_by=world.cast.secretary
    )
    return [spell.pk]


def _with_sessions(world: World) -> list[Any]:
    make_pattern(world.cast.secretary)
    return []


FORECASTS: list[Row] = [
    Row("traffic:forecast", args=lambda world: _stopped(world.engine), get={"*": "ok"}),
    Row("traffic:forecast", why="private", args=lambda world: _stopped(world.private_engine), get=STATE_IS_SEEN),
    Row(
        "traffic:work_out_forecast",
        args=lambda world: _stopped(world.engine),
        data=lambda world: _mark(),
        post={
            **dict.fromkeys(("member", "mate", "owner", "mentor", "mentor2", "secretary"), "redirect"),
            "*": "refused",
        },
    ),
    Row(
        "traffic:work_out_forecast",
        why="private",
        args=lambda world: _stopped(world.private_engine),
        data=lambda world: _mark(),
        post={**dict.fromkeys(("member", "owner", "secretary"), "redirect"), "*": "hidden"},
    ),
    Row(
        "traffic:working_sessions",
        args=_with_sessions,
        get={"*": "ok"},
        data=lambda world: _mark(version=2, hours_1="2", hands_1="1"),
        post=RUNS_THE_SHOP,
    ),
    Row(
        "traffic:close_shop",
        data=lambda world: _mark(
            first_on=timezone.localdate(), last_on=timezone.localdate() + timedelta(days=1), why="the show"
        ),
        post=RUNS_THE_SHOP,
    ),
    Row("traffic:strike_closing", args=_shut, data=lambda world: _mark(reason="open after all"), post=RUNS_THE_SHOP),
]

ROWS: list[Row] = [
    *FORECASTS,
    Row("traffic:office", get={"secretary": "ok", "administrator": "ok", "*": "refused"}),
    Row("traffic:report", get={"secretary": "ok", "administrator": "ok", "*": "refused"}),
]
