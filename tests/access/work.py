from typing import Any
from uuid import uuid4

from tests.access.table import Row, World
from tests.tasks import work_builders as make

PLANNERS = {"member": "ok", "mate": "ok", "owner": "ok", "mentor": "ok", "mentor2": "ok", "*": "refused"}
PLANNED = {who: "redirect" for who in PLANNERS if who != "*"} | {"*": "refused"}
ACCEPTORS = {"member": "redirect", "mate": "redirect", "owner": "redirect", "*": "refused"}
PRIVATE = {"owner": "ok", "member": "ok", "*": "hidden"}
STRIKERS = {"stranger": "redirect", "mentor": "redirect", "mentor2": "redirect", "*": "refused"}


def _mark(**fields: Any) -> dict[str, Any]:
    return {"submission": str(uuid4()), **fields}


def _card(world: World, **changes: Any) -> Any:
    return make.make_card(world.engine, world.cast.member, **changes)


def _none_but_the_engine(world: World) -> list[Any]:
    """The page has no number in its address; the engine is there all the same."""
    assert world.engine.pk
    return []


def _entry(world: World) -> Any:
    return make.make_entry(world.engine, world.cast.stranger, stands=False)


def _reading(world: World) -> Any:
    return make.make_reading(world.engine, world.cast.stranger, stands=False)


def _paid(world: World) -> Any:
    paid = {"state": "came", "price_pence": 1250, "paid_by": world.cast.mate}
    return make.make_wanted(world.engine, world.cast.member, **paid)


def _card_said(world: World) -> dict[str, Any]:
    return _mark(title="Fit the rings", version=1, **make.HOURS)


def _holding(world: World) -> list[Any]:
    row = make.make_holding(world.engine, world.cast.mate, recorded_by=world.cast.member)
    return [row.pk]


def _key(world: World) -> dict[str, Any]:
    return _mark(kind="key", engine=world.engine.pk, what="Key", holder=world.cast.mate.pk, since="2020-01-02")


HANDERS = ("member", "mate", "owner", "mentor", "mentor2", "secretary", "administrator")

