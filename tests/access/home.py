from tests.access.table import Row

ROWS: list[Row] = [
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
