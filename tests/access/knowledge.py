"""Every member reads the knowledge and what was proposed; mentors propose; another mentor answers, never their own."""

from collections.abc import Callable
from typing import Any

from tests.access.faults import EVERYBODY_READS, PRIVATE_READ, _mark, _private
from tests.access.table import Row, World
from tests.faults.changing import PACKING, change_of

KIND, ENTRY = PACKING
HOLDS = ("mentor", "mentor2")
MENTORS_READ = {**dict.fromkeys(HOLDS, "ok"), "*": "refused"}
MENTORS_WRITE = {**dict.fromkeys(HOLDS, "redirect"), "*": "refused"}
OWN_DRAFT, OWN_WRITE = {"mentor": "ok", "*": "hidden"}, {"mentor": "redirect", "*": "hidden"}
OWN_INVALID = {"mentor": "invalid", "*": "hidden"}


def _entry(world: World) -> list[Any]:
    return [KIND, ENTRY]


def _change(*more: Any, **fields: Any) -> Callable[[World], list[Any]]:
    return lambda world: [change_of(world.cast.mentor, **fields).pk, *more]


def _on_version(**data: Any) -> Callable[[World], dict[str, Any]]:
    return _mark(version="1", **data)


ROWS: list[Row] = [
    Row("faults:knowledge", get=EVERYBODY_READS),
    Row("faults:known_parts", get=EVERYBODY_READS),
    Row("faults:sources", get=EVERYBODY_READS),
    Row("faults:knowledge_files", get=EVERYBODY_READS),
    Row("faults:changes", get=EVERYBODY_READS),
    Row("faults:entry", _entry, get=EVERYBODY_READS),
    Row("faults:entry", lambda world: ["causes", "no_such_cause"], why="unknown", get={"*": "hidden"}),
    Row("faults:compare", get={"*": "hidden"}, why="nothing to compare"),
    Row("faults:compare_on_sheet", lambda world: [_private(world).pk], why="private", get=PRIVATE_READ),
    Row("faults:new_entry", get=MENTORS_READ, post={**dict.fromkeys(HOLDS, "invalid"), "*": "refused"}),
    Row("faults:withdraw_entry", _entry, get=MENTORS_READ, post={**dict.fromkeys(HOLDS, "invalid"), "*": "refused"}),
    Row("faults:begin_change", _entry, post=MENTORS_WRITE, data=_mark()),
    Row("faults:change", _change(), get=EVERYBODY_READS),
    Row("faults:change", _change(state="draft"), why="another's draft", get=OWN_DRAFT),
    Row("faults:edit_change", _change(0, "text", state="draft"), get=OWN_DRAFT, post=OWN_INVALID),
    Row("faults:edit_change", _change(0, "text"), why="sent", get={"*": "refused"}, post={"*": "refused"}),
    Row(
        "faults:bring_along", _change(state="draft"), post=OWN_WRITE,
        data=_on_version(kind="causes", entry="piston_rod_bent"),
    ),
    Row("faults:leave_out_of_change", _change(1, state="draft"), post=OWN_INVALID, data=_on_version()),
    Row("faults:work_out_change", _change(), post=MENTORS_WRITE, data=_on_version()),
    Row("faults:send_change", _change(state="draft"), post=OWN_INVALID, data=_on_version()),
    Row("faults:let_go_change", _change(), post={"mentor": "redirect", "*": "refused"}, data=_on_version()),
    Row("faults:begin_change_anew", _change(), post={"mentor": "invalid", "*": "refused"}, data=_on_version()),
    Row(
        "faults:answer_change", _change(), post={"mentor2": "redirect", "*": "refused"},
        data=_mark(decision="declined", answer="Two are not five."),
    ),
    Row("faults:answer_change", _change(state="draft"), why="a draft", post={"mentor": "refused", "*": "hidden"}),
]  # fmt: skip
