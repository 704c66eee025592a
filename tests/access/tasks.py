"""Routes of what comes off, lies in boxes, hangs or soaks; the app's others are in work.py."""

from typing import Any

from tests.access.table import Row, World
from tests.faults.builders import make_part, make_soak
from tests.tasks.bench_builders import (
    join,
    make_attempt,
    make_box,
    make_connection,
    make_fixings,
    make_tag,
    sent,
)  # fmt: skip

WORKERS = {"member": "redirect", "mate": "redirect", "owner": "redirect"}
PRIVATE = {"owner": "ok", "member": "ok", "*": "hidden"}
PRIVATE_POST = {"owner": "redirect", "member": "redirect", "*": "hidden"}
ANY_MEMBER = {"*": "redirect"}


def _part(world: World) -> Any:
    return make_part(world.engine, world.cast.member)


def _hidden_part(world: World) -> Any:
    return make_part(world.private_engine, world.cast.member)


def _soak(world: World) -> Any:
    return make_soak(world.engine, world.cast.member)


def _tag(world: World) -> Any:
    return make_tag(world.engine, world.cast.member)


def _connection(world: World) -> Any:
    return make_connection(world.engine, world.cast.member)


def _joined(world: World) -> Any:
    return join(_connection(world), world.cast.member)


def _hidden_connection(world: World) -> Any:
    return make_connection(world.private_engine, world.cast.member)


def _attempt(world: World) -> Any:
    return make_attempt(world.engine, world.cast.member)


def _water(world: World) -> dict[str, Any]:
    return sent(
        carries="water", name="feed pipe", end_a="pump", end_b="clack", flow="a_to_b", closed_a="open", closed_b="open",
        apart_already="on",
    )  # fmt: skip


def _engine_page(route: str, post: dict[str, Any] | None = None) -> list[Row]:
    """A page of an engine: everybody sees it, and adds to it at least as a helper; a private engine's is hidden."""
    posts: dict[str, Any] = {"post": ANY_MEMBER, "data": lambda world: sent(**(post or {}))} if post else {}
    return [
        Row(route, args=lambda world: [world.engine.pk], get={"*": "ok"}, **posts),
        Row(route, why="private", args=lambda world: [world.private_engine.pk], get=PRIVATE),
    ]


def _struck_by_writer(route: str, make: Any) -> Row:
    """`member` wrote it: they and the mentors strike it out."""
    may = {"member": "ok", "mentor": "ok", "mentor2": "ok", "*": "refused"}
    return Row(
        route, args=lambda world: [make(world).pk], get=may,
        post={role: "redirect" if word == "ok" else word for role, word in may.items()},
        data=lambda world: sent(reason="on the wrong engine"),
    )  # fmt: skip


def _accepted(route: str, make: Any) -> Row:
    return Row(route, args=lambda world: [make(world).pk], post={**WORKERS, "*": "refused"}, data=lambda world: sent())


