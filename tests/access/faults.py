"""A mentor, the hands (member, mate) and the owner write; other members help; only mentors answer, never their own."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

from django.utils import timezone

from restorations.faults.models import FaultSheet, Question, StandingGoAhead
from tests.access.table import Row, World
from tests.factories import make_engine
from tests.faults.builders import ONE_CYLINDER, make_go_ahead, make_sheet, make_step

FINDING = "wheels_stiff"
CHECK = "turn_wheels_all_on"
RISKY = "rebush_big_end@middle"
INSPECTORS = "watch_parted_pipe_in_hydraulic_test"
WHO_WRITES = ("member", "mate", "owner", "mentor", "mentor2")
WRITERS_READ = {**dict.fromkeys(WHO_WRITES, "ok"), "*": "refused"}
WRITERS_WRITE = {**dict.fromkeys(WHO_WRITES, "redirect"), "*": "refused"}
WRITERS_SEND_NOTHING = {**dict.fromkeys(WHO_WRITES, "invalid"), "*": "refused"}
EVERYBODY_READS, EVERYBODY_WRITES = {"*": "ok"}, {"*": "redirect"}
PRIVATE_READ = {"owner": "ok", "member": "ok", "*": "hidden"}
PRIVATE_WRITE = {"owner": "redirect", "member": "redirect", "*": "hidden"}

Args = Callable[[World], list[Any]]


def _mark(**fields: Any) -> Callable[[World], dict[str, Any]]:
    return lambda world: {"submission": str(uuid4()), **fields}


def _engine(world: World) -> Any:
    owner, member, mate = world.cast.owner, world.cast.member, world.cast.mate
    return make_engine(made_by=owner, owner_member=owner, hands=(member, mate), configuration=ONE_CYLINDER)


def _private_engine(world: World) -> Any:
    owner, member = world.cast.owner, world.cast.member
    return make_engine(
        name="Dot", is_private=True, made_by=owner, owner_member=owner, hands=(member,), configuration=ONE_CYLINDER
    )


def _sheet(world: World) -> FaultSheet:
    return make_sheet(_engine(world), opened_by=world.cast.owner)


def _private(world: World) -> FaultSheet:
    return make_sheet(_private_engine(world), opened_by=world.cast.owner)


def _on(sheet: Callable[[World], FaultSheet], *more: str) -> Args:
    return lambda world: [sheet(world).pk, *more]


def _step(sheet: Callable[[World], FaultSheet], by: str = "member", **changes: Any) -> Args:
    return lambda world: [make_step(sheet(world), world.cast[by], **changes).pk]


def _asked(sheet: Callable[[World], FaultSheet], by: str, action: str = RISKY) -> Args:
    return lambda world: [make_go_ahead(sheet(world), world.cast[by], action=action).pk]


def _given(world: World) -> list[Any]:
    made = {"action": RISKY, "answer": "given", "answered_by": world.cast.mentor, "answered_at": timezone.now()}
    return [make_go_ahead(_sheet(world), world.cast.member, **made).pk]


def _question(sheet: Callable[[World], FaultSheet], by: str = "mentor", *, about: bool = True) -> Args:
    def args(world: World) -> list[Any]:
        row = sheet(world)
        go_ahead = make_go_ahead(row, world.cast.member, action=RISKY) if about else None
        return [Question.objects.create(sheet=row, go_ahead=go_ahead, words="How?", asked_by=world.cast[by]).pk]

    return args


def _standing_go_ahead(world: World) -> list[Any]:
    until = timezone.now() + timedelta(days=9)
    made = {"member": world.cast.member, "kind": "motion:hand", "until": until, "given_by": world.cast.mentor}
    return [StandingGoAhead.objects.create(engine=_engine(world), **made).pk]


OPENING = _mark(
    complaint="Will not turn", ever_ran="yes", ran_well_when_put_away="not_known", rebuilt_since="no",
    first_run_done="not_known", years="12",
)  # fmt: skip
HELPERS = {"by": "stranger", "accepted": False}


def _looking(route: str, *more: str) -> list[Row]:
    return [
        Row(route, _on(_sheet, *more), get=EVERYBODY_READS),
        Row(route, _on(_private, *more), why="private", get=PRIVATE_READ),
    ]


def _writing(route: str, **data: Any) -> list[Row]:
    """What anybody may write, a member who does not work on the engine as a helper."""
    return [
        Row(route, _on(_sheet), post=EVERYBODY_WRITES, data=_mark(**data)),
        Row(route, _on(_private), why="private", post=PRIVATE_WRITE, data=_mark(**data)),
    ]


ROWS: list[Row] = [
    Row("faults:sheets", get=EVERYBODY_READS),
    Row("faults:open", lambda world: [_engine(world).pk], get=WRITERS_READ, post=WRITERS_WRITE, data=OPENING),
    Row(
        "faults:open", lambda world: [_private_engine(world).pk], why="private", get=PRIVATE_READ, post=PRIVATE_WRITE,
        data=OPENING,
    ),
    *_looking("faults:sheet"),
    *_looking("faults:causes"),
    *_looking("faults:findings"),
    *_looking("faults:finding", FINDING),
    *_looking("faults:actions"),
    *_looking("faults:action", CHECK),
    Row("faults:finding", _on(_sheet, "no_such_finding"), why="unknown", get={"*": "hidden"}),
    Row("faults:action", _on(_sheet, "no_such_step"), why="unknown", get={"*": "hidden"}),
    Row("faults:sheet", lambda world: [987654321], why="no such sheet", get={"*": "hidden"}),
    Row("faults:state", _on(_sheet), get=WRITERS_READ, post=WRITERS_SEND_NOTHING),
    Row("faults:state", _on(_private), why="private", get=PRIVATE_READ),
    Row("faults:history", _on(_sheet), get=WRITERS_READ, post=WRITERS_SEND_NOTHING),
    Row("faults:history", _on(_private), why="private", get=PRIVATE_READ),
    *_writing("faults:rank"),
    *_writing("faults:observe", finding=FINDING, level="1", reported="yes"),
    *_writing("faults:record", action=CHECK, answer="1"),
    *_writing("faults:note", note="Left as it stands."),
    Row("faults:undo", _step(_sheet), post={"member": "redirect", "*": "refused"}, data=_mark()),
    Row(
        "faults:undo", _step(_private), why="private", data=_mark(),
        post={"member": "redirect", "owner": "refused", "*": "hidden"},
    ),
    Row(
        "faults:strike", _step(_sheet, by="mate"), data=_mark(reason="wrong side"),
        get={"mate": "ok", "mentor": "ok", "mentor2": "ok", "*": "refused"},
        post={"mate": "redirect", "mentor": "redirect", "mentor2": "redirect", "*": "refused"},
    ),
    Row("faults:strike", _step(_private), why="private", get={"member": "ok", "owner": "refused", "*": "hidden"}),
    Row(
        "faults:accept", _step(_sheet, **HELPERS), data=_mark(),
        post={"member": "redirect", "mate": "redirect", "owner": "redirect", "*": "refused"},
    ),
    Row("faults:accept", _step(_private, **HELPERS), why="private", post=PRIVATE_WRITE, data=_mark()),
    Row(
        "faults:look", _step(_sheet, by="mentor2", without_go_ahead=True), data=_mark(),
        post={"mentor": "redirect", "*": "refused"},
    ),
    Row(
        "faults:look", _step(_private, without_go_ahead=True), why="private", data=_mark(),
        post={"member": "refused", "owner": "refused", "*": "hidden"},
    ),
    Row("faults:ask", _on(_sheet), post=WRITERS_WRITE, data=_mark(action=RISKY, reason="It knocks.")),
    Row("faults:ask", _on(_private), why="private", post=PRIVATE_WRITE, data=_mark(action=RISKY)),
    Row(
        "faults:go_ahead", _asked(_sheet, "mentor2"), data=_mark(answer="given", conditions="not alone"),
        get=EVERYBODY_READS, post={"mentor": "redirect", "*": "refused"},
    ),
    Row(
        "faults:go_ahead", _asked(_private, "owner"), why="private", data=_mark(answer="given"),
        get=PRIVATE_READ, post={"owner": "refused", "member": "refused", "*": "hidden"},
    ),
    Row(
        "faults:go_ahead", _asked(_sheet, "member", INSPECTORS), why="boiler work", data=_mark(answer="given"),
        post={"inspector": "redirect", "*": "refused"},
    ),
    Row(
        "faults:withdraw_go_ahead", _asked(_sheet, "member"), data=_mark(reason="found another way"),
        get={"member": "ok", "*": "refused"}, post={"member": "redirect", "*": "refused"},
    ),
    Row(
        "faults:withdraw_go_ahead", _given, why="given", data=_mark(reason="it cracked"),
        get={"mentor": "ok", "mentor2": "ok", "*": "refused"},
        post={"mentor": "redirect", "mentor2": "redirect", "*": "refused"},
    ),
    Row(
        "faults:withdraw_go_ahead", _asked(_private, "member"), why="private",
        get={**PRIVATE_READ, "owner": "refused"},
    ),
    Row("faults:elbow", _on(_sheet), post=WRITERS_SEND_NOTHING, data=_mark(action=RISKY)),
    Row("faults:elbow", _on(_private), why="private", post={"owner": "invalid", "member": "invalid", "*": "hidden"}),
    Row("faults:ask_mentors", _on(_sheet), post=EVERYBODY_WRITES, data=_mark(question="Which way is it driven?")),
    Row("faults:ask_mentors", _on(_private), why="private", post=PRIVATE_WRITE, data=_mark(question="How?")),
    Row(
        "faults:answer_question", _question(_sheet), data=_mark(words="With the rods off."),
        post={**dict.fromkeys(("member", "mate", "owner"), "redirect"), "*": "refused"},
    ),
    Row("faults:answer_question", _question(_private), why="private", post=PRIVATE_WRITE, data=_mark(words="Yes.")),
    Row(
        "faults:answer_question", _question(_sheet, by="stranger", about=False), why="from the bench",
        data=_mark(words="Upwards."), post={"mentor": "redirect", "mentor2": "redirect", "*": "refused"},
    ),
    Row(
        "faults:standing", lambda world: [_engine(world).pk], get=EVERYBODY_READS,
        post={"mentor": "invalid", "mentor2": "invalid", "*": "refused"},
    ),
    Row(
        "faults:standing", lambda world: [_private_engine(world).pk], why="private", get=PRIVATE_READ,
        post={"owner": "refused", "member": "refused", "*": "hidden"},
    ),
    Row(
        "faults:revoke_standing", _standing_go_ahead, data=_mark(reason="has left the engine"),
        get={"mentor": "ok", "mentor2": "ok", "*": "refused"},
        post={"mentor": "redirect", "mentor2": "redirect", "*": "refused"},
    ),
    Row("faults:desk", get={"mentor": "ok", "mentor2": "ok", "inspector": "ok", "*": "refused"}),
    Row(
        "faults:ask_for_consent", _on(_sheet), post=WRITERS_WRITE,
        data=_mark(action="restore_bore@middle", reason="It is scored."),
    ),
    Row(
        "faults:ask_for_consent", _on(_private), why="private", post=PRIVATE_WRITE,
        data=_mark(action="restore_bore@middle"),
    ),
]  # fmt: skip
