"""Routes of stops, lay-up, return to traffic and the emergency cards: who gets what."""

from typing import Any

from restorations.engines.models import LayUp
from tests.access.table import Row, World
from tests.factories import make_stop

EVERY_MEMBER = {"*": "ok"}
NOTHING_SENT = {"*": "invalid"}
EVERYBODY = {"*": "ok", "anonymous": "ok"}
KEEPERS = {
    **dict.fromkeys(("member", "mate", "owner", "mentor", "mentor2", "secretary"), "ok"), "*": "refused"
}  # fmt: skip
KEEPERS_SEND_NOTHING = {role: "invalid" if answer == "ok" else answer for role, answer in KEEPERS.items()}
PRIVATE_STATE = {"owner": "ok", "member": "ok", "secretary": "ok", "*": "hidden"}
MENTORS = {"mentor": "invalid", "mentor2": "invalid", "*": "refused"}
INSPECTOR = {"inspector": "ok", "*": "refused"}
INSPECTOR_SENDS_NOTHING = {"inspector": "invalid", "*": "refused"}
NUMBER = {"inspector": "ok", "secretary": "ok", "administrator": "ok", "*": "refused"}


def _engine(world: World) -> list[int]:
    return [world.engine.pk]


def _private(world: World) -> list[int]:
    return [world.private_engine.pk]


def _stop(world: World) -> list[int]:
    return [make_stop(world.engine).pk]


def _boiler_stop(world: World) -> list[int]:
    return [make_stop(world.engine, kind="boiler", cause_class="boiler").pk]


def _private_stop(world: World) -> list[int]:
    return [make_stop(world.private_engine).pk]


def _laid_up(world: World) -> list[int]:
    stop = make_stop(world.engine, kind="laid_up", cause_class="storage")
    LayUp.objects.create(stoppage=stop)
    return [stop.pk]


def _care(world: World) -> list[int]:
    (stop,) = _laid_up(world)
    row = LayUp.objects.get(stoppage=stop).care.create(
        item="oiled", done_on="2026-01-02", done_by="A", recorded_by=world.cast.member
    )
    return [stop, row.pk]


def _kind(world: World) -> list[Any]:
    return ["low_water"]


ROWS: list[Row] = [
    Row("engines:report_defect", _engine, get=EVERY_MEMBER, post=NOTHING_SENT),
    Row("engines:report_defect", _private, why="private", get=PRIVATE_STATE),
    Row("engines:take_out", _engine, get=KEEPERS, post=KEEPERS_SEND_NOTHING),
    Row("engines:lay_up", _engine, get=KEEPERS, post=KEEPERS_SEND_NOTHING),
    Row("engines:stoppages", _engine, get=EVERY_MEMBER),
    Row("engines:stoppages", _private, why="private", get=PRIVATE_STATE),
    Row("engines:stoppage", _stop, get=EVERY_MEMBER),
    Row("engines:stoppage", _private_stop, why="private", get=PRIVATE_STATE),
    Row("engines:add_to_stop", _stop, post=NOTHING_SENT),
    Row("engines:update_stop", _stop, get=KEEPERS, post=KEEPERS_SEND_NOTHING),
    Row("traffic:strike_stop", _stop, post=MENTORS),
    Row("traffic:strike_stop", _boiler_stop, why="boiler", post=INSPECTOR_SENDS_NOTHING),
    Row("engines:lay_up_plan", _laid_up, get=KEEPERS, post=KEEPERS_SEND_NOTHING),
    Row("engines:give_care", _laid_up, post=KEEPERS_SEND_NOTHING),
    Row("engines:strike_care", _care, get=KEEPERS, post=KEEPERS_SEND_NOTHING),
    Row(
        "engines:left", _engine, get={"owner": "ok", "secretary": "ok", "*": "refused"},
        post={"owner": "invalid", "secretary": "invalid", "*": "refused"},
    ),
    Row("engines:emergency", get=EVERYBODY),
    Row("engines:emergency_card", _kind, get=EVERYBODY),
    Row("engines:word_card", _kind, get=INSPECTOR, post=INSPECTOR_SENDS_NOTHING),
    Row(
        "engines:emergency_number", get=NUMBER,
        post={role: "invalid" if answer == "ok" else answer for role, answer in NUMBER.items()},
    ),
    Row("traffic:returning", _engine, get=EVERY_MEMBER),
    Row("traffic:returning", _private, why="private", get=PRIVATE_STATE),
    Row("traffic:sign_fit", _engine, post=MENTORS),
    Row("traffic:record_return", _engine, post={"secretary": "invalid", "*": "refused"}),
    Row("traffic:lift_stop", _boiler_stop, get=INSPECTOR, post=INSPECTOR_SENDS_NOTHING),
    Row("traffic:lift_stop", _stop, why="not the boiler's", get={"*": "refused"}, post={"*": "refused"}),
]  # fmt: skip
