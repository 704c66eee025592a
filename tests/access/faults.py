"""A mentor, the hands (member, mate) and the owner write; other members help; only mentors answer, never their own."""

from typing import Any
from uuid import uuid4

from tests.access.table import Row, World
from tests.faults.builders import make_go_ahead, make_sheet, make_step

SHEET = "wheels_stiff"
CHECK = "turn_wheels_all_on"
RISKY = "free_rusted_piston@left"
WRITERS = {"member": "redirect", "mate": "redirect", "owner": "redirect", "mentor": "redirect", "mentor2": "redirect"}
READERS = {"member": "ok", "mate": "ok", "owner": "ok", "mentor": "ok", "mentor2": "ok"}
PRIVATE = {"owner": "ok", "member": "ok", "*": "hidden"}


def _mark(**fields: Any) -> dict[str, Any]:
    return {"submission": str(uuid4()), **fields}


def _sheet(world: World) -> list[Any]:
    return [make_sheet(world.engine, opened_by=world.cast.owner).pk]


def _private(world: World) -> list[Any]:
    return [make_sheet(world.private_engine, opened_by=world.cast.owner).pk]


def _with(value: str) -> Any:
    return lambda world: [*_sheet(world), value]


def _step(world: World, **changes: Any) -> list[Any]:
    sheet = make_sheet(world.engine, opened_by=world.cast.owner)
    return [make_step(sheet, changes.pop("by", world.cast.member), **changes).pk]


def _go_ahead(world: World) -> list[Any]:
    sheet = make_sheet(world.engine, opened_by=world.cast.owner)
    return [make_go_ahead(sheet, world.cast.mentor2, action=RISKY).pk]


ROWS: list[Row] = [
    Row("faults:sheets", get={"*": "ok"}),
    Row(
        "faults:open",
        args=lambda world: [world.engine.pk],
        get={**READERS, "*": "refused"},
        post={**WRITERS, "*": "refused"},
        data=lambda world: _mark(
            complaint="Will not turn", ever_ran="yes", ran_well_when_put_away="not_known", rebuilt_since="no",
            first_run_done="not_known", years="12",
        ),
    ),  # fmt: skip
    Row("faults:open", why="private", args=lambda world: [world.private_engine.pk], get=PRIVATE),
    Row("faults:sheet", args=_sheet, get={"*": "ok"}),
    Row("faults:sheet", why="private", args=_private, get=PRIVATE),
    Row("faults:causes", args=_sheet, get={"*": "ok"}),
    Row("faults:causes", why="private", args=_private, get=PRIVATE),
    Row("faults:state", args=_sheet, get={**READERS, "*": "refused"}, post={**dict.fromkeys(WRITERS, "invalid"), "*": "refused"}),
    Row("faults:history", args=_sheet, get={**READERS, "*": "refused"}, post={**dict.fromkeys(WRITERS, "invalid"), "*": "refused"}),
    Row("faults:rank", args=_sheet, post={"*": "redirect"}, data=lambda world: _mark()),
    Row("faults:rank", why="private", args=_private, post={"owner": "redirect", "member": "redirect", "*": "hidden"}, data=lambda world: _mark()),
    Row("faults:findings", args=_sheet, get={"*": "ok"}),
    Row("faults:findings", why="private", args=_private, get=PRIVATE),
    Row("faults:finding", args=_with(SHEET), get={"*": "ok"}),
    Row("faults:actions", args=_sheet, get={"*": "ok"}),
    Row("faults:action", args=_with(CHECK), get={"*": "ok"}),
    Row("faults:observe", args=_sheet, post={"*": "redirect"}, data=lambda world: _mark(finding=SHEET, level="1", reported="yes")),
    Row("faults:observe", why="private", args=_private, post={"owner": "redirect", "member": "redirect", "*": "hidden"},
        data=lambda world: _mark(finding=SHEET, level="1")),
    Row("faults:record", args=_sheet, post={"*": "redirect"}, data=lambda world: _mark(action=CHECK, answer="1")),
    Row("faults:record", why="private", args=_private, post={"owner": "redirect", "member": "redirect", "*": "hidden"},
        data=lambda world: _mark(action=CHECK, answer="1")),
    Row("faults:note", args=_sheet, post={"*": "redirect"}, data=lambda world: _mark(note="Left as it stands.")),
    Row("faults:undo", args=_step, post={"member": "redirect", "*": "refused"}, data=lambda world: _mark()),
    Row("faults:strike", args=_step, get={"member": "ok", "mentor": "ok", "mentor2": "ok", "*": "refused"},
        post={"member": "redirect", "mentor": "redirect", "mentor2": "redirect", "*": "refused"},
        data=lambda world: _mark(reason="wrong side")),
    Row("faults:accept", args=lambda world: _step(world, by=world.cast.stranger, accepted=False),
        post={"member": "redirect", "mate": "redirect", "owner": "redirect", "*": "refused"}, data=lambda world: _mark()),
    Row("faults:ask", args=_sheet, post={**WRITERS, "*": "refused"}, data=lambda world: _mark(action=RISKY, reason="It is rusted.")),
    Row("faults:go_ahead", args=_go_ahead, get={"*": "ok"}, post={"mentor": "redirect", "*": "refused"},
        data=lambda world: _mark(answer="given", conditions="not alone")),
    Row("faults:go_ahead", why="private", args=lambda world: [make_go_ahead(make_sheet(world.private_engine, opened_by=world.cast.owner), world.cast.owner, action=RISKY).pk],
        get=PRIVATE, post={"owner": "refused", "member": "refused", "*": "hidden"}, data=lambda world: _mark(answer="given")),
]  # fmt: skip