ROWS: list[Row] = [
    Row("tasks:holdings", args=_none_but_the_engine, get={"*": "ok"}),
    Row(
        "tasks:hand_over",
        args=_none_but_the_engine,
        get=dict.fromkeys(HANDERS, "ok") | {"*": "refused"},
        post=dict.fromkeys(HANDERS, "redirect") | {"*": "refused"},
        data=_key,
    ),
    Row(
        "tasks:came_back",
        args=_holding,
        post=dict.fromkeys(HANDERS, "redirect") | {"*": "refused"},
        data=lambda world: _mark(),
    ),
    Row("tasks:first_jobs", get={"*": "ok"}),
    Row("tasks:cards", args=lambda world: [world.engine.pk], get={"*": "ok"}),
    Row("tasks:cards", why="private", args=lambda world: [world.private_engine.pk], get=PRIVATE),
    Row("tasks:new_card", args=lambda world: [world.engine.pk], get=PLANNERS, post=PLANNED, data=_card_said),
    Row(
        "tasks:new_card",
        why="private",
        args=lambda world: [world.private_engine.pk],
        get=PRIVATE,
        post={"owner": "redirect", "member": "redirect", "*": "hidden"},
        data=_card_said,
    ),
    Row("tasks:card_sets", args=lambda world: [world.engine.pk], get=PLANNERS),
    Row(
        "tasks:card_sets",
        why="no stage named",
        args=lambda world: [world.engine.pk],
        post={who: "hidden" for who in PLANNERS if who != "*"} | {"*": "refused"},
    ),
    Row("tasks:card", args=lambda world: [_card(world).pk], get={"*": "ok"}),
    Row(
        "tasks:card",
        why="private",
        args=lambda world: [make.make_card(world.private_engine, world.cast.member).pk],
        get=PRIVATE,
    ),
    Row("tasks:change_card", args=lambda world: [_card(world).pk], get=PLANNERS, post=PLANNED, data=_card_said),
    Row(
        "tasks:set_card_state",
        args=lambda world: [_card(world).pk],
        post=PLANNED,
        data=lambda world: _mark(state="done", version=1),
    ),
    Row(
        "tasks:set_card_state",
        why="by whoever is on it",
        args=lambda world: [_card(world, people=[world.cast.stranger]).pk],
        post={**PLANNED, "stranger": "redirect"},
        data=lambda world: _mark(state="in_hand", version=1),
    ),
    Row("tasks:take_on", args=lambda world: [_card(world).pk], post=PLANNED, data=lambda world: _mark()),
    Row(
        "tasks:take_on",
        why="a good first job",
        args=lambda world: [_card(world, is_good_first_job=True).pk],
        post={"*": "redirect"},
        data=lambda world: _mark(),
    ),
    Row(
        "tasks:new_job",
        args=lambda world: [world.engine.pk],
        get=PLANNERS,
        post=PLANNED,
        data=lambda world: _mark(kind="repair", title="New tubes", begun_on="2026-01-02"),
    ),
    Row("tasks:job", args=lambda world: [make.make_job(world.engine, world.cast.member).pk], get={"*": "ok"}),
    Row(
        "tasks:job",
        why="private",
        args=lambda world: [make.make_job(world.private_engine, world.cast.member).pk],
        get=PRIVATE,
    ),
    Row(
        "tasks:close_job",
        args=lambda world: [make.make_job(world.engine, world.cast.member).pk],
        post=PLANNED,
        data=lambda world: _mark(version=1),
    ),
    Row(
        "tasks:start_log",
        args=_none_but_the_engine,
        get={"member": "redirect", "mate": "redirect", "*": "ok"},
    ),
    Row(
        "tasks:log",
        args=lambda world: [world.engine.pk],
        get={"*": "ok"},
        post={"*": "redirect"},
        data=lambda world: _mark(text="Oiled round"),
    ),
    Row(
        "tasks:log",
        why="private",
        args=lambda world: [world.private_engine.pk],
        get=PRIVATE,
        post={"owner": "redirect", "member": "redirect", "*": "hidden"},
        data=lambda world: _mark(text="Oiled round"),
    ),
    Row("tasks:club_day_book", get={"*": "ok"}),
    Row("tasks:day_book", args=lambda world: [world.engine.pk], get={"*": "ok"}),
    Row("tasks:day_book", why="private", args=lambda world: [world.private_engine.pk], get=PRIVATE),
    Row("tasks:persons_day_book", args=lambda world: [world.cast.member.pk], get={"*": "ok"}),
    Row("tasks:entry", args=lambda world: [_entry(world).pk], get={"*": "ok"}),
    Row(
        "tasks:entry",
        why="private",
        args=lambda world: [make.make_entry(world.private_engine, world.cast.member).pk],
        get=PRIVATE,
    ),
    Row("tasks:accept_entry", args=lambda world: [_entry(world).pk], post=ACCEPTORS, data=lambda world: _mark()),
    Row(
        "tasks:strike_entry",
        args=lambda world: [_entry(world).pk],
        post=STRIKERS,
        data=lambda world: _mark(reason="wrong engine"),
    ),
    Row(
        "tasks:readings",
        args=lambda world: [world.engine.pk],
        get={"*": "ok"},
        post={"*": "redirect"},
        data=lambda world: _mark(what="cylinder bore", value="28.6 mm"),
    ),
    Row("tasks:readings", why="private", args=lambda world: [world.private_engine.pk], get=PRIVATE),
    Row("tasks:series", args=lambda world: [world.engine.pk], get={"*": "hidden"}, why="no reading named"),
    Row("tasks:accept_reading", args=lambda world: [_reading(world).pk], post=ACCEPTORS, data=lambda world: _mark()),
    Row(
        "tasks:strike_reading",
        args=lambda world: [_reading(world).pk],
        post=STRIKERS,
        data=lambda world: _mark(reason="misread"),
    ),
    Row("tasks:known_good", args=lambda world: [_reading(world).pk], post=PLANNED, data=lambda world: _mark()),
    Row("tasks:club_wanted", get={"*": "ok"}),
    Row(
        "tasks:wanted",
        args=lambda world: [world.engine.pk],
        get={"*": "ok"},
        post=PLANNED,
        data=lambda world: _mark(what="Piston rings", state="wanted"),
    ),
    Row("tasks:wanted", why="private", args=lambda world: [world.private_engine.pk], get=PRIVATE),
    Row(
        "tasks:change_wanted",
        args=lambda world: [make.make_wanted(world.engine, world.cast.member).pk],
        get=PLANNERS,
        post=PLANNED,
        data=lambda world: _mark(what="Piston rings", state="asked", version=1),
    ),
    Row(
        "tasks:repay",
        args=lambda world: [_paid(world).pk],
        post={"owner": "redirect", "secretary": "redirect", "administrator": "redirect", "*": "refused"},
        data=lambda world: _mark(),
    ),
]
