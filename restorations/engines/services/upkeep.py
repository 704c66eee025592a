"""Lines of the oil chart and of the fastenings table, and notes on a design."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.db import transaction

from restorations.engines.models import Design, DesignNote, Engine
from restorations.engines.models.design_notes import NOTE_KINDS
from restorations.engines.models.upkeep import UpkeepRow
from restorations.members.models import Member
from restorations.members.models.records import record, submit_once


def add_upkeep_row(
    *, kind: type[Any], engine: Engine, member: Member, mark: UUID, columns: Mapping[str, Any]
) -> UpkeepRow:
    """A new line of the table."""

    def make() -> UpkeepRow:
        row: UpkeepRow = kind.objects.create(engine=engine, made_by=member, **columns)
        record(member, f"added to the {_table(row)}", engine, after=dict(columns))
        return row

    return submit_once(member, mark, make)[0]


def change_upkeep_row(*, row: Any, member: Member, mark: UUID, version: int, columns: Mapping[str, Any]) -> Any:
    """Save what changed; raises Changed where somebody saved since `version`."""

    def make() -> Any:
        before, line = {name: getattr(row, name) for name in columns}, str(row)
        row.save_from(version, **columns)
        changed = [name for name, value in columns.items() if value != before[name]]
        record(
            member,
            f"changed the {_table(row)}",
            row.engine,
            before={"line": line, **{name: before[name] for name in changed}},
            after={name: columns[name] for name in changed},
        )
        return row

    return submit_once(member, mark, make)[0]


def strike_upkeep_row(*, row: Any, member: Member, reason: str) -> None:
    """Strike it out with a reason; it stays readable."""
    with transaction.atomic():
        row.strike_out(member=member, reason=reason)
        record(member, f"struck out of the {_table(row)}", row.engine, before={"line": row}, after={"reason": reason})


def _table(row: UpkeepRow) -> str:
    return {"oilpoint": "oil chart", "fastening": "fastenings table"}[str(row._meta.model_name)]


def add_design_note(*, design: Design, member: Member, mark: UUID, kind: str, text: str) -> DesignNote:
    """Write down a trap of a design, or how it goes together rightly."""

    def make() -> DesignNote:
        row = DesignNote.objects.create(design=design, kind=kind, text=text, written_by=member)
        record(member, "wrote a note on the design", design, after={NOTE_KINDS[kind]: text})
        return row

    return submit_once(member, mark, make)[0]


def strike_design_note(*, row: DesignNote, member: Member, reason: str) -> None:
    """Strike it out with a reason; it stays readable."""
    with transaction.atomic():
        row.strike_out(member=member, reason=reason)
        record(
            member, "struck out a note on the design", row.design, before={"what": row.text}, after={"reason": reason}
        )
