from typing import Any
from uuid import uuid4

from tests.access.table import Row, World
from tests.faults.builders import make_part, make_soak

WORKERS = {"member": "redirect", "mate": "redirect", "owner": "redirect"}
PRIVATE = {"owner": "ok", "member": "ok", "*": "hidden"}


def _mark(**fields: Any) -> dict[str, Any]:
    return {"submission": str(uuid4()), **fields}


def _soak(world: World) -> dict[str, Any]:
    return _mark(place="left", fluid="steam oil", due_at="2090-01-01T10:00")


ROWS: list[Row] = [
    Row(
        "tasks:off",
        args=lambda world: [world.engine.pk],
        get={"*": "ok"},
        post={"*": "redirect"},
        data=lambda world: _mark(part="connecting_rod@left", box="4"),
    ),
    Row("tasks:off", why="private", args=lambda world: [world.private_engine.pk], get=PRIVATE),
    Row(
        "tasks:end_part",
        args=lambda world: [make_part(world.engine, world.cast.member).pk],
        post={"*": "redirect"},
        data=lambda world: _mark(ending="refitted"),
    ),
    Row(
        "tasks:end_part",
        why="private",
        args=lambda world: [make_part(world.private_engine, world.cast.member).pk],
        post={"owner": "redirect", "member": "redirect", "*": "hidden"},
        data=lambda world: _mark(ending="refitted"),
    ),
    Row(
        "tasks:accept_part",
        args=lambda world: [make_part(world.engine, world.cast.stranger, accepted=False).pk],
        post={**WORKERS, "*": "refused"},
        data=lambda world: _mark(),
    ),
    Row("tasks:soaks", args=lambda world: [world.engine.pk], get={"*": "ok"}, post={"*": "redirect"}, data=_soak),
    Row("tasks:soaks", why="private", args=lambda world: [world.private_engine.pk], get=PRIVATE),
    Row(
        "tasks:end_soak",
        args=lambda world: [make_soak(world.engine, world.cast.member).pk],
        post={"*": "redirect"},
        data=lambda world: _mark(),
    ),
]
