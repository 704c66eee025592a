from restorations.engines.models import Design
from tests.access.table import Row, World

PRIVATE_CONTENTS = {"owner": "ok", "member": "ok", "*": "hidden"}


def _design(world: World) -> list[int]:
    return [Design.objects.create(name="Brindle").pk]


def _leaf(route: str) -> list[Row]:
    """A page of one engine that whoever may read its contents sees."""
    return [
        Row(route, lambda world: [world.engine.pk], get={"*": "ok"}),
        Row(route, lambda world: [world.private_engine.pk], get=PRIVATE_CONTENTS, why="private"),
    ]


ROWS: list[Row] = [
    Row("home:search", get={"*": "ok"}),
    Row("home:club_timeline", get={"*": "ok"}),
    Row("home:person_timeline", lambda world: [world.cast.member.pk], get={"*": "ok"}),
    Row("home:design", _design, get={"*": "ok"}),
    *_leaf("home:engine_timeline"),
    *_leaf("home:taking_in"),
    *_leaf("home:bench_pack"),
    *_leaf("home:tonight"),
    Row("home:front", get={"*": "ok"}),
    Row("home:help", get={"*": "ok", "anonymous": "ok"}),
    Row("home:engine", args=lambda world: [world.engine.pk], get={"*": "ok"}),
    Row(
        "home:engine",
        why="private",
        args=lambda world: [world.private_engine.pk],
        get={"owner": "ok", "member": "ok", "secretary": "ok", "*": "hidden"},
    ),
]
