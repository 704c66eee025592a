"""Routes of traffic: who gets what."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

from django.utils import timezone

from restorations.traffic.models import ClosedSpell, Road
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


def _road() -> Road:
    return Road.objects.get_or_create(name="Shed road 1")[0]


def _on_the_road(world: World) -> list[Any]:
    _road()
    return [world.engine.pk]


def _move(world: World) -> dict[str, Any]:
    return _mark(road=_road().pk, since="2026-01-10")


MOVERS = dict.fromkeys(("member", "mate", "owner", "mentor", "mentor2", "secretary"), "ok") | {"*": "refused"}
MOVED = {who: "redirect" if said == "ok" else said for who, said in MOVERS.items()}

ROWS: list[Row] = [
    *FORECASTS,
    Row("traffic:shed", get={"*": "ok"}),
    Row("traffic:move", args=_on_the_road, get=MOVERS, post=MOVED, data=_move),
    Row(
        "traffic:move",
        why="private",
        args=lambda world: [world.private_engine.pk],
        get={"owner": "ok", "member": "ok", "secretary": "ok", "*": "hidden"},
    ),
    Row(
        "traffic:roads",
        get={"secretary": "ok", "administrator": "ok", "*": "refused"},
        post={"secretary": "redirect", "administrator": "redirect", "*": "refused"},
        data=lambda world: _mark(name="Shed road 3", kind="shed", position=3),
    ),
    Row(
        "traffic:take_up",
        args=lambda world: [_road().pk],
        data=lambda world: _mark(),
        post={"secretary": "redirect", "administrator": "redirect", "*": "refused"},
    ),
    Row("traffic:office", get={"secretary": "ok", "administrator": "ok", "*": "refused"}),
    Row("traffic:report", get={"secretary": "ok", "administrator": "ok", "*": "refused"}),
]