ROWS: list[Row] = [
    *_engine_page("tasks:off", {"part": "connecting_rod@left", "box": "4"}),
    *_engine_page("tasks:refit", {"part": "connecting_rod@right", "ending": "refitted"}),
    Row(
        "tasks:part", args=lambda world: [_part(world).pk], get={"*": "ok"}, post=ANY_MEMBER,
        data=lambda world: sent(version=1, part="connecting_rod@left", box="4"),
    ),
    Row("tasks:part", why="private", args=lambda world: [_hidden_part(world).pk], get=PRIVATE),
    Row(
        "tasks:end_part", args=lambda world: [_part(world).pk], post=ANY_MEMBER,
        data=lambda world: sent(ending="refitted"),
    ),
    Row(
        "tasks:end_part", why="private", args=lambda world: [_hidden_part(world).pk], post=PRIVATE_POST,
        data=lambda world: sent(ending="refitted"),
    ),
    Row("tasks:part_photos", args=lambda world: [_part(world).pk], post={"*": "invalid"}),
    Row("tasks:part_photos", why="private", args=lambda world: [_hidden_part(world).pk],
        post={"owner": "invalid", "member": "invalid", "*": "hidden"}),
    Row(
        "tasks:fixings", args=lambda world: [_part(world).pk], post=ANY_MEMBER,
        data=lambda world: sent(how_many=4, thread="6 BA"),
    ),
    _struck_by_writer("tasks:strike_fixings", lambda world: make_fixings(_part(world), world.cast.member)),
    _accepted("tasks:accept_part", lambda world: make_part(world.engine, world.cast.stranger, accepted=False)),
    _struck_by_writer("tasks:strike_part", _part),
    _accepted("tasks:refuse_part", _part),
    _accepted("tasks:refuse_connection", _joined),
    _accepted("tasks:refuse_soak", _soak),
    Row("tasks:boxes", get={"*": "ok"}, post=ANY_MEMBER, data=lambda world: sent(places=6)),
    Row("tasks:box", args=lambda world: [make_box(world.cast.member).code], get={"*": "ok"}),
    Row(
        "tasks:change_box", args=lambda world: [make_box(world.cast.member).code], get={"*": "ok"}, post=ANY_MEMBER,
        data=lambda world: sent(version=1, places=4),
    ),
    Row("tasks:box_label", args=lambda world: [make_box(world.cast.member).code], get={"*": "ok"}),
    *_engine_page("tasks:labels"),
    Row("tasks:connections", args=lambda world: [world.engine.pk], get={"*": "ok"}, post=ANY_MEMBER, data=_water),
    Row("tasks:connections", why="private", args=lambda world: [world.private_engine.pk], get=PRIVATE),
    Row("tasks:connection", args=lambda world: [_connection(world).pk], get={"*": "ok"}),
    Row("tasks:connection", why="private", args=lambda world: [_hidden_connection(world).pk], get=PRIVATE),
    Row("tasks:join", args=lambda world: [_connection(world).pk], post=ANY_MEMBER, data=lambda world: sent()),
    Row("tasks:join", why="private", args=lambda world: [_hidden_connection(world).pk], post=PRIVATE_POST,
        data=lambda world: sent()),
    Row(
        "tasks:check_pair", args=lambda world: [_joined(world).pk], data=lambda world: sent(),
        post={**WORKERS, "mentor": "redirect", "mentor2": "redirect", "*": "refused"},
    ),
    _accepted(
        "tasks:accept_connection", lambda world: make_connection(world.engine, world.cast.stranger, stands=False)
    ),
    _struck_by_writer("tasks:strike_connection", _connection),
    *_engine_page("tasks:tags", {"kind": "no_air", "reason": "the chest is open"}),
    Row(
        "tasks:take_tag_off", args=lambda world: [_tag(world).pk], data=lambda world: sent(),
        post={**WORKERS, "mentor": "redirect", "mentor2": "redirect", "*": "refused"},
    ),
    Row("tasks:tag_sheet", args=lambda world: [_tag(world).pk], get={"*": "ok"}),
    _accepted("tasks:accept_tag", lambda world: make_tag(world.engine, world.cast.stranger, stands=False)),
    *_engine_page("tasks:soaks", {"place": "left", "fluid": "steam oil", "due_at": "2090-01-01T10:00"}),
    Row("tasks:care", args=lambda world: [_soak(world).pk], post=ANY_MEMBER, data=lambda world: sent()),
    Row("tasks:end_soak", args=lambda world: [_soak(world).pk], post=ANY_MEMBER, data=lambda world: sent()),
    _accepted("tasks:accept_soak", lambda world: make_soak(world.engine, world.cast.stranger, accepted=False)),
    _struck_by_writer("tasks:strike_soak", _soak),
    *_engine_page(
        "tasks:freeing", {"place": "left", "method": "rocked", "push": "stiff", "forward": "2 deg", "back": "0"}
    ),
    _accepted("tasks:accept_attempt", lambda world: make_attempt(world.engine, world.cast.stranger, stands=False)),
    _struck_by_writer("tasks:strike_attempt", _attempt),
]  # fmt: skip
