"""Connections parted and joined, always both ends."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import Max

from restorations.engines.models import Engine
from restorations.members.doing import Doing
from restorations.members.models.records import record, submit_once
from restorations.photos.models import Photo
from restorations.photos.services import attach
from restorations.tasks.connections import kept_precautions
from restorations.tasks.models import Connection


@dataclass(frozen=True, slots=True)
class Parting:
    """What was parted: its ends, what it carries, how each end was left, what was made so before."""

    carries: str
    end_a: str
    end_b: str
    name: str = ""
    part_id: str = ""
    flow: str = "not_known"
    closed_a: str = "open"
    closed_b: str = "open"
    made_safe: tuple[str, ...] = ()


def part_connection(
    *, engine: Engine, parting: Parting, doing: Doing, mark: UUID, photos: Sequence[Photo] = ()
) -> Connection:
    """Write it down; a connection of the knowledge that is parted already is returned as it is."""

    def make() -> Connection:
        Engine.objects.select_for_update().get(pk=engine.pk)
        columns = asdict(parting) | {"made_safe": list(parting.made_safe)}
        columns["component"], _, columns["place"] = columns.pop("part_id").partition("@")
        same = {"component": columns["component"], "place": columns["place"]}
        already: Connection | None = Connection.objects.parted().filter(engine=engine, **same).first()
        if already is not None and same["component"]:
            return already
        row = Connection.objects.create(
            engine=engine, number=_next_number(engine), parted_at=doing.at, parted_by=doing.member, **columns,
            **doing.acceptance,
        )  # fmt: skip
        attach(photos, row.photos, doing, stripping=True)
        safe = "; ".join(kept_precautions(row.carries, row.made_safe))
        record(doing.member, "parted a connection", row, after={"connection": row, "made safe": safe or "nothing said"})
        return row

    return submit_once(doing.member, mark, make)[0]


def _next_number(engine: Engine) -> int:
    return (Connection.objects.filter(engine=engine).aggregate(highest=Max("number"))["highest"] or 0) + 1


def join(connection: Connection, doing: Doing) -> bool:
    """Both ends are made up again; False if somebody wrote so already. Call inside a transaction."""
    rows = Connection.objects.filter(pk=connection.pk, joined_at__isnull=True, struck_at__isnull=True)
    if not rows.update(joined_at=doing.at, joined_by=doing.member, joining_waits=not doing.stands):
        return False
    connection.refresh_from_db()
    record(doing.member, "joined a connection", connection, after={"joined": doing.at})
    return True


def join_connection(*, connection: Connection, both_checked: bool, doing: Doing, mark: UUID) -> Connection:
    """Raises ValidationError where somebody was quicker."""

    def make() -> Connection:
        if not join(connection, doing):
            connection.refresh_from_db()
            raise ValidationError(f"{connection.joined_by or 'Somebody'} has written this up already.")
        if both_checked and doing.stands:
            _check(connection, doing)
        return connection

    return submit_once(doing.member, mark, make)[0]


def check_pair(*, connection: Connection, doing: Doing, mark: UUID) -> Connection:
    """Both ends were looked over together; saying so twice changes nothing."""

    def make() -> Connection:
        if connection.joined_at is None:
            raise ValidationError("It is still parted: join both ends first.")
        _check(connection, doing)
        return connection

    return submit_once(doing.member, mark, make)[0]


def _check(connection: Connection, doing: Doing) -> None:
    rows = Connection.objects.filter(pk=connection.pk, checked_at__isnull=True, joined_at__isnull=False)
    if rows.update(checked_at=doing.at, checked_by=doing.member):
        connection.refresh_from_db()
        record(doing.member, "looked over both ends", connection)
