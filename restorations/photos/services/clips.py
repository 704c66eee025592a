"""Sounds and videos: kept, accepted, struck out."""

from datetime import datetime
from functools import partial
from uuid import UUID

from django.db import transaction

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.photos import clip_check, files
from restorations.photos.models import Clip
from restorations.photos.services.keeping import kept, refuse_flood


def add_clip(*, engine: Engine, checked: clip_check.Clip, caption: str, doing: Doing, mark: UUID) -> Clip:
    """Keep a checked file, then its row."""
    refuse_flood(Clip.objects, doing, 1)
    name = kept(partial(files.keep_file, checked.file, f".{checked.kind}"))

    def make() -> Clip:
        clip = Clip.objects.create(
            engine=engine, file=name, kind=checked.kind, size_bytes=checked.size, caption=caption, made_at=doing.at,
            made_by=doing.member, **doing.acceptance,
        )  # fmt: skip
        record(doing.member, "added a clip", clip, after={"caption": caption, "kind": checked.kind})
        return clip

    return submit_once(doing.member, mark, make)[0]


@transaction.atomic
def accept_clip(*, clip: Clip, member: Member, at: datetime) -> None:
    if Clip.objects.waiting().filter(pk=clip.pk).update(accepted_at=at, accepted_by=member):
        record(member, "accepted a clip", clip)


@transaction.atomic
def strike_clip(*, clip: Clip, member: Member, reason: str) -> None:
    clip.strike_out(member=member, reason=reason)
    record(member, "struck out a clip", clip, after={"reason": reason})
