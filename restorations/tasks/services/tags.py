"""Tags hung on an engine and taken off again."""

from uuid import UUID

from django.core.exceptions import ValidationError

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models.records import record, submit_once
from restorations.tasks.models import Tag


def hang_tag(*, engine: Engine, kind: str, reason: str, doing: Doing, mark: UUID) -> Tag:
    def make() -> Tag:
        tag = Tag.objects.create(
            engine=engine, kind=kind, reason=reason, put_on_at=doing.at, put_on_by=doing.member, **doing.acceptance
        )
        record(doing.member, "hung a tag", tag, after={"tag": str(tag), "reason": reason})
        return tag

    return submit_once(doing.member, mark, make)[0]


def take_tag_off(*, tag: Tag, doing: Doing, mark: UUID) -> Tag:
    """Raises ValidationError where somebody took it off already."""

    def make() -> Tag:
        rows = Tag.objects.filter(pk=tag.pk, taken_off_at__isnull=True, struck_at__isnull=True)
        if not rows.update(taken_off_at=doing.at, taken_off_by=doing.member):
            tag.refresh_from_db()
            raise ValidationError(f"{tag.taken_off_by or 'Somebody'} has taken this tag off already.")
        tag.refresh_from_db()
        record(doing.member, "took a tag off", tag, before={"tag": str(tag), "reason": tag.reason})
        return tag

    return submit_once(doing.member, mark, make)[0]


def tags_on(engine: Engine) -> list[Tag]:
    """What hangs on it now; one query."""
    return list(Tag.objects.hanging().filter(engine=engine).select_related("put_on_by"))
