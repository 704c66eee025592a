"""Photos, marks and clips as rows, with their files, for tests."""

import io
from datetime import datetime
from functools import cache
from typing import Any
from uuid import uuid4

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.photos.clip_check import check_clip
from restorations.photos.intake import Picture, read_picture
from restorations.photos.models import Clip, Photo, PhotoMark
from restorations.photos.services import add_clip, add_mark, enter, take_in
from restorations.photos.services.marks import MarkPlan
from tests.factories import NOON
from tests.photos.pictures import jpeg, mp4


@cache
def picture(width: int = 640, height: int = 480) -> Picture:
    return read_picture(io.BytesIO(jpeg(width, height)))


def make_photo(engine: Engine, by: Member, *, accepted: bool = True, at: datetime = NOON, **fields: Any) -> Photo:
    doing = Doing(by, at, accepted)
    (photo,) = take_in([fields.pop("picture", picture())], engine, doing)
    for name, value in fields.items():
        setattr(photo, name, value)
    return enter([photo], doing)[0]


def make_mark(photo: Photo, by: Member, *, accepted: bool = True, words: str = "cracked here") -> PhotoMark:
    plan = MarkPlan(words, (0.25, 0.5))
    return add_mark(photo=photo, plan=plan, doing=Doing(by, NOON, accepted), mark=uuid4())


def make_clip(engine: Engine, by: Member, *, accepted: bool = True, caption: str = "knock, left side") -> Clip:
    checked = check_clip(io.BytesIO(mp4()))
    doing = Doing(by, NOON, accepted)
    return add_clip(engine=engine, checked=checked, caption=caption, doing=doing, mark=uuid4())
