from typing import Any
from uuid import uuid4

from django.core.files.uploadedfile import SimpleUploadedFile

from tests.access.table import Row, World
from tests.photos.builders import make_clip, make_mark, make_photo
from tests.photos.pictures import jpeg, mp4

EVERYBODY = {"*": "ok"}
ADDS = {"*": "redirect"}
WORKERS = {"member": "redirect", "mate": "redirect", "owner": "redirect"}
MENTORS = {"mentor": "redirect", "mentor2": "redirect"}
PRIVATE = {"owner": "ok", "member": "ok", "*": "hidden"}
PRIVATE_ACT = {"owner": "redirect", "member": "redirect", "*": "hidden"}
WORKERS_SEE = dict.fromkeys((*WORKERS, *MENTORS), "ok")


def _mark(**fields: Any) -> dict[str, Any]:
    return {"submission": str(uuid4()), **fields}


def _photo(world: World, **fields: Any) -> Any:
    """Added by the stranger, who is a member and not one of the hands."""
    return make_photo(world.engine, world.cast.stranger, **fields)


def _private(world: World) -> Any:
    return make_photo(world.private_engine, world.cast.member)


def _drawn(world: World) -> list[int]:
    photo = _photo(world)
    return [photo.pk, make_mark(photo, world.cast.stranger).pk]


def _private_drawn(world: World) -> list[int]:
    photo = _private(world)
    return [photo.pk, make_mark(photo, world.cast.member).pk]


def _upload(world: World) -> dict[str, Any]:
    return _mark(photos=SimpleUploadedFile("shed.jpg", jpeg()))


def _clip_upload(world: World) -> dict[str, Any]:
    return _mark(clip=SimpleUploadedFile("knock.mp4", mp4()), caption="knock")


def _new_mark(world: World) -> dict[str, Any]:
    return _mark(words="worn here", across="10", down="20")


def _strike(world: World) -> dict[str, Any]:
    return _mark(reason="out of focus")


ROWS: list[Row] = [
    Row("photos:photos", args=lambda world: [world.engine.pk], get=EVERYBODY, post=ADDS, data=_upload),
    Row(
        "photos:photos", why="private", args=lambda world: [world.private_engine.pk], get=PRIVATE, post=PRIVATE_ACT,
        data=_upload,
    ),
    Row("photos:stripping", args=lambda world: [world.engine.pk], get=EVERYBODY),
    Row("photos:stripping", why="private", args=lambda world: [world.private_engine.pk], get=PRIVATE),
    Row("photos:clips", args=lambda world: [world.engine.pk], get=EVERYBODY, post=ADDS, data=_clip_upload),
    Row(
        "photos:clips", why="private", args=lambda world: [world.private_engine.pk], get=PRIVATE, post=PRIVATE_ACT,
        data=_clip_upload,
    ),
    Row("photos:photo", args=lambda world: [_photo(world).pk], get=EVERYBODY),
    Row("photos:photo", why="private", args=lambda world: [_private(world).pk], get=PRIVATE),
    *(
        row
        for route in ("photos:large", "photos:thumbnail")
        for row in (
            Row(route, args=lambda world: [_photo(world).pk], get=EVERYBODY),
            Row(route, why="private", args=lambda world: [_private(world).pk], get=PRIVATE),
        )
    ),
    Row(
        "photos:change", args=lambda world: [_photo(world).pk],
        get={**WORKERS_SEE, "stranger": "ok", "*": "refused"},
        post={**WORKERS, **MENTORS, "stranger": "redirect", "*": "refused"},
        data=lambda world: _mark(version="1", caption="left side", taken_precision="minute"),
    ),
    Row("photos:change", why="private", args=lambda world: [_private(world).pk], get=PRIVATE),
    Row(
        "photos:accept", args=lambda world: [_photo(world, accepted=False).pk], post={**WORKERS, "*": "refused"},
        data=lambda world: _mark(),
    ),
    Row(
        "photos:accept", why="private", args=lambda world: [_private(world).pk], post=PRIVATE_ACT,
        data=lambda world: _mark(),
    ),
    Row(
        "photos:strike", args=lambda world: [_photo(world).pk], data=_strike,
        post={**MENTORS, "stranger": "redirect", "*": "refused"},
    ),
    Row(
        "photos:strike", why="private", args=lambda world: [_private(world).pk], data=_strike,
        post={"member": "redirect", "owner": "refused", "*": "hidden"},
    ),
    Row(
        "photos:pair", args=lambda world: [_photo(world).pk],
        get={**WORKERS_SEE, "stranger": "ok", "*": "refused"},
        post={**WORKERS, **MENTORS, "stranger": "redirect", "*": "refused"},
        data=lambda world: _mark(version="1", before=_photo(world).pk),
    ),
    Row("photos:pair", why="private", args=lambda world: [_private(world).pk], get=PRIVATE),
    Row("photos:compare", args=lambda world: [_photo(world, before=_photo(world)).pk], get=EVERYBODY),
    Row("photos:compare", why="private", args=lambda world: [_private(world).pk], get=PRIVATE),
    Row("photos:mark", args=lambda world: [_photo(world).pk], post=ADDS, data=_new_mark),
    Row("photos:mark", why="private", args=lambda world: [_private(world).pk], post=PRIVATE_ACT, data=_new_mark),
    Row(
        "photos:change_mark", args=_drawn,
        get={**WORKERS_SEE, "stranger": "ok", "*": "refused"},
        post={**WORKERS, **MENTORS, "stranger": "redirect", "*": "refused"},
        data=lambda world: {**_new_mark(world), "version": "1"},
    ),
    Row("photos:change_mark", why="private", args=_private_drawn, get=PRIVATE),
    Row(
        "photos:strike_mark", args=_drawn, data=_strike, post={**MENTORS, "stranger": "redirect", "*": "refused"},
    ),
    Row(
        "photos:strike_mark", why="private", args=_private_drawn, data=_strike,
        post={"member": "redirect", "owner": "refused", "*": "hidden"},
    ),
    Row("photos:download", args=lambda world: [make_clip(world.engine, world.cast.member).pk], get=EVERYBODY),
    Row(
        "photos:download", why="private",
        args=lambda world: [make_clip(world.private_engine, world.cast.member).pk], get=PRIVATE,
    ),
    Row(
        "photos:accept_clip",
        args=lambda world: [make_clip(world.engine, world.cast.stranger, accepted=False).pk],
        post={**WORKERS, "*": "refused"}, data=lambda world: _mark(),
    ),
    Row(
        "photos:strike_clip", args=lambda world: [make_clip(world.engine, world.cast.stranger).pk], data=_strike,
        post={**MENTORS, "stranger": "redirect", "*": "refused"},
    ),
    Row(
        "photos:strike_clip", why="private",
        args=lambda world: [make_clip(world.private_engine, world.cast.member).pk], data=_strike,
        post={"member": "redirect", "owner": "refused", "*": "hidden"},
    ),
]  # fmt: skip
