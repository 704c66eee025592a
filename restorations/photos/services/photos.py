"""Taking photos in, changing what is said of them, pairing, accepting and striking out."""

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from functools import partial
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.members.services.people import changed
from restorations.photos import files
from restorations.photos.intake import Picture
from restorations.photos.models import VIEWS, Photo
from restorations.photos.services.keeping import kept, refuse_flood

SUFFIX = ".webp"
_CLOCK_AHEAD = timedelta(days=1)


def take_in(
    pictures: Iterable[Picture], engine: Engine, doing: Doing, caption: str = "", view: str = ""
) -> list[Photo]:
    """Keep the files and make the rows ready; `enter` or `attach` saves them in the caller's transaction.

    Call before that transaction opens: a disk is slow. Files whose rows are never saved are swept away.
    """
    arriving = list(pictures)
    if arriving:
        refuse_flood(Photo.objects, doing, len(arriving))
    return [
        Photo(
            engine=engine, caption=caption, view=view, made_at=doing.at, made_by=doing.member,
            large=kept(partial(files.keep, [picture.large], SUFFIX)),
            thumbnail=kept(partial(files.keep, [picture.thumbnail], SUFFIX)),
            width=picture.width, height=picture.height, taken_at=_moment(picture.taken, doing.at), **doing.acceptance,
        )
        for picture in arriving
    ]  # fmt: skip


def enter(photos: Iterable[Photo], doing: Doing, *, stripping: bool = False) -> list[Photo]:
    """Save rows that `take_in` made ready, those of stripping at the end of its order; call inside a transaction."""
    rows = sorted(photos, key=lambda photo: photo.when) if stripping else list(photos)
    for photo in rows:
        if stripping:
            photo.strip_order = _next_place(photo.engine)
        photo.save()
        told = {"caption": photo.caption, "shows": VIEWS.get(photo.view)}
        record(doing.member, "added a photo", photo, after={name: words for name, words in told.items() if words})
    return rows


def attach(photos: Iterable[Photo], to: Any, doing: Doing, *, stripping: bool = False) -> None:
    """Enter the photos and add them to a row's own list (`entry.photos`); call inside a transaction."""
    to.add(*enter(photos, doing, stripping=stripping))


def add_photos(*, photos: list[Photo], doing: Doing, mark: UUID, stripping: bool = False) -> Photo:
    """The same from the form of the photos page; gives the first. The form sent again makes nothing."""

    def make() -> Photo:
        return enter(photos, doing, stripping=stripping)[0]

    return submit_once(doing.member, mark, make)[0]


def change_photo(*, photo: Photo, member: Member, mark: UUID, version: int, columns: Mapping[str, Any]) -> Photo:
    """Caption, view, date and the like; raises Changed when somebody saved it meanwhile."""

    def make() -> Photo:
        before = {name: getattr(photo, name) for name in columns}
        photo.save_from(version, **columns)
        record(member, "changed a photo", photo, **changed(before, dict(columns)))
        return photo

    return submit_once(member, mark, make)[0]


def pair(*, photo: Photo, before: Photo | None, member: Member, mark: UUID, version: int) -> Photo:
    """Say which earlier photo shows the same before; None takes it back."""
    if before is not None and before.engine_id != photo.engine_id:
        raise ValidationError("Both must be of the same engine.")
    if before is not None and photo.pk in {before.pk, before.before_id}:
        raise ValidationError("That one is the later of the two.")
    return change_photo(photo=photo, member=member, mark=mark, version=version, columns={"before": before})


@transaction.atomic
def accept_photo(*, photo: Photo, member: Member, at: datetime) -> None:
    """One of the hands takes a helper's photo, and the marks that wait on it, for true."""
    acceptance = {"accepted_at": at, "accepted_by": member}
    waiting = Photo.objects.waiting().filter(pk=photo.pk).update(**acceptance)
    waiting += photo.marks.all().waiting().update(**acceptance)
    if waiting:
        photo.refresh_from_db()
        record(member, "accepted a photo", photo)


@transaction.atomic
def strike_photo(*, photo: Photo, member: Member, reason: str) -> None:
    """Strike it out with a reason; it stays readable and shows nowhere else."""
    photo.strike_out(member=member, reason=reason)
    record(member, "struck out a photo", photo, after={"reason": reason})


def _next_place(engine: Engine) -> int:
    highest: int | None = Photo.objects.filter(engine=engine).aggregate(highest=Max("strip_order"))["highest"]
    return (highest or 0) + 1


def _moment(taken: datetime | None, now: datetime) -> datetime | None:
    """In the club's zone where the camera gave none; a clock a little fast is now, one far ahead knows nothing."""
    if taken is None:
        return None
    moment = timezone.make_aware(taken) if timezone.is_naive(taken) else taken
    return min(moment, now) if moment < now + _CLOCK_AHEAD else None
