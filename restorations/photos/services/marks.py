"""Balloons on a photo: added, moved or reworded, struck out. Numbers are given once and never again."""

from dataclasses import dataclass
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from restorations.members.doing import Doing
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once
from restorations.members.services.people import changed
from restorations.photos.balloons import Spot, balloon_for
from restorations.photos.models import Photo, PhotoMark

MOST_ON_A_PHOTO = 60


@dataclass(frozen=True, slots=True)
class MarkPlan:
    """Words, the spot they are about, and where the balloon stands (None: wherever there is room)."""

    words: str
    spot: Spot
    balloon: Spot | None = None


def add_mark(*, photo: Photo, plan: MarkPlan, doing: Doing, mark: UUID) -> PhotoMark:
    def make() -> PhotoMark:
        Photo.objects.select_for_update().get(pk=photo.pk)  # two members marking at once get two numbers
        highest: int = photo.marks.aggregate(highest=Max("number"))["highest"] or 0
        if highest >= MOST_ON_A_PHOTO:
            raise ValidationError(f"A photo takes {MOST_ON_A_PHOTO} marks. Mark a second photo of the same.")
        row = PhotoMark.objects.create(
            photo=photo, number=highest + 1, made_at=doing.at, made_by=doing.member, **_columns(plan, photo),
            **doing.acceptance,
        )  # fmt: skip
        record(doing.member, "marked a photo", photo, after={"mark": row})
        return row

    return submit_once(doing.member, mark, make)[0]


def change_mark(*, row: PhotoMark, plan: MarkPlan, member: Member, mark: UUID, version: int) -> PhotoMark:
    """Reword or move it; raises Changed when somebody saved it meanwhile."""

    def make() -> PhotoMark:
        columns = _columns(plan, row.photo)
        before = {name: getattr(row, name) for name in columns}
        row.save_from(version, **columns)
        record(member, f"changed mark {row.number}", row.photo, **changed(before, columns))
        return row

    return submit_once(member, mark, make)[0]


@transaction.atomic
def strike_mark(*, row: PhotoMark, member: Member, reason: str) -> None:
    row.strike_out(member=member, reason=reason)
    record(member, "struck out a mark", row.photo, before={"mark": row}, after={"reason": reason})


def _columns(plan: MarkPlan, photo: Photo) -> dict[str, object]:
    balloon = plan.balloon or balloon_for(plan.spot, _drawn(photo))
    return {
        "words": plan.words, "x": balloon[0], "y": balloon[1], "end_x": plan.spot[0], "end_y": plan.spot[1],
    }  # fmt: skip


def _drawn(photo: Photo) -> list[Spot]:
    """Balloons and spots that are on the picture already."""
    rows = photo.marks.all().not_struck().values_list("x", "y", "end_x", "end_y")
    return [spot for x, y, end_x, end_y in rows for spot in ((x, y), (end_x, end_y))]
