"""Hands, owner and mentors say what it was; a mentor closes; another signs, of boiler work the inspector too."""

from collections.abc import Callable
from typing import Any
from uuid import uuid4

from restorations.faults.models import Conclusion, FaultSheet
from tests.access.table import Row, World
from tests.factories import NOON, make_engine
from tests.faults.builders import ONE_CYLINDER, make_sheet

ALL_READ = {"*": "ok"}
PRIVATE_READ = {"owner": "ok", "member": "ok", "*": "hidden"}
WHO_PROPOSES = ("member", "mate", "owner", "mentor", "mentor2")
PROPOSING = {**dict.fromkeys(WHO_PROPOSES, "redirect"), "*": "refused"}
CLOSING = {**dict.fromkeys(("mentor", "mentor2"), "redirect"), "*": "refused"}


def _sheet(world: World, *, private: bool = False) -> FaultSheet:
    owner, member = world.cast.owner, world.cast.member
    engine = make_engine(
        made_by=owner, owner_member=owner, hands=(member, world.cast.mate)[: 1 if private else 2],
        is_private=private, configuration=ONE_CYLINDER,
    )  # fmt: skip
    return make_sheet(engine, opened_by=owner)


def _conclusion(*, private: bool = False, closed: bool = True, **fields: Any) -> Callable[[World], list[Any]]:
    def args(world: World) -> list[Any]:
        sheet, mentor = _sheet(world, private=private), world.cast.mentor
        closing = {"closed_at": NOON, "closed_by": mentor} if closed else {}
        row = Conclusion.objects.create(
            sheet=sheet, number=1, outcome="not_found", concluded_at=NOON, concluded_by=world.cast.member,
            **closing, **fields,
        )  # fmt: skip
        if closed:
            FaultSheet.objects.filter(pk=sheet.pk).update(closed_at=NOON)
        return [row.pk]

    return args


def _data(**fields: Any) -> Callable[[World], dict[str, Any]]:
    return lambda world: {"submission": str(uuid4()), **fields}


def _on(*, private: bool = False) -> Callable[[World], list[Any]]:
    return lambda world: [_sheet(world, private=private).pk]


CONCLUDING = {"outcome": "not_found", "regardless": "Sold as it stands.", "version": 1}
SIGNING = {"mentor2": "redirect", "*": "refused"}

ROWS: list[Row] = [
    Row(
        "faults:conclude", _on(), get={**dict.fromkeys(WHO_PROPOSES, "ok"), "*": "refused"}, post=PROPOSING,
        data=_data(act="propose", **CONCLUDING),
    ),
    Row("faults:conclude", _on(), why="closing", post=CLOSING, data=_data(act="close", **CONCLUDING)),
    Row(
        "faults:conclude", _on(private=True), why="private", get=PRIVATE_READ,
        post={"owner": "redirect", "member": "redirect", "*": "hidden"}, data=_data(act="propose", **CONCLUDING),
    ),
    Row("faults:conclusion", _conclusion(), get=ALL_READ),
    Row("faults:conclusion", _conclusion(private=True), why="private", get=PRIVATE_READ),
    Row("faults:conclusion", lambda world: [987654321], why="no such conclusion", get={"*": "hidden"}),
    Row("faults:sign", _conclusion(), post=SIGNING, data=_data(words="Turned it myself.")),
    Row(
        "faults:sign", _conclusion(is_of_boiler=True), why="boiler work", data=_data(),
        post={**SIGNING, "inspector": "redirect"},
    ),
    Row(
        "faults:sign", _conclusion(private=True), why="private", data=_data(),
        post={"owner": "refused", "member": "refused", "*": "hidden"},
    ),
    Row("faults:reopen", _conclusion(), post=CLOSING, data=_data(reason="It came back.")),
    Row(
        "faults:reopen", _conclusion(is_of_boiler=True), why="boiler work", data=_data(reason="It came back."),
        post={**CLOSING, "inspector": "redirect"},
    ),
    Row(
        "faults:reopen", _conclusion(private=True), why="private", data=_data(reason="It came back."),
        post={"owner": "refused", "member": "refused", "*": "hidden"},
    ),
    Row(
        "faults:withdraw", _conclusion(closed=False), data=_data(reason="Wrong sheet"),
        post={"member": "redirect", "mentor": "redirect", "mentor2": "redirect", "*": "refused"},
    ),
    Row(
        "faults:withdraw", _conclusion(private=True, closed=False), why="private", data=_data(reason="Wrong sheet"),
        post={"member": "redirect", "owner": "refused", "*": "hidden"},
    ),
    Row("faults:how_well", get=ALL_READ),
    Row("faults:rates", get=ALL_READ),
]  # fmt: skip
